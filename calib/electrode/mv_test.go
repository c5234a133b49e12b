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

func unknown(x float64) uncert.Value {
	return uncert.Unstated(x, uncert.Source{ID: "unstated", Label: "not stated"})
}

func known(x, u float64, id string) uncert.Value {
	return uncert.Must(uncert.New(x, u, uncert.Source{ID: id, Label: id}))
}

func celsius(x float64) *uncert.Value {
	v := uncert.Exact(x)
	return &v
}

// stated builds points at one temperature with u 0.01 pH and 0.3 mV.
func stated(temp float64, phMV ...float64) []electrode.Point {
	var out []electrode.Point
	for i := 0; i < len(phMV); i += 2 {
		n := string(rune('a' + i))
		out = append(out, electrode.Point{PH: known(phMV[i], 0.01, "ph"+n), MV: known(phMV[i+1], 0.3, "mv"+n), TempC: celsius(temp)})
	}
	return out
}

// Trade rule for 25 C: between pH 7.01 and 4.01, 150 mV is a slope of 85 % and
// 186 mV one of 105 % (printed to whole millivolts: half of one is 0.3 %).
func TestTradeRuleForTheSlope(t *testing.T) {
	for mv, percent := range map[float64]float64{150: 85, 186: 105} {
		r, err := electrode.FromMV(stated(25, 7.01, 0, 4.01, mv))
		require.NoError(t, err)
		assert.InDelta(t, percent, r.SlopePercent.Value, 0.5)
	}
}

// 30 mV at pH 7 is "0.5 pH": USP <791> gives both figures, 0 ± 30 mV.
func TestOffsetAndZeroPoint(t *testing.T) {
	r, err := electrode.FromMV(stated(25, 4, 177.48+30, 7, 30))
	require.NoError(t, err)
	assert.InDelta(t, 100, r.SlopePercent.Value, 0.01)
	assert.InDelta(t, 59.16, r.SlopeMVPerPH.Value, 0.005)
	assert.InDelta(t, 30, r.OffsetMV.Value, 1e-9)
	assert.InDelta(t, 7.5, r.ZeroPointPH.Value, 0.01)
	assert.Nil(t, r.OffsetPH)
}

// An ideal electrode of a given slope and offset, read in the published
// buffers at several temperatures at once, comes back exactly.
func TestRoundTripAcrossTemperatures(t *testing.T) {
	for _, f := range []float64{0.87, 0.97, 1, 1.03} {
		for _, e7 := range []float64{-40, 0, 12.5} {
			var points []electrode.Point
			for name, temp := range map[string]float64{"phthalate": 10, "phosphate": 25, "borax": 35} {
				b, err := solutions.BufferByName(name)
				require.NoError(t, err)
				ph, err := b.At(uncert.Exact(temp))
				require.NoError(t, err)
				s, err := electrode.IdealSlope(temp)
				require.NoError(t, err)
				points = append(points, electrode.Point{
					PH: ph.Value, MV: known(e7-f*s*(ph.Value.Nominal()-7), 0.2, "mv"+name), TempC: celsius(temp)})
			}
			r, err := electrode.FromMV(points)
			require.NoError(t, err)
			assert.InDelta(t, 100*f, r.SlopePercent.Value, 1e-9)
			assert.InDelta(t, e7, r.OffsetMV.Value, 1e-9)
			s, _ := electrode.IdealSlope(r.TempC)
			assert.InDelta(t, 7+e7/(f*s), r.ZeroPointPH.Value, 1e-9)
			for _, p := range r.Points {
				assert.InDelta(t, 0, *p.Residual, 1e-9)
			}
			assert.Contains(t, strings.Join(r.Warnings, "\n"), "the points differ by 25.0 C")
			// Reading each buffer back gives its pH.
			for _, p := range points {
				got, err := r.FromMV(p.MV, *p.TempC)
				require.NoError(t, err)
				assert.InDelta(t, p.PH.Nominal(), got.PH.Value, 1e-9)
			}
		}
	}
}

