package series_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/series"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// begin is day 0 of the invented meters.
var begin = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)

func day(d float64) time.Time { return begin.Add(time.Duration(d * 24 * float64(time.Hour))) }

// cal is a calibration on a day, exact, for readings from 0 to 2000.
func cal(d float64, state series.State, intercept, slope float64) series.Calibration {
	return series.Calibration{Time: day(d), State: state, Line: series.Exact(intercept, slope, 0, 2000), Name: "day " + day(d).Format("0102")}
}

func breaks(days ...float64) []series.Break {
	var out []series.Break
	for _, d := range days {
		out = append(out, series.Break{Time: day(d), Name: "adjusted"})
	}
	return out
}

// corrector is one of a meter without limits.
func corrector(t *testing.T, cals []series.Calibration, cuts []series.Break, g series.Growth) *series.Corrector {
	t.Helper()
	line, err := series.NewTimeline(cals, cuts, g)
	require.NoError(t, err)
	c, err := series.NewCorrector(&series.Probe{Column: "ec", Timeline: line, Low: math.NaN(), High: math.NaN()})
	require.NoError(t, err)
	return c
}

// Rows computed by hand. Found on day 0 as 2 + 1.00 x and left as 1 + 1.05 x,
// found on day 30 as 4 + 1.11 x: on day 10 the line is 2 + 1.07 x, on day 20
// 3 + 1.09 x, after day 30 always 4 + 1.11 x.
func TestRowsByHand(t *testing.T) {
	c := corrector(t, []series.Calibration{
		cal(30, series.AsFound, 4, 1.11), cal(0, series.AsLeft, 1, 1.05), cal(0, series.AsFound, 2, 1.00),
	}, nil, series.Growth{})
	for _, row := range []struct{ day, reading, want float64 }{
		{0, 600, 631},    // 1 + 630
		{10, 600, 644},   // 2 + 642
		{10, 0, 2},       // the intercept alone
		{20, 1000, 1093}, // 3 + 1090
		{15, 500, 542.5}, // 2.5 + 540
		{29.999, 600, 4 - 0.0001 + 600*(1.11-0.06/30000)},
		{30, 600, 670}, // 4 + 666
		{31, 600, 670},
		{900, 600, 670},
	} {
		value, u, flag := c.At(day(row.day).UnixNano(), row.reading, math.NaN())
		assert.InDelta(t, row.want, value, 1e-9, "day %v, reading %v", row.day, row.reading)
		assert.Equal(t, series.Believed, flag)
		if row.day >= 30 {
			assert.Zero(t, u, "lines known exactly, and no drift")
		}
	}
	value, u, flag := c.At(day(-0.001).UnixNano(), 600, math.NaN())
	assert.True(t, math.IsNaN(value) && math.IsNaN(u))
	assert.Equal(t, series.BeforeCalibration, flag)
}

