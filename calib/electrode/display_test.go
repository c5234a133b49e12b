package electrode_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/electrode"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

func shown(temp float64, phShown ...float64) []electrode.DisplayPoint {
	var out []electrode.DisplayPoint
	for i := 0; i < len(phShown); i += 2 {
		n := string(rune('a' + i))
		out = append(out, electrode.DisplayPoint{PH: known(phShown[i], 0.01, "ph"+n), Reading: known(phShown[i+1], 0.01, "d"+n), TempC: celsius(temp)})
	}
	return out
}

func TestDisplaySlopeAndZero(t *testing.T) {
	// 7.10 in pH 7 and 4.40 in pH 4: the slope has fallen to 90 %, the zero
	// has moved by 0.1.
	r, err := electrode.FromDisplay(shown(25, 7, 7.10, 4, 4.40))
	require.NoError(t, err)
	assert.InDelta(t, 90, r.SlopePercent.Value, 1e-9)
	assert.InDelta(t, 0.1, r.OffsetPH.Value, 1e-9)
	assert.InDelta(t, 7-0.1/0.9, r.ZeroPointPH.Value, 1e-9)
	assert.Nil(t, r.SlopeMVPerPH)
	assert.Nil(t, r.OffsetMV)
	assert.Equal(t, conformity.Undecided, r.Verdict, "relative to the stored calibration")
	assert.Contains(t, strings.Join(r.Warnings, "\n"), "relative to the calibration stored")
	assert.Contains(t, strings.Join(r.Advice, "\n"), "read the buffers in mV, or reset")
	p, err := r.FromDisplay(uncert.Exact(4.40))
	require.NoError(t, err)
	assert.InDelta(t, 4, p.PH.Value, 1e-9)
	_, err = r.FromMV(uncert.Exact(0), uncert.Exact(25))
	assert.ErrorIs(t, err, electrode.ErrWrongBasis)
}

// A meter that has the ideal calibration stored shows 7 − E/S. Judged by its
// display or by its potentials, the electrode is the same.
func TestDisplayAndMVAgree(t *testing.T) {
	for _, temp := range []float64{10, 25, 40} {
		s, err := electrode.IdealSlope(temp)
		require.NoError(t, err)
		var mv []electrode.Point
		var disp []electrode.DisplayPoint
		for i, ph := range []float64{4, 7, 10} {
			e := 8 - 0.95*s*(ph-7) + []float64{0.4, -0.6, 0.2}[i]
			n := string(rune('a' + i))
			buffer := known(ph, 0.01, "ph"+n)
			reading := known(e, 0.3, "mv"+n)
			mv = append(mv, electrode.Point{PH: buffer, MV: reading, TempC: celsius(temp)})
			disp = append(disp, electrode.DisplayPoint{PH: buffer, Reading: reading.Scale(-1 / s).Shift(7), TempC: celsius(temp)})
		}
		a, err := electrode.FromMV(mv)
		require.NoError(t, err)
		b, err := electrode.FromDisplay(disp)
		require.NoError(t, err)
		assert.InDelta(t, a.SlopePercent.Value, b.SlopePercent.Value, 1e-9)
		assert.InDelta(t, *a.SlopePercent.U, *b.SlopePercent.U, 1e-9)
		assert.InDelta(t, a.ZeroPointPH.Value, b.ZeroPointPH.Value, 1e-9)
		assert.InDelta(t, *a.ZeroPointPH.U, *b.ZeroPointPH.U, 1e-9)
		assert.InDelta(t, -a.OffsetMV.Value/s, b.OffsetPH.Value, 1e-9)
		assert.InDelta(t, *a.Chi2, *b.Chi2, 1e-9)
		pa, err := a.FromMV(uncert.Exact(100), uncert.Exact(temp))
		require.NoError(t, err)
		pb, err := b.FromDisplay(uncert.Exact(7 - 100/s))
		require.NoError(t, err)
		assert.InDelta(t, pa.PH.Value, pb.PH.Value, 1e-9)
		assert.InDelta(t, *pa.PH.U, *pb.PH.U, 1e-9)
	}
}

func TestDisplayOneBuffer(t *testing.T) {
	r, err := electrode.FromDisplay(shown(25, 7, 7.2))
	require.NoError(t, err)
	assert.Nil(t, r.SlopePercent)
	assert.InDelta(t, 0.2, r.OffsetPH.Value, 1e-9)
	assert.Equal(t, conformity.Undecided, r.Verdict)
}

func TestDisplayRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		points []electrode.DisplayPoint
		cause  error
	}{
		{"none", nil, electrode.ErrNoPoints},
		{"same buffer", shown(25, 7, 7.1, 7, 7.2), electrode.ErrSameBuffer},
		{"swapped", shown(25, 4, 7, 7, 4), electrode.ErrWrongSign},
		{"millivolts", shown(25, 4, 172, 7, 0), solutions.ErrOutOfRange},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := electrode.FromDisplay(c.points)
			require.ErrorIs(t, err, c.cause)
		})
	}
	_, err := electrode.FromDisplay([]electrode.DisplayPoint{{PH: uncert.Exact(4), Reading: uncert.Exact(math.NaN())}})
	require.ErrorIs(t, err, electrode.ErrNotFinite)
	r, err := electrode.FromDisplay(shown(25, 4, 4.1, 7, 7))
	require.NoError(t, err)
	_, err = r.FromDisplay(uncert.Exact(172))
	assert.ErrorIs(t, err, solutions.ErrOutOfRange)
	m, err := electrode.FromMV(stated(25, 4, 172, 7, 0))
	require.NoError(t, err)
	_, err = m.FromDisplay(uncert.Exact(7))
	assert.ErrorIs(t, err, electrode.ErrWrongBasis)
	_, err = m.FromMV(uncert.Exact(5000), uncert.Exact(25))
	assert.ErrorIs(t, err, solutions.ErrOutOfRange)
	_, err = m.FromMV(uncert.Exact(0), uncert.Exact(80))
	assert.ErrorIs(t, err, solutions.ErrOutOfRange)
	_, err = electrode.Result{}.FromMV(uncert.Exact(0), uncert.Exact(25))
	assert.Error(t, err)
}