// The uncertainty of a two-point slope by hand: u² = (u(E1)² + u(E2)² +
// (f S)² (u(pH1)² + u(pH2)²)) / (S Δ)².
func TestTwoPointUncertaintyByHand(t *testing.T) {
	s, err := electrode.IdealSlope(25)
	require.NoError(t, err)
	r, err := electrode.FromMV(stated(25, 4, 3*s*0.96, 7, 0))
	require.NoError(t, err)
	want := 100 * math.Sqrt(2*0.3*0.3+0.96*0.96*s*s*2*0.01*0.01) / (3 * s)
	assert.InDelta(t, want, *r.SlopePercent.U, 1e-9)
	assert.InDelta(t, r.SlopePercent.Value-1.959964*want, *r.SlopePercent.Low, 1e-5)
	assert.True(t, math.IsInf(r.SlopePercent.DoF, 1))
	assert.Equal(t, "stated", r.UncertaintyFrom)
	assert.Nil(t, r.Chi2, "two points leave nothing to test")
}

func TestTwoPointsUnstatedHaveNoInterval(t *testing.T) {
	r, err := electrode.FromMV([]electrode.Point{
		{PH: unknown(4.01), MV: unknown(172), TempC: celsius(25)},
		{PH: unknown(7.01), MV: unknown(-2), TempC: celsius(25)}})
	require.NoError(t, err)
	assert.Nil(t, r.SlopePercent.U)
	assert.Nil(t, r.SlopePercent.Low)
	assert.Nil(t, r.ZeroPointPH.U)
	assert.Equal(t, "none", r.UncertaintyFrom)
	assert.Equal(t, conformity.Undecided, r.Verdict)
	text := strings.Join(r.Warnings, "\n")
	assert.Contains(t, text, "no basis for an interval")
	assert.Contains(t, strings.Join(r.Advice, "\n"), "undecided: no uncertainty is known")
	p, err := r.FromMV(uncert.Exact(30), uncert.Exact(25))
	require.NoError(t, err)
	assert.Nil(t, p.PH.U)
	// Exact is not unknown: the same points, all exact, give a width of zero.
	r, err = electrode.FromMV([]electrode.Point{
		{PH: uncert.Exact(4.01), MV: uncert.Exact(172), TempC: celsius(25)},
		{PH: uncert.Exact(7.01), MV: uncert.Exact(-2), TempC: celsius(25)}})
	require.NoError(t, err)
	require.NotNil(t, r.SlopePercent.U)
	assert.Zero(t, *r.SlopePercent.U)
}

func TestThreeUnstatedUseScatter(t *testing.T) {
	r, err := electrode.FromMV([]electrode.Point{
		{PH: unknown(4), MV: unknown(172.3), TempC: celsius(25)},
		{PH: unknown(7), MV: unknown(0.4), TempC: celsius(25)},
		{PH: unknown(10), MV: unknown(-173.1), TempC: celsius(25)}})
	require.NoError(t, err)
	require.NotNil(t, r.SlopePercent.U)
	assert.Equal(t, 1.0, r.SlopePercent.DoF)
	assert.InDelta(t, 12.706, (*r.SlopePercent.High-r.SlopePercent.Value)/(*r.SlopePercent.U), 0.0005, "Student's t for one degree of freedom (JCGM 100:2008, table G.2: 12.71)")
	assert.InDelta(t, 1, r.ZeroPointPH.DoF, 1e-9, "intercept and slope share one estimate of the scatter")
	assert.Equal(t, "scatter", r.UncertaintyFrom)
}

func TestIntervalWidensOutsideTheBracket(t *testing.T) {
	r, err := electrode.FromMV(stated(25, 4, 172.3, 7, 0.4, 10, -173.1))
	require.NoError(t, err)
	assert.Equal(t, 4.0, r.LowPH)
	assert.Equal(t, 10.0, r.HighPH)
	last := 0.0
	for i, mv := range []float64{0, -100, -172, -230, -290} {
		p, err := r.FromMV(uncert.Exact(mv), uncert.Exact(25))
		require.NoError(t, err)
		width := *p.PH.High - *p.PH.Low
		assert.Greater(t, width, last)
		last = width
		assert.Equal(t, i > 2, p.Outside)
		assert.Equal(t, p.Outside, len(p.Warnings) == 1)
		if p.Outside {
			assert.Contains(t, p.Warnings[0], "bracket, 4.00 to 10.00")
		}
	}
	assert.Contains(t, strings.Join(r.Warnings, "\n"), "bracket pH 4.00 to 10.00")
}

