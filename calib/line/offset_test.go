package line

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// An offset is the mean difference: its uncertainty is s/sqrt(n) by scatter (GUM 4.2.3), and the
// stated covariance carried through the mean where there is one.
func TestOffset(t *testing.T) {
	f, err := Offset(Points{X: []float64{0.4}, Y: []float64{0}})
	require.NoError(t, err)
	require.Equal(t, 1.0, f.Slope)
	require.InDelta(t, -0.4, f.Intercept, 1e-15)
	require.Equal(t, NoBasis, f.Basis)
	require.True(t, math.IsNaN(f.UIntercept))

	f, err = Offset(Points{X: []float64{0.3, 0.5, 0.4}, Y: []float64{0, 0, 0}})
	require.NoError(t, err)
	require.InDelta(t, -0.4, f.Intercept, 1e-12)
	require.InDelta(t, 0.1/math.Sqrt(3), f.UIntercept, 1e-12)
	require.Equal(t, 2, f.DoF)
	require.Zero(t, f.USlope)

	p := Points{X: []float64{0.4}, Y: []float64{0}}
	p.CovY, err = Covariance([]float64{0.02})
	require.NoError(t, err)
	p.CovX, err = Covariance([]float64{0.05})
	require.NoError(t, err)
	f, err = Offset(p)
	require.NoError(t, err)
	e, err := f.At(20, Level)
	require.NoError(t, err)
	require.InDelta(t, 19.6, e.Corrected, 1e-12)
	require.InDelta(t, math.Hypot(0.02, 0.05), e.U, 1e-12)
	kept, err := Restore(f.Kept())
	require.NoError(t, err)
	again, err := kept.At(20, Level)
	require.NoError(t, err)
	require.InDelta(t, e.U, again.U, 1e-12)
}

// Points exactly on a line say nothing of the scatter that a display hides: what is known of it
// can be put in, u = sd/sqrt(n) for the height in the middle.
func TestRaiseScatter(t *testing.T) {
	p := Points{X: []float64{100, 200, 300}, Y: []float64{101, 202, 303}}
	for _, m := range []Method{MethodOrdinary, MethodGain} {
		f, err := m.Fit(p)
		require.NoError(t, err)
		require.True(t, f.Exact(), string(m))
		require.Equal(t, []bool{false, false, false}, f.Flagged)
		f.RaiseScatter(2)
		e, err := f.At(200, Level)
		require.NoError(t, err)
		want := 2 / math.Sqrt(3)
		if m == MethodGain {
			want = 2 * 200 / math.Sqrt(100*100+200*200+300*300)
		}
		require.InDelta(t, want, e.U, 1e-9, string(m))
		f.RaiseScatter(1)
		require.Equal(t, 2.0, f.PointSD, "never lowered")
		f.DropInterval()
		require.Equal(t, NoBasis, f.Basis)
	}
	f, err := Ordinary(Points{X: []float64{100, 200, 300}, Y: []float64{101, 202, 303.1}})
	require.NoError(t, err)
	require.False(t, f.Exact())
	require.Equal(t, f.ResidualSD, f.PointSD)
}
