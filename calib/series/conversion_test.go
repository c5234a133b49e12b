package series_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// converter corrects nothing but what a conversion does.
func converter(t *testing.T, c series.Conversion, uTemp float64) *series.Corrector {
	t.Helper()
	line, err := series.NewTimeline([]series.Calibration{cal(0, series.AsFound, 0, 1)}, nil, series.Growth{})
	require.NoError(t, err)
	made, err := series.NewCorrector(&series.Probe{Column: "ec", Timeline: line, Low: math.NaN(), High: math.NaN(), Conversion: c, UTemp: uTemp})
	require.NoError(t, err)
	return made
}

// The temperature factors of ISO 7888:1985 (table for whole degrees, printed to
// 0.001; from 13 C on as testdata/published says), used on a pen that does not
// compensate: conductivity at 25 C = f25 · conductivity as it is.
func TestNaturalWaterFactorsOfTheStandard(t *testing.T) {
	c := converter(t, series.Conversion{Does: tempcomp.None{}, Wanted: tempcomp.NaturalWater{}}, 0)
	file, err := os.Open("../../testdata/published/natural_water_factors.csv")
	require.NoError(t, err)
	defer file.Close()
	table := csv.NewReader(file)
	table.Comment = '#'
	rows, err := table.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 37)
	for _, row := range rows[1:] {
		tempC, err := strconv.ParseFloat(row[0], 64)
		require.NoError(t, err)
		f25, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		value, _, flag := c.At(day(1).UnixNano(), 1000, tempC)
		assert.Equal(t, series.Believed, flag)
		// Half a unit of the last printed digit, and what rounding by hand of a
		// smooth curve leaves.
		assert.InDelta(t, 1000*f25, value, 0.5+0.05, "%v C", tempC)
	}
}

// Linear compensation as ISO 7888:1985 defines it, conductivity at 25 C =
// conductivity / (1 + alpha/100 · (t - 25)), by hand.
func TestLinearFactors(t *testing.T) {
	two := tempcomp.Linear{Alpha: 0.02, RefTempC: 25}
	for _, c := range []struct {
		does, wanted tempcomp.Rule
		tempC, want  float64
	}{
		{tempcomp.None{}, two, 25, 1000},
		{tempcomp.None{}, two, 20, 1000 / 0.9},
		{tempcomp.None{}, two, 30, 1000 / 1.1},
		{tempcomp.None{}, tempcomp.Linear{Alpha: 0.019, RefTempC: 20}, 30, 1000 / 1.19},
		{two, tempcomp.None{}, 20, 900},
		{two, tempcomp.Linear{Alpha: 0.019, RefTempC: 25}, 15, 1000 * 0.8 / 0.81},
		{two, two, 15, 1000},
		{tempcomp.NaturalWater{}, tempcomp.None{}, 10, 1000 / 1.428}, // the standard's factor for 10 C
	} {
		value, _, flag := converter(t, series.Conversion{Does: c.does, Wanted: c.wanted}, 0).At(day(1).UnixNano(), 1000, c.tempC)
		assert.Equal(t, series.Believed, flag)
		tolerance := 1e-9
		if c.does == (tempcomp.NaturalWater{}) {
			tolerance = 0.4 // the factor is printed to 0.001
		}
		assert.InDelta(t, c.want, value, tolerance, "%+v", c)
	}
}

// A thermometer's error counts: at 20 C, 2 % for each C and half a degree of
// uncertainty make 0.02/0.9 · 0.5 = 1.11 %.
func TestTemperatureCountsInTheUncertainty(t *testing.T) {
	two := tempcomp.Linear{Alpha: 0.02, RefTempC: 25}
	value, u, _ := converter(t, series.Conversion{Does: tempcomp.None{}, Wanted: two}, 0.5).At(day(1).UnixNano(), 900, 20)
	assert.InDelta(t, 1000, value, 1e-9)
	assert.InDelta(t, 1000*0.02/0.9*0.5, u, 1e-9)
	_, u, _ = converter(t, series.Conversion{}, 0.5).At(day(1).UnixNano(), 900, 20)
	assert.Zero(t, u, "no compensation is changed, so the temperature does not matter")
	_, u, _ = converter(t, series.Conversion{Does: tempcomp.None{}, Wanted: tempcomp.NaturalWater{}}, 0.5).At(day(1).UnixNano(), 1000, 10)
	// The factors for 9 and 11 C are 1.467 and 1.390: 0.0385 for each C.
	assert.InDelta(t, 1000*0.0385*0.5, u, 0.3)
}

// The unit of the display and the one that is wanted: ppm with a factor of 0.5
// to uS/cm doubles value and uncertainty.
func TestFactor(t *testing.T) {
	line, err := series.NewTimeline([]series.Calibration{known(0, series.AsFound, 10, 1.1)}, nil, series.Growth{})
	require.NoError(t, err)
	at := func(factor float64) (float64, float64) {
		c, err := series.NewCorrector(&series.Probe{Timeline: line, Low: math.NaN(), High: math.NaN(), Conversion: series.Conversion{Factor: factor}})
		require.NoError(t, err)
		value, u, _ := c.At(day(1).UnixNano(), 600, math.NaN())
		return value, u
	}
	shown, uShown := at(0)
	assert.InDelta(t, 670, shown, 1e-9)
	value, u := at(2)
	assert.InDelta(t, 1340, value, 1e-9)
	assert.InDelta(t, 2*uShown, u, 1e-9)
}

// A temperature that is not there, or that no rule takes, leaves nothing to
// correct; one that is not needed does not matter.
func TestTemperatureMissing(t *testing.T) {
	needs := converter(t, series.Conversion{Does: tempcomp.None{}, Wanted: tempcomp.NaturalWater{}}, 0.5)
	for _, tempC := range []float64{math.NaN(), -40, 36, 85, math.Inf(1)} {
		value, u, flag := needs.At(day(1).UnixNano(), 1000, tempC)
		assert.Equal(t, series.Blank, flag, tempC)
		assert.True(t, math.IsNaN(value) && math.IsNaN(u))
	}
	value, _, flag := converter(t, series.Conversion{}, 0.5).At(day(1).UnixNano(), 1000, math.NaN())
	assert.Equal(t, series.Believed, flag)
	assert.InDelta(t, 1000, value, 1e-9)
}

func TestProbeRefuses(t *testing.T) {
	line, err := series.NewTimeline([]series.Calibration{cal(0, series.AsFound, 0, 1)}, nil, series.Growth{})
	require.NoError(t, err)
	for want, p := range map[string]series.Probe{
		"no calibration":               {},
		"a factor of -1":               {Timeline: line, Conversion: series.Conversion{Factor: -1}},
		"one is missing":               {Timeline: line, Conversion: series.Conversion{Does: tempcomp.None{}}},
		"the uncertainty of a reading": {Timeline: line, URead: -1},
		"uncertainty of a temperature": {Timeline: line, UTemp: math.NaN()},
		"want the lower end first":     {Timeline: line, Low: 3, High: 2},
		"want a time above 0":          {Timeline: line, StaleAfter: -1},
	} {
		p.Column = "ec left"
		_, err := series.NewCorrector(&p)
		require.ErrorContains(t, err, want)
		assert.ErrorContains(t, err, "ec left")
	}
}