func TestOneBufferGivesOnlyTheOffset(t *testing.T) {
	r, err := electrode.FromMV(stated(25, 7, 12))
	require.NoError(t, err)
	assert.Nil(t, r.SlopePercent)
	assert.Nil(t, r.SlopeMVPerPH)
	assert.InDelta(t, 12, r.OffsetMV.Value, 1e-9)
	assert.Contains(t, r.Warnings[0], "one buffer gives the offset only")
	assert.Equal(t, conformity.Undecided, r.Verdict)
	at7 := *r.OffsetMV.U
	// Away from pH 7 the unknown slope counts: 3 pH · 59.16 mV · 15 %/√12.
	r, err = electrode.FromMV(stated(25, 4, 177))
	require.NoError(t, err)
	assert.InDelta(t, 3*59.16*0.15/math.Sqrt(12), *r.OffsetMV.U, 0.1)
	assert.Greater(t, *r.OffsetMV.U, 5*at7)
	p, err := r.FromMV(uncert.Exact(0), uncert.Exact(25))
	require.NoError(t, err)
	assert.True(t, p.Outside)
	assert.Contains(t, p.Warnings[0], "slope to get there was assumed")
}

func TestTemperatureNotRecorded(t *testing.T) {
	p := stated(25, 4, 172, 7, 0)
	p[0].TempC, p[1].TempC = nil, nil
	r, err := electrode.FromMV(p)
	require.NoError(t, err)
	assert.Equal(t, 25.0, r.TempC)
	assert.Contains(t, strings.Join(r.Warnings, "\n"), "no temperature was recorded")
	with, err := electrode.FromMV(stated(25, 4, 172, 7, 0))
	require.NoError(t, err)
	assert.NotContains(t, strings.Join(with.Warnings, "\n"), "no temperature")
	assert.Equal(t, with.SlopePercent.Value, r.SlopePercent.Value)
}

func TestUncertainThermometerCounts(t *testing.T) {
	exact, err := electrode.FromMV(stated(25, 4, 172, 7, 0))
	require.NoError(t, err)
	p := stated(25, 4, 172, 7, 0)
	th := known(25, 2, "thermometer")
	p[0].TempC, p[1].TempC = &th, &th
	r, err := electrode.FromMV(p)
	require.NoError(t, err)
	// u(S)/S = 2/298.15: 0.65 % of the slope of 96.9 %.
	assert.InDelta(t, math.Hypot(*exact.SlopePercent.U, 96.92*2/298.15), *r.SlopePercent.U, 0.002)
}

func TestMVRefuses(t *testing.T) {
	ok := stated(25, 4, 172, 7, 0)
	nan := known(0, 1, "x").Shift(math.NaN())
	for _, c := range []struct {
		name   string
		points []electrode.Point
		cause  error
		text   string
	}{
		{"none", nil, electrode.ErrNoPoints, "two buffers"},
		{"same buffer", stated(25, 7, 0, 7, 1), electrode.ErrSameBuffer, "0.5 pH apart"},
		{"nearly the same buffer", stated(25, 7.01, 0, 6.86, 1), electrode.ErrSameBuffer, "6.860 to 7.010"},
		{"wrong sign", stated(25, 4, -172, 7, 0), electrode.ErrWrongSign, "changed places"},
		{"volts", stated(25, 4, 0.172, 7, 0), electrode.ErrWrongUnit, "in mV"},
		{"not a number", []electrode.Point{ok[0], {PH: nan, MV: ok[1].MV, TempC: celsius(25)}}, electrode.ErrNotFinite, "point 2"},
		{"no potential", []electrode.Point{{PH: ok[0].PH, MV: nan, TempC: celsius(25)}, ok[1]}, electrode.ErrNotFinite, "point 1"},
		{"infinite", []electrode.Point{{PH: ok[0].PH, MV: uncert.Exact(math.Inf(1)), TempC: celsius(25)}, ok[1]}, electrode.ErrNotFinite, "point 1"},
		{"pH off the scale", stated(25, 41, 172, 7, 0), solutions.ErrOutOfRange, "0 to 14 pH"},
		{"microvolts", stated(25, 4, 172000, 7, 0), solutions.ErrOutOfRange, "-1000 to 1000 mV"},
		{"hot", stated(51, 4, 172, 7, 0), solutions.ErrOutOfRange, "0 to 50 C"},
		{"Fahrenheit", stated(77, 4, 172, 7, 0), solutions.ErrOutOfRange, "25C"},
		{"temperature not a number", stated(math.NaN(), 4, 172, 7, 0), solutions.ErrOutOfRange, "NaN"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := electrode.FromMV(c.points)
			require.ErrorIs(t, err, c.cause)
			assert.Contains(t, err.Error(), c.text)
			assert.Zero(t, r.N, "nothing beside the error")
		})
	}
}

