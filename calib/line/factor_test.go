package line

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/uncert"
)

// The factor of a Student's and a normal error together gives the level back, by the adaptive
// integration of package conformity; where one part vanishes it is the other's.
func TestMixedFactor(t *testing.T) {
	for _, dof := range []float64{1, 2, 3, 8, 50, 1000} {
		for _, part := range []float64{0.01, 0.3, 0.7, 0.99} {
			k := mixedFactor(0.95, dof, part)
			p, err := conformity.Joint{
				Value: []float64{0}, Limits: []conformity.Limits{conformity.Around(k)},
				Own: []float64{math.Sqrt(1 - part)}, Scatter: []float64{math.Sqrt(part)}, DoF: dof,
			}.Probability()
			require.NoError(t, err)
			require.InDelta(t, 0.95, p, 1e-7, "dof %g, part %g", dof, part)
		}
		require.InEpsilon(t, uncert.CoverageFactor(0.95, dof), mixedFactor(0.95, dof, 1-1e-12), 1e-5)
		require.InEpsilon(t, 1.959964, mixedFactor(0.95, dof, 1e-12), 1e-4)
	}
}

func BenchmarkMixedFactor(b *testing.B) {
	for b.Loop() {
		mixedFactor(0.95, 3, 0.4)
	}
}
