package tempcomp_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
)

func linear(t *testing.T, alpha, ref float64) tempcomp.Linear {
	t.Helper()
	r, err := tempcomp.NewLinear(alpha, ref)
	require.NoError(t, err)
	return r
}

func TestLinearFactor(t *testing.T) {
	for _, c := range []struct{ alpha, ref, temp, want float64 }{
		{0.02, 25, 25, 1},
		{0.02, 25, 20, 0.9},
		{0.019, 25, 18, 0.867},
		{0.0191, 20, 30, 1.191},
		{0, 25, 5, 1},
		{0.1, 25, 50, 3.5},
	} {
		r := linear(t, c.alpha, c.ref)
		f, err := r.Factor(c.temp)
		require.NoError(t, err)
		assert.InDelta(t, c.want, f, 1e-12)
		slope, err := r.Slope(c.temp)
		require.NoError(t, err)
		assert.Equal(t, c.alpha, slope)
	}
}

func TestLinearRefuses(t *testing.T) {
	for _, c := range []struct {
		name             string
		alpha, ref, temp float64
		text             string
	}{
		{"percent for a fraction", 2, 25, 20, "if that was percent, it is 0.02"},
		{"negative alpha", -0.01, 25, 20, "0 to 0.1 1/C"},
		{"alpha not a number", math.NaN(), 25, 20, "NaN"},
		{"reference in Fahrenheit", 0.02, 77, 20, "25C"},
		{"temperature in Fahrenheit", 0.02, 25, 68, "20C"},
		{"temperature not a number", 0.02, 25, math.NaN(), "NaN"},
		{"frozen", 0.02, 25, -1, "0 to 50 C"},
		{"divisor vanishes", 0.04, 25, 0, "compensation linear, 4 %/C to 25 C: temperature 0 C is outside its range, 2.5 to 50 C"},
		{"divisor negative", 0.1, 25, 5, "16 to 50 C"},
		{"divisor nearly vanishes", 0.1, 25, 15.5, "16 to 50 C"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := tempcomp.Linear{Alpha: c.alpha, RefTempC: c.ref}.Factor(c.temp)
			require.ErrorIs(t, err, tempcomp.ErrOutOfRange)
			assert.Contains(t, err.Error(), c.text)
			_, err = tempcomp.Linear{Alpha: c.alpha, RefTempC: c.ref}.Slope(c.temp)
			assert.ErrorIs(t, err, tempcomp.ErrOutOfRange)
		})
	}
}

func TestParseRule(t *testing.T) {
	r, err := tempcomp.ParseRule("linear", 0.019, 25)
	require.NoError(t, err)
	assert.Equal(t, tempcomp.Linear{Alpha: 0.019, RefTempC: 25}, r)
	r, err = tempcomp.ParseRule(" None ", 9, 99) // alpha and reference play no part
	require.NoError(t, err)
	assert.Equal(t, tempcomp.None{}, r)
	r, err = tempcomp.ParseRule("natural-water", 0, 25)
	require.NoError(t, err)
	assert.Equal(t, tempcomp.NaturalWater{}, r)

	for _, name := range tempcomp.RuleNames() {
		r, err := tempcomp.ParseRule(name, 0.02, 25)
		require.NoError(t, err)
		assert.Equal(t, name, r.Name())
	}

	_, err = tempcomp.ParseRule("liner", 0.02, 25)
	require.Error(t, err)
	assert.Contains(t, err.Error(), "linear, none, natural-water")
	_, err = tempcomp.ParseRule("natural-water", 0.02, 20)
	require.ErrorIs(t, err, tempcomp.ErrOutOfRange)
	assert.Contains(t, err.Error(), "25 C only")
	_, err = tempcomp.ParseRule("linear", 2, 25)
	require.ErrorIs(t, err, tempcomp.ErrOutOfRange)
}

