package series

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// By hand: from (0, 1.00) on 1 January to (-10, 1.04) on 11 January; adjusted on
// 21 January; left at (1, 1.01) on 31 January.
func constantsProbe(t *testing.T) *Probe {
	t.Helper()
	day := func(n int) time.Time { return time.Date(2026, 1, n, 0, 0, 0, 0, time.UTC) }
	timeline, err := NewTimeline([]Calibration{
		{Time: day(1), State: AsFound, Line: Exact(0, 1, 0, 1000), Name: "a"},
		{Time: day(11), State: AsFound, Line: Exact(-10, 1.04, 100, 2000), Name: "b"},
		{Time: day(31), State: AsLeft, Line: Exact(1, 1.01, 0, 1500), Name: "c"},
	}, []Break{{Time: day(21)}}, Growth{Rate: 0.03, Relative: true})
	require.NoError(t, err)
	return &Probe{Column: "ec", Timeline: timeline, Low: math.NaN(), High: math.NaN(), StaleAfter: 30 * 24 * time.Hour}
}

func TestConstantsByHand(t *testing.T) {
	p := constantsProbe(t)
	c, err := p.Constants(time.Date(2026, 1, 6, 0, 0, 0, 0, time.UTC))
	require.NoError(t, err)
	assert.Equal(t, Interpolated, c.Basis)
	assert.InDelta(t, -5, c.Line.Intercept, 1e-12)
	assert.InDelta(t, 1.02, c.Line.Slope, 1e-12)
	assert.False(t, c.Stale)
	assert.Equal(t, time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC), c.StaleFrom)

	c, err = p.Constants(time.Date(2026, 1, 20, 0, 0, 0, 0, time.UTC))
	require.NoError(t, err)
	assert.Equal(t, Held, c.Basis)
	assert.Equal(t, -10.0, c.Line.Intercept)
	// Nine days at 3 % in thirty are 0.9 % of the reference, 1.04 · reading.
	assert.InDelta(t, 0.009*1.04*1.04, math.Sqrt(c.Line.VarSlope), 1e-12)

	c, err = p.Constants(time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC))
	require.NoError(t, err)
	assert.True(t, c.Stale, "from that moment on")
	assert.Equal(t, 1.01, c.Line.Slope)
}

func TestConstantsWhereNoneApply(t *testing.T) {
	p := constantsProbe(t)
	for at, words := range map[string]string{
		"2025-12-31T23:59:59Z": "no calibration applies at 2025-12-31T23:59:59Z: the first is of 2026-01-01T00:00:00Z",
		"2026-01-25T00:00:00Z": "no calibration applies at 2026-01-25T00:00:00Z, after what was done to the meter on 2026-01-21T00:00:00Z and before 2026-01-31T00:00:00Z",
		"1600-01-01T00:00:00Z": "found the year 1600; want one from 1700 to 2200",
	} {
		moment, err := time.Parse(time.RFC3339, at)
		require.NoError(t, err)
		_, err = p.Constants(moment)
		assert.ErrorContains(t, err, words)
	}
	timeline, err := NewTimeline([]Calibration{{Time: time.Unix(1.7e9, 0), Line: Exact(0, 1, 0, 1)}}, []Break{{Time: time.Unix(1.71e9, 0)}}, Growth{})
	require.NoError(t, err)
	p.Timeline = timeline
	_, err = p.Constants(time.Unix(1.72e9, 0))
	assert.ErrorIs(t, err, ErrNoCalibration)
	assert.ErrorContains(t, err, "none was made since what was done to the meter on 2024-03-09T16:00:00Z")
	_, err = (&Probe{}).Constants(time.Unix(1.72e9, 0))
	assert.ErrorIs(t, err, ErrNoCalibration)
}

// The rest of a piece is the piece: at any later time both say the same.
func TestSinceIsTheSamePiece(t *testing.T) {
	p := Piece{From: 1.7e18, To: Ever, Intercept: 3, InterceptPerDay: -0.25, Slope: 1.1, SlopePerDay: 0.002,
		VarIntercept: Quadratic{4, 0.5, 0.01}, VarSlope: Quadratic{1e-4, -1e-6, 1e-7}, Cov: Quadratic{-0.01, 1e-4, -1e-6}}
	rest := p.Since(p.From + 36*int64(time.Hour))
	for _, hours := range []int64{36, 48, 1000, 9999} {
		at := p.From + hours*int64(time.Hour)
		want, got := p.LineAt(at), rest.LineAt(at)
		for _, pair := range [][2]float64{{want.Intercept, got.Intercept}, {want.Slope, got.Slope}, {want.VarIntercept, got.VarIntercept}, {want.VarSlope, got.VarSlope}, {want.Cov, got.Cov}} {
			assert.InEpsilon(t, pair[0], pair[1], 1e-12)
		}
	}
	assert.NotEqual(t, p.LineAt(p.From), p.LineAt(rest.From))
}
