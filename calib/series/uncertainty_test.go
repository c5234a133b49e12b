package series_test

import (
	"math"
	"testing"

	"github.com/brinemark/brinemark/calib/series"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// known is a calibration with uncertainties: of the intercept 3, of the slope
// 0.01, covariance -0.024.
func known(d float64, state series.State, intercept, slope float64) series.Calibration {
	c := cal(d, state, intercept, slope)
	uIntercept, uSlope, cov := 3.0, 0.01, -0.024
	c.Line.SetUncertainty(&uIntercept, &uSlope, &cov)
	return c
}

// Uncertainties computed by hand.
//
// At a calibration, reading 600: 9 + 2·600·(-0.024) + 600²·0.0001 = 16.2, and a
// reading's own 2 carried over by the slope 1.1, 4.84 more.
func TestUncertaintyByHand(t *testing.T) {
	at := func(g series.Growth, cuts []series.Break, d float64) float64 {
		line, err := series.NewTimeline([]series.Calibration{known(0, series.AsFound, 0, 1.1), known(30, series.AsFound, 0, 1.1)}, cuts, g)
		require.NoError(t, err)
		c, err := series.NewCorrector(&series.Probe{Column: "ec", Timeline: line, Low: math.NaN(), High: math.NaN(), URead: 2})
		require.NoError(t, err)
		_, u, _ := c.At(day(d).UnixNano(), 600, math.NaN())
		return u * u
	}
	const still = 16.2 + 4.84
	none := series.Growth{Relative: true}
	rate := series.Growth{Rate: 0.02, Relative: true}                            // 2 % in 30 days
	walk := series.Growth{Walk: 0.01, Relative: true}                            // 1 % in a root of 30 days
	zero := series.Growth{Rate: 5, Walk: 3}                                      // in the unit of the readings
	relative := func(x float64) float64 { return x * x * 660 * 660 * 1.1 * 1.1 } // of the reference: the pen shows 1/1.1 of it
	unit := func(x float64) float64 { return x * x * 1.1 * 1.1 }
	for _, c := range []struct {
		name string
		g    series.Growth
		cuts []series.Break
		day  float64
		want float64
	}{
		{"at the first", none, nil, 0, still},
		{"in the middle, as if both shared their error", none, nil, 15, still},
		{"after the last, no drift", none, nil, 90, still},
		{"a steady drift is interpolated", rate, nil, 15, still},
		{"after the last it grows with the time", rate, nil, 45, still + relative(0.01)},
		{"twice as long, twice as far", rate, nil, 60, still + relative(0.02)},
		{"wandering, pinned down at both ends", walk, nil, 15, still + relative(0.01)/4},
		{"and nearer to one of them", walk, nil, 24, still + relative(0.01)*0.8*0.2},
		{"wandering grows with the root of the time", walk, nil, 150, still + 4*relative(0.01)},
		{"in the unit of the readings", zero, nil, 60, still + unit(5) + unit(3)},
		{"held up to a break", rate, breaks(10), 9, still + relative(0.02*0.3)},
		{"held back to a break", rate, breaks(10), 12, still + relative(0.02*0.6)},
		{"held back, wandering", walk, breaks(10), 24, still + relative(0.01)*0.2},
	} {
		assert.InEpsilon(t, c.want, at(c.g, c.cuts, c.day), 1e-9, c.name)
	}
}

// Errors of two calibrations: what is between lies between, and is never less
// than what any correlation of the two makes of it.
func TestUncertaintyBetweenIsNeverTooLittle(t *testing.T) {
	a, b := known(0, series.AsFound, 0, 1), known(30, series.AsFound, 0, 1)
	b.Line.VarIntercept, b.Line.VarSlope, b.Line.Cov = 36, 0.0009, -0.1
	line, err := series.NewTimeline([]series.Calibration{a, b}, nil, series.Growth{})
	require.NoError(t, err)
	c, err := series.NewCorrector(&series.Probe{Timeline: line, Low: math.NaN(), High: math.NaN()})
	require.NoError(t, err)
	_, ua, _ := c.At(day(0).UnixNano(), 600, math.NaN())
	_, ub, _ := c.At(day(30).UnixNano(), 600, math.NaN())
	for f := 0.05; f < 1; f += 0.05 {
		_, u, _ := c.At(day(30*f).UnixNano(), 600, math.NaN())
		for _, correlation := range []float64{-1, 0, 0.5, 1} {
			x, y := (1-f)*ua, f*ub
			assert.GreaterOrEqual(t, u*(1+1e-12), math.Sqrt(x*x+y*y+2*correlation*x*y), "%v, %v", f, correlation)
		}
		assert.LessOrEqual(t, u, math.Max(ua, ub))
	}
}

// Unknown, exact and zero are three things.
func TestUnknownUncertainty(t *testing.T) {
	u := func(cals ...series.Calibration) float64 {
		c := corrector(t, cals, nil, series.Growth{Rate: 0.01, Relative: true})
		value, u, flag := c.At(day(5).UnixNano(), 600, math.NaN())
		assert.False(t, math.IsNaN(value))
		assert.Equal(t, series.Believed, flag)
		return u
	}
	unknown := cal(0, series.AsFound, 0, 1)
	unknown.Line.SetUncertainty(nil, nil, nil)
	assert.True(t, math.IsNaN(u(unknown)))
	assert.True(t, math.IsNaN(u(unknown, known(10, series.AsFound, 0, 1))), "one of the two")
	half := cal(0, series.AsFound, 0, 1)
	uSlope := 0.01
	half.Line.SetUncertainty(nil, &uSlope, nil)
	assert.True(t, math.IsNaN(u(half)), "half an answer is none")
	assert.InDelta(t, 600*0.01*5/30, u(cal(0, series.AsFound, 0, 1)), 1e-9, "exact, but for the drift")
}

// A covariance that nobody gives is the worst there can be; one that is a digit
// too large is the largest there can be; more is an error elsewhere.
func TestCovariance(t *testing.T) {
	uIntercept, uSlope := 2.8, 0.011
	for _, c := range []struct{ given, want float64 }{{math.NaN(), 0.0308}, {-0.03, -0.03}, {-0.031, -0.0308}, {0.0312, 0.0308}, {-0.05, -0.05}} {
		var l series.Line
		var cov *float64
		if !math.IsNaN(c.given) {
			cov = &c.given
		}
		l.SetUncertainty(&uIntercept, &uSlope, cov)
		assert.InDelta(t, c.want, l.Cov, 1e-12)
	}
}

// A meter whose gain moves evenly from 1 to 1.25 has a line that bends: straight
// between 1 and 0.8 it is 0.0111 too high in the middle, which u covers.
func TestBendIsCovered(t *testing.T) {
	c := corrector(t, []series.Calibration{cal(0, series.AsFound, 0, 1), cal(30, series.AsFound, 0, 0.8)}, nil, series.Growth{})
	for d := 0.5; d < 30; d++ {
		truth := 1000.0
		reading := truth * (1 + 0.25*d/30)
		value, u, _ := c.At(day(d).UnixNano(), reading, math.NaN())
		assert.LessOrEqual(t, math.Abs(value-truth), 1.2*u, "day %v", d)
	}
	value, u, _ := c.At(day(15).UnixNano(), 1125, math.NaN())
	assert.InDelta(t, 1012.5, value, 1e-9)
	assert.InDelta(t, 1125*0.0125, u, 1e-9, "(0.2)² / (4 · 0.8)")
}

// How long drift takes to a limit, by hand: 2 % in 30 days reaches 1.96 · 2 % in
// 30 days; wandering by 1 % a root month 1.96 · 2 % in four months.
func TestReaches(t *testing.T) {
	const z = 1.959963984540054
	hours := func(g series.Growth, limit float64) float64 { return g.Reaches(limit).Hours() }
	assert.InDelta(t, 30*24, hours(series.Growth{Rate: 0.02}, z*0.02), 1e-6)
	assert.InDelta(t, 120*24, hours(series.Growth{Walk: 0.01}, z*0.02), 1e-6)
	both := series.Growth{Rate: 0.02, Walk: 0.01}
	months := hours(both, 0.05) / 24 / 30
	assert.InDelta(t, 0.05/z, math.Sqrt(0.0004*months*months+0.0001*months), 1e-12)
	assert.Zero(t, series.Growth{}.Reaches(0.05), "never")
}
