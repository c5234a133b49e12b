package line

import (
	"math/rand/v2"
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
		again, whole, err := f.Refitter(p)
		require.NoError(t, err)
		require.True(t, whole, string(m))
		a, b, err := again(p.X, p.Y)
		require.NoError(t, err)
		require.InDelta(t, f.Intercept, a, 1e-9, string(m))
		require.InDelta(t, f.Slope, b, 1e-10, string(m))
	}
}

// With many points a draw keeps the weights of the fit: at the fit's own points it is the fit, and
// elsewhere the fit in full to a tenth of its uncertainty.
func TestRefitOfManyPoints(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 8))
	const n = 60
	var p Points
	own, stock, read := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		truth := 100 + 10*float64(i)
		own[i], stock[i], read[i] = 0.01*truth, 0.005*truth, 2
		p.X, p.Y = append(p.X, truth), append(p.Y, 5+1.02*truth)
	}
	var err error
	p.CovY, err = Covariance(own, stock)
	require.NoError(t, err)
	p.CovX, err = Covariance(read)
	require.NoError(t, err)
	draw := func() Points {
		q := Points{X: make([]float64, n), Y: make([]float64, n), CovX: p.CovX, CovY: p.CovY}
		f := rng.NormFloat64()
		for i := range n {
			q.X[i], q.Y[i] = p.X[i]+read[i]*rng.NormFloat64(), p.Y[i]+stock[i]*f+own[i]*rng.NormFloat64()
		}
		return q
	}
	p = draw()
	f, err := ErrorsInBoth(p)
	require.NoError(t, err)
	again, whole, err := f.Refitter(p)
	require.NoError(t, err)
	require.False(t, whole)
	_, slope, err := again(p.X, p.Y)
	require.NoError(t, err)
	require.InDelta(t, f.Slope, slope, 1e-9)
	for range 20 {
		q := draw()
		full, err := ErrorsInBoth(q)
		require.NoError(t, err)
		_, slope, err := again(q.X, q.Y)
		require.NoError(t, err)
		require.InDelta(t, full.Slope, slope, 0.1*f.USlope)
	}
}
