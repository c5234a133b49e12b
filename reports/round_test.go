package reports

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The printed examples of the rule.
func TestRoundOnPublishedExamples(t *testing.T) {
	for _, c := range []struct {
		value, u     float64
		wantV, wantU string
		source       string
	}{
		{100.02147, 0.00035, "100.02147", "0.00035", "GUM (JCGM 100:2008) 7.2.2: m_S = 100.02147(35) g"},
		{10.05762, 0.027, "10.058", "0.027", "GUM 7.2.6: 10.05762 ohm with 27 milliohm is rounded to 10.058 ohm"},
		{50000838, 31.7, "50000838", "32", "GUM H.1: l = 50 000 838 nm with u = 32 nm (the root of the sum of squares, 1002 nm2)"},
	} {
		v, u := Round(c.value, Known(c.u))
		assert.Equal(t, c.wantV, v, c.source)
		assert.Equal(t, c.wantU, u, c.source)
	}
}

func TestRoundAtTheExtremes(t *testing.T) {
	for _, c := range []struct {
		name         string
		value        float64
		u            Number
		wantV, wantU string
	}{
		{"everyday", 1413.237, Known(2.14), "1413.2", "2.1"},
		{"tens", 1413.2, Known(123.4), "1410", "120"},
		{"thousands", 141320, Known(12345), "141000", "12000"},
		{"carry of 9.96", 1413.237, Known(9.96), "1413", "10"},
		{"one below the carry", 1413.237, Known(math.Nextafter(9.95, 0)), "1413.2", "9.9"},
		{"carry of 0.0996", 0.123456, Known(0.0996), "0.12", "0.10"},
		{"carry of 0.00996", 0.123456, Known(0.00996), "0.123", "0.010"},
		{"carry of 99.6", 1413.2, Known(99.6), "1410", "100"},
		{"carry of the value", 9.996, Known(0.012), "9.996", "0.012"},
		{"value carried to the next ten", 99.96, Known(1.2), "100.0", "1.2"},
		{"trailing zeros kept", 1400, Known(0.1), "1400.00", "0.10"},
		{"negative", -1413.237, Known(2.14), "-1413.2", "2.1"},
		{"no negative zero", -0.0001, Known(0.5), "0.00", "0.50"},
		{"zero value", 0, Known(0.5), "0.00", "0.50"},
		{"u above the value", 3, Known(1234), "0", "1200"},
		{"u above the value, rounded up", 60, Known(1234), "100", "1200"},
		{"u above the value, half", 50, Known(1234), "0", "1200"},
		{"u above a negative value", -60, Known(1234), "-100", "1200"},
		{"tiny u", 1, Known(1e-30), "1.0000000000000000", "1.0e-30"},
		{"tiny both", 1.23456e-9, Known(2.1e-11), "1.235e-09", "2.1e-11"},
		{"huge both", 1.23456e20, Known(2.1e18), "1.235e+20", "2.1e+18"},
		{"huge u", 1, Known(1e300), "0", "1.0e+300"},
		{"least u", 0, Known(5e-324), "0", "4.9e-324"},
		{"exact", 1413, Known(0), "1413", "0"},
		{"exact without binary noise", 0.1 + 0.2, Known(0), "0.3", "0"},
		{"exact and huge", 1e20, Known(0), "1e+20", "0"},
		{"exact zero", 0, Known(0), "0", "0"},
		{"unknown", 1413.237, Unknown(), "1413", "unknown"},
		{"unknown small", 0.0123456, Unknown(), "0.01235", "unknown"},
		{"unknown zero", 0, Unknown(), "0", "unknown"},
		{"negative u", 1413.237, Known(-1), "1413", "unknown"},
		{"u not a number", 1413.237, Known(math.NaN()), "1413", "unknown"},
		{"u infinite", 1413.237, Known(math.Inf(1)), "1413", "unknown"},
		{"value not a number", math.NaN(), Known(1), "unknown", "unknown"},
		{"value infinite", math.Inf(-1), Known(1), "unknown", "unknown"},
	} {
		v, u := Round(c.value, c.u)
		assert.Equal(t, c.wantV, v, c.name)
		assert.Equal(t, c.wantU, u, c.name)
	}
}

// The printed value is never further from the true one than half a unit of the
// second digit of the uncertainty, and the printed uncertainty within 5 % of it.
func TestRoundStaysClose(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	for range 20_000 {
		u := random.Float64() * math.Pow10(random.IntN(16)-8)
		value := (random.Float64() - 0.5) * math.Pow10(random.IntN(16)-8)
		v, size := Round(value, Known(u))
		gotV, err := strconv.ParseFloat(v, 64)
		require.NoError(t, err)
		gotU, err := strconv.ParseFloat(size, 64)
		require.NoError(t, err)
		require.LessOrEqual(t, math.Abs(gotU-u), 0.05*u*(1+1e-9), "%v", u)
		resolution := math.Nextafter(math.Abs(value), math.Inf(1)) - math.Abs(value)
		require.LessOrEqual(t, math.Abs(gotV-value), 0.05*gotU*(1+1e-9)+resolution, "%v ± %v as %s ± %s", value, u, v, size)
		digits := strings.TrimLeft(strings.Replace(strings.Split(size, "e")[0], ".", "", 1), "0")
		if gotU < 100 {
			require.Len(t, digits, 2, size)
		}
	}
}

func TestPlusMinus(t *testing.T) {
	assert.Equal(t, "1413.2 ± 2.1 uS/cm", PlusMinus(1413.237, Known(2.14), "uS/cm"))
	assert.Equal(t, "1413 uS/cm (exact)", PlusMinus(1413, Known(0), "uS/cm"))
	assert.Equal(t, "1413 uS/cm (uncertainty unknown)", PlusMinus(1413.2, Unknown(), "uS/cm"))
	assert.Equal(t, "7.010 ± 0.012", PlusMinus(7.01, Known(0.012), ""))
	assert.Equal(t, "unknown", PlusMinus(math.NaN(), Known(1), "uS/cm"))
}

func TestSignificantAndPercent(t *testing.T) {
	for _, c := range []struct {
		x      float64
		digits int
		want   string
	}{
		{1413.237, 4, "1413"}, {1413.237, 6, "1413.24"}, {1413.237, 2, "1400"}, {9.996, 3, "10.0"}, {0.00012345, 2, "0.00012"},
		{0, 3, "0"}, {-2.5, 2, "-2.5"}, {5, 0, "5"}, {123456789, 3, "123000000"}, {1e-9, 2, "1.0e-09"}, {math.Inf(1), 3, "unknown"},
	} {
		assert.Equal(t, c.want, Significant(c.x, c.digits), "%v to %d", c.x, c.digits)
	}
	assert.Equal(t, "0.52 %", Percent(0.005178, 2))
	assert.Equal(t, "95.0 %", Percent(0.95, 3))
	assert.Equal(t, "unknown", Percent(math.NaN(), 2))
}