// What applies when: the corrected value of a reading of 100, NaN for none. The
// expected figures tell every other reading of the rules apart.
func TestWhatApplies(t *testing.T) {
	found, left := series.AsFound, series.AsLeft
	nan := math.NaN()
	for name, c := range map[string]struct {
		cals   []series.Calibration
		breaks []float64
		want   map[float64]float64 // by day
	}{
		"one is held after it": {
			[]series.Calibration{cal(0, found, 0, 1.1)}, nil,
			map[float64]float64{-1: nan, 0: 110, 50: 110}},
		"found leads on": {
			[]series.Calibration{cal(0, found, 0, 1.0), cal(10, found, 0, 1.1)}, nil,
			map[float64]float64{0: 100, 5: 105, 10: 110, 20: 110}},
		"left alone has nothing that leads up to it": {
			[]series.Calibration{cal(0, found, 0, 1.0), cal(10, left, 0, 1.1)}, nil,
			map[float64]float64{0: 100, 5: 100, 9.99: 100, 10: 110, 20: 110}},
		"left leads on": {
			[]series.Calibration{cal(0, left, 0, 1.0), cal(10, found, 0, 1.1), cal(10, left, 0, 0.9), cal(20, found, 0, 1.0)}, nil,
			map[float64]float64{5: 105, 9.999: 109.999, 10: 90, 15: 95, 20: 100, 30: 100}},
		"found first, left after, at one time and in any order": {
			[]series.Calibration{cal(10, left, 0, 0.9), cal(0, left, 0, 1.0), cal(10, found, 0, 1.1)}, nil,
			map[float64]float64{5: 105, 10: 90, 30: 90}},
		"a break ends what was, and the next is held back to it": {
			[]series.Calibration{cal(0, found, 0, 1.0), cal(10, found, 0, 1.1)}, []float64{4},
			map[float64]float64{0: 100, 3.99: 100, 4: 110, 9: 110, 10: 110}},
		"between two breaks nothing applies": {
			[]series.Calibration{cal(0, found, 0, 1.0), cal(10, found, 0, 1.1)}, []float64{7, 4},
			map[float64]float64{3: 100, 4: nan, 6.99: nan, 7: 110, 12: 110}},
		"a break before one as left": {
			[]series.Calibration{cal(0, found, 0, 1.0), cal(10, left, 0, 1.1)}, []float64{4},
			map[float64]float64{3: 100, 4: nan, 9.99: nan, 10: 110}},
		"a break after the last leaves nothing": {
			[]series.Calibration{cal(0, found, 0, 1.0), cal(10, found, 0, 1.1)}, []float64{14},
			map[float64]float64{5: 105, 13.99: 110, 14: nan, 500: nan}},
		"a break before the first means nothing": {
			[]series.Calibration{cal(0, found, 0, 1.0)}, []float64{-3},
			map[float64]float64{-4: nan, -1: nan, 0: 100}},
		"found, adjusted, left at one time": {
			[]series.Calibration{cal(0, found, 0, 1.0), cal(10, found, 0, 1.1), cal(10, left, 0, 0.9)}, []float64{10},
			map[float64]float64{5: 105, 10: 90, 11: 90}},
		"found, then adjusted at the same time": {
			[]series.Calibration{cal(0, found, 0, 1.0), cal(10, found, 0, 1.1), cal(20, found, 0, 0.8)}, []float64{10},
			map[float64]float64{5: 105, 9.99: 109.99, 10: 80, 15: 80, 25: 80}},
		"adjusted, then left at the same time": {
			[]series.Calibration{cal(0, found, 0, 1.0), cal(10, left, 0, 1.1), cal(20, found, 0, 1.2)}, []float64{10},
			map[float64]float64{5: 100, 10: 110, 15: 115, 25: 120}},
	} {
		t.Run(name, func(t *testing.T) {
			r := corrector(t, c.cals, breaks(c.breaks...), series.Growth{})
			for d, want := range c.want {
				value, _, flag := r.At(day(d).UnixNano(), 100, math.NaN())
				if math.IsNaN(want) {
					assert.Equal(t, series.BeforeCalibration, flag, "day %v", d)
					assert.True(t, math.IsNaN(value), "day %v", d)
					continue
				}
				assert.InDelta(t, want, value, 1e-9, "day %v", d)
				assert.Equal(t, series.Believed, flag, "day %v", d)
			}
		})
	}
}

func TestTimelineRefuses(t *testing.T) {
	_, err := series.NewTimeline(nil, nil, series.Growth{})
	assert.ErrorIs(t, err, series.ErrNoCalibration)
	for _, state := range []series.State{series.AsFound, series.AsLeft} {
		_, err = series.NewTimeline([]series.Calibration{cal(3, state, 0, 1), cal(0, state, 0, 1), cal(3, state, 1, 1)}, nil, series.Growth{})
		require.ErrorIs(t, err, series.ErrSameTime)
		assert.ErrorContains(t, err, string(state))
		assert.ErrorContains(t, err, "leave one out")
	}
	_, err = series.NewTimeline([]series.Calibration{cal(0, series.AsFound, 0, 1)}, breaks(0), series.Growth{})
	assert.ErrorIs(t, err, series.ErrNoCalibration, "the only one says how it was before an adjustment")
	for _, g := range []series.Growth{{Rate: -1}, {Walk: math.NaN()}, {Rate: math.Inf(1)}} {
		_, err = series.NewTimeline([]series.Calibration{cal(0, series.AsFound, 0, 1)}, nil, g)
		assert.ErrorContains(t, err, "0 or more")
	}
	for want, line := range map[string]series.Line{
		"intercept is NaN":  series.Exact(math.NaN(), 1, 0, 1),
		"slope is +Inf":     series.Exact(0, math.Inf(1), 0, 1),
		"slope is 0":        series.Exact(1, 0, 0, 1),
		"lower end first":   series.Exact(0, 1, 2, 1),
		"variances are -1":  {Slope: 1, VarIntercept: -1, High: 1},
		"than their uncert": {Slope: 1, VarIntercept: 1, VarSlope: 1, Cov: 1.1, High: 1},
	} {
		_, err = series.NewTimeline([]series.Calibration{{Time: begin, Line: line, Name: "may.json"}}, nil, series.Growth{})
		require.ErrorContains(t, err, want)
		assert.ErrorContains(t, err, "may.json")
	}
}