// Factors of ISO 7888:1985 (EN 27888:1993), at whole degrees: 0 to
// 12 C as printed in a reprint of the table, the later ones from memory. Each
// is good to half its last digit; the rule may differ by that and by the half
// thousandth that its formula is known to be good for.
func TestNaturalWaterFollowsISO7888(t *testing.T) {
	for temp, f25 := range map[float64]float64{
		0: 1.918, 1: 1.857, 2: 1.800, 3: 1.745, 4: 1.693, 5: 1.643, 6: 1.596,
		7: 1.551, 8: 1.508, 9: 1.467, 10: 1.428, 11: 1.390, 12: 1.354,
		15: 1.256, 20: 1.116, 25: 1.000, 30: 0.903, 35: 0.822,
	} {
		f, err := tempcomp.NaturalWater{}.Factor(temp)
		require.NoError(t, err)
		assert.InDelta(t, f25, 1/f, 0.0005, "at %g C", temp)
	}
	f, err := tempcomp.NaturalWater{}.Factor(25)
	require.NoError(t, err)
	assert.InDelta(t, 1, f, 1e-9)
}

func TestNaturalWaterSlope(t *testing.T) {
	// Central differences of the table above: (f(24)-f(26))/2 of 1.021 and
	// 0.979 is 0.0210 1/C at 25 C, where F = 1/f25 has the slope -f25'.
	slope, err := tempcomp.NaturalWater{}.Slope(25)
	require.NoError(t, err)
	assert.InDelta(t, 0.0210, slope, 0.0005)
	for _, edge := range []float64{0, 35.9} {
		s, err := tempcomp.NaturalWater{}.Slope(edge)
		require.NoError(t, err, "one-sided at the edge")
		assert.Greater(t, s, 0.01)
	}
	for _, bad := range []float64{-0.1, 36, 77, math.NaN()} {
		_, err := tempcomp.NaturalWater{}.Slope(bad)
		assert.ErrorIs(t, err, tempcomp.ErrOutOfRange)
		_, err = tempcomp.NaturalWater{}.Factor(bad)
		assert.ErrorIs(t, err, tempcomp.ErrOutOfRange)
	}
}

// A rule works at both ends of its range and refuses what lies beyond; a line
// is good for as far as it can be divided by (0.1 to 10).
func TestRuleRanges(t *testing.T) {
	for _, c := range []struct {
		rule      tempcomp.Rule
		low, high float64
	}{
		{linear(t, 0.02, 25), 0, 50},
		{linear(t, 0, 25), 0, 50},
		{linear(t, 0.1, 25), 16, 50},
		{linear(t, 0.1, 50), 41, 50},
		{linear(t, 0.037, 25), 0.68, 50},
		{tempcomp.None{}, 0, 50},
		{tempcomp.NaturalWater{}, 0, 35.9}, // ISO 7888:1985
	} {
		r := c.rule.TempRange()
		assert.Equal(t, [2]float64{c.low, c.high}, [2]float64{r.Low, r.High}, "%v", c.rule)
		for _, temp := range []float64{r.Low, r.High} {
			f, err := c.rule.Factor(temp)
			require.NoError(t, err, "%v", c.rule)
			assert.GreaterOrEqual(t, f, 0.0999, "%v", c.rule)
		}
		for _, temp := range []float64{r.Low - 0.01, r.High + 0.01} {
			_, err := c.rule.Factor(temp)
			assert.ErrorIs(t, err, tempcomp.ErrOutOfRange, "%v", c.rule)
		}
	}
}

// The factor of a ppm scale has one range, wherever it is written.
func TestOneRangeOfPPMFactors(t *testing.T) {
	for _, factor := range []float64{0.0999, 0.1, 0.3, 0.5, 1, 1.6, 2, 2.001, 500} {
		_, err := tempcomp.PPM(factor)
		assert.Equal(t, quantity.CheckFactor(factor) == nil, err == nil, "%v", factor)
		_, typed := quantity.Parse(fmt.Sprintf("600ppm@%v", factor))
		assert.Equal(t, typed == nil, err == nil, "%v", factor)
	}
}
