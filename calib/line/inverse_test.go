package line

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Miller and Miller, chapter 5: the concentration that belongs to a fluorescence, with Fieller's
// limits. The book regresses fluorescence (our Y) on concentration (our X).
func TestInverseOnFluorescence(t *testing.T) {
	data, want := published(t, "inverse_fluorescence"), published(t, "inverse_fluorescence_results")
	f, err := Ordinary(Points{X: data.column("x"), Y: data.column("y")})
	require.NoError(t, err)
	want.printed("a", f.Intercept)
	want.printed("b", f.Slope)
	want.printed("s_a", f.UIntercept)
	want.printed("s_b", f.USlope)
	agree(t, "s_yx", want.exact("s_yx"), f.ResidualSD, 9)
	for _, c := range []struct {
		y0 string
		v  float64
		m  int
	}{{"2.9", 2.9, 1}, {"13.5", 13.5, 1}, {"23", 23, 1}, {"2.9", 2.9, 4}} {
		key := fmt.Sprintf("[y0=%s;m=%d]", c.y0, c.m)
		inv, err := f.Inverse(c.v, Seen{Repeats: c.m}, Level)
		require.NoError(t, err)
		agree(t, "x0"+key, want.exact("x0"+key), inv.Reading, 9)
		agree(t, "s_x0"+key, want.exact("s_x0"+key), inv.U, 9)
		agree(t, "lo"+key, want.exact("fieller_lo"+key), inv.Low, 9)
		agree(t, "hi"+key, want.exact("fieller_hi"+key), inv.High, 9)
		agree(t, "g", want.exact("g"), inv.G, 9)
		require.Equal(t, Bounded, inv.Shape)
		if c.m == 1 {
			want.printed("x0"+key, inv.Reading)
			want.printed("s_x0"+key, inv.U)
		}
	}
}

// Where the slope is not told from zero the set is not an interval, and says so.
func TestInverseUnbounded(t *testing.T) {
	noisy := Points{X: []float64{1, 2, 3, 4}, Y: []float64{1, 3, 0.5, 2}}
	f, err := Ordinary(noisy)
	require.NoError(t, err)
	near, err := f.Inverse(1.6, Seen{}, Level)
	require.NoError(t, err)
	require.Equal(t, Everything, near.Shape)
	require.GreaterOrEqual(t, near.G, 1.0)
	require.True(t, math.IsInf(near.Low, -1) && math.IsInf(near.High, 1))
	far, err := f.Inverse(100, Seen{}, Level)
	require.NoError(t, err)
	require.Equal(t, TwoRays, far.Shape)
	require.Less(t, far.Low, far.High)
	// Each limit lies where the line's own band just touches the value.
	for _, x := range []float64{far.Low, far.High} {
		e, err := f.At(x, Level)
		require.NoError(t, err)
		require.InDelta(t, 100, math.Max(math.Abs(100-e.Low), math.Abs(100-e.High))*0+nearest(100, e.Low, e.High), 1e-6)
	}
	two, err := TwoPoint(Points{X: []float64{1, 2}, Y: []float64{1, 2}})
	require.NoError(t, err)
	none, err := two.Inverse(1.5, Seen{}, Level)
	require.NoError(t, err)
	require.Equal(t, NoInterval, none.Shape)
	require.InDelta(t, 1.5, none.Reading, 1e-15)
}

func nearest(v, a, b float64) float64 {
	if math.Abs(v-a) < math.Abs(v-b) {
		return a
	}
	return b
}

// Prediction and inverse undo each other.
func TestInverseUndoesCorrected(t *testing.T) {
	f, err := Ordinary(Points{X: []float64{5, 10, 20, 40}, Y: []float64{5.4, 10.1, 20.9, 40.2}})
	require.NoError(t, err)
	for _, x := range []float64{-3, 0, 5, 17, 100} {
		inv, err := f.Inverse(f.Corrected(x), Seen{}, Level)
		require.NoError(t, err)
		require.InDelta(t, x, inv.Reading, 1e-10)
		require.True(t, inv.Low < x && x < inv.High)
	}
	_, err = f.Inverse(5, Seen{U: -1}, Level)
	require.Error(t, err)
	_, err = f.Inverse(math.NaN(), Seen{}, Level)
	require.ErrorIs(t, err, ErrNotFinite)
}