// The order in which calibrations, breaks and rows come makes no difference, the
// pieces leave no gap but those named, and corrected values have no step but at
// the calibrations and breaks.
func TestTimelineInAnyOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	for range 200 {
		var cals []series.Calibration
		for d := range 6 {
			state := []series.State{series.AsFound, series.AsLeft}[r.IntN(2)]
			cals = append(cals, cal(float64(10*d)+5*r.Float64(), state, r.NormFloat64(), 1+0.1*r.NormFloat64()))
		}
		var cuts []series.Break
		for range r.IntN(4) {
			cuts = append(cuts, breaks(60*r.Float64())...)
		}
		g := series.Growth{Rate: 0.02, Walk: 0.01, Relative: r.IntN(2) == 0}
		a := corrector(t, cals, cuts, g)
		line, err := series.NewTimeline(cals, cuts, g)
		require.NoError(t, err)
		r.Shuffle(len(cals), func(i, j int) { cals[i], cals[j] = cals[j], cals[i] })
		r.Shuffle(len(cuts), func(i, j int) { cuts[i], cuts[j] = cuts[j], cuts[i] })
		b := corrector(t, cals, cuts, g)
		var days []float64
		for d := -2.0; d < 80; d += 0.37 {
			days = append(days, d)
		}
		type seen struct {
			value, u float64
			flag     series.Flag
		}
		inOrder := map[float64]seen{}
		for _, d := range days {
			value, u, flag := a.At(day(d).UnixNano(), 700, math.NaN())
			inOrder[d] = seen{value, u, flag}
		}
		r.Shuffle(len(days), func(i, j int) { days[i], days[j] = days[j], days[i] })
		for _, d := range days {
			value, u, flag := b.At(day(d).UnixNano(), 700, math.NaN())
			want := inOrder[d]
			require.Equal(t, want.flag, flag, d)
			if flag == series.Believed {
				require.Equal(t, want.value, value, d)
				require.Equal(t, want.u, u, d)
			}
			gap := false
			for _, g := range line.Gaps() {
				gap = gap || day(d).UnixNano() >= g.From && day(d).UnixNano() < g.To
			}
			require.Equal(t, flag == series.BeforeCalibration, gap || day(d).Before(day(0)) || day(d).UnixNano() < line.Pieces()[0].From, "day %v", d)
		}
	}
}

func TestFlags(t *testing.T) {
	line, err := series.NewTimeline([]series.Calibration{
		{Time: day(0), Line: series.Exact(0, 2, 100, 900)}, {Time: day(10), Line: series.Exact(0, 2, 150, 950)},
	}, nil, series.Growth{})
	require.NoError(t, err)
	c, err := series.NewCorrector(&series.Probe{Column: "ec", Timeline: line, Low: 120, High: 940, StaleAfter: 90 * 24 * time.Hour})
	require.NoError(t, err)
	for _, row := range []struct {
		day, reading float64
		want         series.Flag
	}{
		{5, 120, series.Believed}, {5, 119.9, series.OutOfRange}, // what the meter shows
		{5, 939.9, series.Believed}, {5, 940, series.OutOfRange}, // at its upper end a display stands still
		{5, 500, series.Believed}, {20, 149, series.OutOfRange}, {20, 150, series.Believed}, // the last calibration alone
		{99.99, 500, series.Believed}, {100, 500, series.Stale}, {100, 10, series.OutOfRange},
		{-1, 500, series.BeforeCalibration}, {-1, 10, series.BeforeCalibration},
		{5, math.NaN(), series.Blank}, {-1, math.NaN(), series.Blank},
	} {
		value, _, flag := c.At(day(row.day).UnixNano(), row.reading, math.NaN())
		assert.Equal(t, row.want, flag, "%+v", row)
		assert.Equal(t, !row.want.Valued(), math.IsNaN(value), "%+v", row)
		if row.want.Valued() {
			assert.InDelta(t, 2*row.reading, value, 1e-9)
		}
	}
	words := []string{"blank", "not-a-number", "before-calibration", "dry", "out-of-range", "stale"}
	for i, f := range series.Flags() {
		assert.Equal(t, words[i], f.String())
	}
	assert.Empty(t, series.Believed.String())
}

// A corrector allocates nothing, whatever piece a row falls into.
func TestCorrectorAllocatesNothing(t *testing.T) {
	c := corrector(t, []series.Calibration{cal(0, series.AsFound, 0, 1), cal(10, series.AsFound, 0, 1.1)}, nil, series.Growth{Rate: 0.01})
	i := 0
	assert.Zero(t, testing.AllocsPerRun(1000, func() {
		i++
		c.At(day(float64(i%30-5)).UnixNano(), 500, math.NaN())
	}))
}
