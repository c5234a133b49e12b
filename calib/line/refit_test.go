package line

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Refitting the points of a fit gives the fit, for every method.
func TestRefit(t *testing.T) {
	full := pearson(t, published(t, "york_pearson"))
	two := Points{X: full.X[:2], Y: full.Y[:2]}
	for _, m := range Methods() {
		p := full
		if m == MethodTwoPoint {
			p = two
		}
		f, err := m.Fit(p)
		require.NoError(t, err)
		a, b, err := f.Refit(p)
		require.NoError(t, err)
		require.InDelta(t, f.Intercept, a, 1e-9, string(m))
		require.InDelta(t, f.Slope, b, 1e-10, string(m))
	}
}
