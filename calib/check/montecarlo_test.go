package check

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/line"
)

// Simulation and propagation agree where the model is nearly linear, for every fit with a basis.
func TestMonteCarloAgrees(t *testing.T) {
	if testing.Short() {
		t.Skip("a hundred thousand fits")
	}
	three := func() []Row { return plain(706, 690, 1413, 1380, 2767, 2710) }
	for _, c := range []struct {
		name string
		rows []Row
		o    Options
	}{
		{"gain, one point", stated(plain(1413, 1380), 7, 5), Options{}},
		{"gain, scatter", three(), Options{Method: line.MethodGain}},
		{"two-point", sharing(stated(plain(706, 690, 2767, 2710), 3, 3), 10), Options{}},
		{"line, one degree of freedom", three(), Options{}},
		{"line", plain(100, 98, 200, 199, 300, 296, 400, 397, 500, 494, 600, 597, 700, 693), Options{}},
		{"weighted", stated(three(), 4, -1), Options{}},
		{"errors in both, one stock", sharing(stated(three(), 4, 3), 14), Options{}},
	} {
		c.o.MonteCarlo, c.o.Seed, c.o.At, c.o.Tolerance = true, 1, []float64{1000}, relative(0.03)
		r := must(t, c.rows, c.o)
		m := r.MonteCarlo
		require.NotNil(t, m, c.name)
		require.True(t, m.Settled, c.name)
		require.Empty(t, m.Differs, c.name)
		require.InDelta(t, r.Fit.Slope, m.Slope.Value, 0.2*(r.At[0].High-r.At[0].Low)/1000, c.name)
		require.InDelta(t, r.PWithin, m.PWithin, 0.01, c.name)
		if !math.IsNaN(m.At[0].U) {
			// Drawn from Student's t the standard deviation is that of t: larger by sqrt(nu/(nu-2)).
			u := r.At[0].U
			if r.Fit.Basis == line.FromScatter {
				u *= math.Sqrt(float64(r.Fit.DoF) / float64(r.Fit.DoF-2))
			}
			require.InEpsilon(t, u, m.At[0].U, 0.05, c.name)
		}

		if c.name != "two-point" {
			continue
		}
		again := must(t, c.rows, c.o)
		require.Equal(t, m.At[0].Low, again.MonteCarlo.At[0].Low, c.name)
		require.Equal(t, m.At[0].High, again.MonteCarlo.At[0].High, c.name)
	}
}

// A gain from a reading known to 30 % is no normal quantity: 1413/x is skewed, and the two ways are
// said to differ.
func TestMonteCarloFlagsWhereLinearFails(t *testing.T) {
	r := must(t, stated(plain(1413, 1380), 1, 400), Options{MonteCarlo: true, Seed: 3, At: []float64{1380}})
	require.NotEmpty(t, r.MonteCarlo.Differs)
	require.True(t, r.MonteCarlo.At[0].Differs)
	require.Greater(t, r.MonteCarlo.At[0].High-1413, 1.5*(1413-r.MonteCarlo.At[0].Low), "skewed to the high side")
	require.Contains(t, strings.Join(r.Warnings, "\n"), "simulation and linear propagation differ")
}

// Without a basis there is nothing to draw from.
func TestMonteCarloNeedsABasis(t *testing.T) {
	r := must(t, plain(706, 690, 1413, 1380), Options{MonteCarlo: true, Seed: 1})
	require.Nil(t, r.MonteCarlo)
	require.Contains(t, strings.Join(r.Warnings, "\n"), "nothing to simulate")
}

// Pearson's points with York's weights: simulation of the estimator finds the figures of A.H.
// Kalantar (1992) for the propagation through it, 0.29193 and 0.057617, which differ from York's
// adjusted-points ones by 1 %; and the two ways agree to the digit that counts.
func TestMonteCarloOnPearson(t *testing.T) {
	if testing.Short() {
		t.Skip("a hundred thousand fits")
	}
	x := []float64{0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4}
	wx := []float64{1000, 1000, 500, 800, 200, 80, 60, 20, 1.8, 1}
	y := []float64{5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5}
	wy := []float64{1, 1.8, 4, 8, 20, 20, 70, 70, 100, 500}
	var rows []Row
	for i := range x {
		rows = append(rows, Row{Ref: y[i], Reading: x[i], URef: pointer(1 / math.Sqrt(wy[i])), UReading: pointer(1 / math.Sqrt(wx[i]))})
	}
	r := must(t, rows, Options{Kind: Other, MonteCarlo: true, Seed: 1})
	require.Equal(t, line.MethodErrorsInBoth, r.Fit.Method)
	require.InDelta(t, -0.480533407, r.Fit.Slope, 5e-10)
	require.InDelta(t, 0.294970735, r.Fit.UIntercept, 5e-10)
	require.InEpsilon(t, 0.29193, r.MonteCarlo.Intercept.U, 0.03)
	require.InEpsilon(t, 0.057617, r.MonteCarlo.Slope.U, 0.03)
}
