package series_test

import (
	"math"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// checks are monthly checks of a conductivity pen in one reference, with errors
// that are fractions.
func checks(errors ...float64) []drift.Entry {
	ref, own, exact := 1000.0, 2.0, 0.0
	var out []drift.Entry
	for i, e := range errors {
		reading := ref * (1 + e)
		out = append(out, drift.Entry{Time: day(30 * float64(i)), Ref: &ref, Reading: &reading, URef: &own, UReading: &exact})
	}
	return out
}

// A meter that has lost 2 % a month for five months is held to go on like that,
// and to be sure of it; one that stood still, to stand nearly still.
func TestDriftGrowth(t *testing.T) {
	growth := func(errors ...float64) series.Growth {
		r, err := drift.Run(checks(errors...), drift.Options{Kind: check.EC, Now: day(30 * float64(len(errors)-1))})
		require.NoError(t, err)
		g, ok := series.DriftGrowth(r)
		require.True(t, ok)
		assert.True(t, g.Relative)
		return g
	}
	fast := growth(0, -0.02, -0.04, -0.06, -0.08, -0.10)
	assert.InDelta(t, 0.02, fast.Rate, 0.002)
	still := growth(0, 0.001, -0.001, 0, 0.001, 0)
	assert.Less(t, still.Rate, 0.003)
	assert.Positive(t, still.Walk, "what five quiet months leave open")
	assert.Less(t, still.Walk, 0.005)

	r, err := drift.Run(checks(0.01), drift.Options{Kind: check.EC, Now: day(0)})
	require.NoError(t, err)
	_, ok := series.DriftGrowth(r)
	assert.False(t, ok, "one check tells no drift")
}

func TestLimitFor(t *testing.T) {
	line := series.Exact(0, 1, 300, 900)
	for _, c := range []struct {
		t        quantity.Tolerance
		relative bool
		want     float64
	}{
		{quantity.Tolerance{Value: 18}, true, 0.02},
		{quantity.Tolerance{Value: 0.02, Relative: true}, false, 6},
	} {
		limit, ok := series.LimitFor(c.t, line, c.relative)
		assert.True(t, ok)
		assert.InDelta(t, c.want, limit, 1e-12)
	}
	_, ok := series.LimitFor(quantity.Tolerance{Value: 18}, series.Exact(0, 1, math.Inf(-1), math.Inf(1)), true)
	assert.False(t, ok, "nothing says how far the readings go")
}

// The usual figures are there for every kind, and in its terms.
func TestUsual(t *testing.T) {
	for _, kind := range append(check.Kinds(), "") {
		g := series.UsualGrowth(kind)
		assert.Positive(t, g.Rate, kind)
		assert.Equal(t, kind == check.EC || kind == check.Other || kind == "", g.Relative, kind)
		assert.GreaterOrEqual(t, series.UsualStaleAfter(kind), 42*24*time.Hour, kind)
	}
	// Three times the longest common interval: 30 days for a conductivity meter,
	// 14 for a pH electrode.
	assert.Equal(t, 90*24*time.Hour, series.UsualStaleAfter(check.EC))
	assert.Equal(t, 42*24*time.Hour, series.UsualStaleAfter(check.PH))
}

// In air a pen with a display that ends at zero is corrected to its intercept.
func TestInAir(t *testing.T) {
	make := func(intercept float64) *series.Timeline {
		line, err := series.NewTimeline([]series.Calibration{cal(0, series.AsFound, intercept, 1.1)}, nil, series.Growth{})
		require.NoError(t, err)
		return line
	}
	assert.InDelta(t, 6.6, make(0).UsualFloor(), 1e-9, "0.3 % of 2000, corrected")
	assert.InDelta(t, 21.6, make(15).UsualFloor(), 1e-9)
	assert.InDelta(t, 6, make(-15).UsualFloor(), 1e-9, "what the display shows at the least")
	assert.InDelta(t, 11, make(0).InAir(10), 1e-9)
}