func TestDeadElectrode(t *testing.T) {
	for name, points := range map[string][]electrode.Point{
		"constant":     stated(25, 4, 12, 7, 12, 10, 12),
		"constant two": stated(25, 4, 0, 7, 0),
		"noise":        stated(25, 4, 11, 7, 12.2, 10, 11.4),
	} {
		t.Run(name, func(t *testing.T) {
			r, err := electrode.FromMV(points)
			require.NoError(t, err)
			assert.InDelta(t, 0, r.SlopePercent.Value, 1)
			assert.Nil(t, r.ZeroPointPH, "0 mV is nowhere near")
			assert.Nil(t, r.Points[0].Corrected)
			require.NotEmpty(t, r.Faults)
			assert.Equal(t, "dead", r.Faults[0].ID)
			assert.Equal(t, conformity.Fail, r.Verdict)
			_, err = r.FromMV(uncert.Exact(0), uncert.Exact(25))
			assert.ErrorIs(t, err, electrode.ErrNotDetermined)
		})
	}
}

func TestThermometerNotJudged(t *testing.T) {
	p := stated(25, 4, 172, 7, 0)
	th := unknown(25)
	p[0].TempC, p[1].TempC = &th, &th
	r, err := electrode.FromMV(p)
	require.NoError(t, err)
	assert.Contains(t, strings.Join(r.Warnings, "\n"), "thermometer's uncertainty is not stated")
	with, err := electrode.FromMV(stated(25, 4, 172, 7, 0))
	require.NoError(t, err)
	assert.Equal(t, *with.SlopePercent.U, *r.SlopePercent.U)
}

// A reading of the sample by the same doubtful thermometer: at the buffers'
// own temperature its error cancels from the pH.
func TestThermometerCancelsInTheSample(t *testing.T) {
	p := stated(25, 4, 172, 7, 0)
	th := known(25, 2, "thermometer")
	p[0].TempC, p[1].TempC = &th, &th
	r, err := electrode.FromMV(p)
	require.NoError(t, err)
	same, err := r.FromMV(uncert.Exact(172), th)
	require.NoError(t, err)
	other, err := r.FromMV(uncert.Exact(172), known(25, 2, "another"))
	require.NoError(t, err)
	assert.InDelta(t, math.Hypot(0.01, 0.3/57.3), *same.PH.U, 1e-4, "the buffer's own uncertainty and the reading's")
	assert.Greater(t, *other.PH.U, 2**same.PH.U)
}

// What is stated and shared counts beside the scatter, what is a point's own
// does not count twice.
func TestSharedErrorBesideScatter(t *testing.T) {
	points := func(kit float64) []electrode.Point {
		var out []electrode.Point
		for i, mv := range []float64{172.3, 0.4, -173.1} {
			out = append(out, electrode.Point{
				PH:    uncert.Must(known(4+3*float64(i), 0.01, string(rune('a'+i))).With(kit, uncert.Source{ID: "kit", Label: "kit"})),
				MV:    unknown(mv),
				TempC: celsius(25)})
		}
		return out
	}
	alone, err := electrode.FromMV(points(0))
	require.NoError(t, err)
	kit, err := electrode.FromMV(points(0.05))
	require.NoError(t, err)
	assert.InDelta(t, *alone.SlopePercent.U, *kit.SlopePercent.U, 1e-9, "a shift of all buffers leaves the slope")
	assert.InDelta(t, math.Hypot(*alone.ZeroPointPH.U, 0.05), *kit.ZeroPointPH.U, 1e-9)
	assert.Contains(t, strings.Join(kit.Warnings, "\n"), "what several points share was added")
}
