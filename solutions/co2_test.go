package solutions

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func site(t *testing.T, name string) Site {
	t.Helper()
	s, err := SiteByName(name)
	require.NoError(t, err)
	return s
}

// NOAA Global Monitoring Laboratory, annual means of the global marine surface.
func TestOutdoorCO2ReproducesTheAnnualMeans(t *testing.T) {
	rows := publishedRows(t, "co2_outdoor.csv")
	require.Len(t, rows, 8)
	for _, row := range rows {
		ppm, err := OutdoorCO2(int(row.float("year")))
		require.NoError(t, err)
		assert.InDelta(t, row.float("annual_mean_ppm"), ppm, 1e-9)
	}
}

// Years that are not in the table, NOAA annual means from memory: 405.22 in
// 2017, 412.44 in 2020, 419.35 in 2023 (in some editions 419.31). Interpolation
// has to be within 1 ppm, a fifth of the best site's uncertainty.
func TestOutdoorCO2InYearsBetween(t *testing.T) {
	for year, want := range map[int]float64{2017: 405.22, 2020: 412.44, 2023: 419.35} {
		ppm, err := OutdoorCO2(year)
		require.NoError(t, err)
		assert.InDelta(t, want, ppm, 1, "%d", year)
	}
}

func TestOutdoorCO2GrowsAheadAndItsUncertaintyWithIt(t *testing.T) {
	ppm, err := OutdoorCO2(2026)
	require.NoError(t, err)
	assert.InDelta(t, 425.64+2.60, ppm, 1e-9)
	country := site(t, "Country")
	now, err := FreshAir(2025, country)
	require.NoError(t, err)
	assert.Equal(t, 5.0, now.Value.U())
	later, err := FreshAir(2035, country)
	require.NoError(t, err)
	assert.InDelta(t, math.Hypot(5, 10*0.5), later.Value.U(), 1e-9)
	city, err := FreshAir(2026, site(t, "city"))
	require.NoError(t, err)
	assert.Greater(t, city.Value.U(), 30.0)
	assert.Nil(t, city.TempC)
}

// Whether a year's value was measured is said with it.
func TestFreshAirSaysWhatItsValueRestsOn(t *testing.T) {
	for year, want := range map[int]string{
		2015: "annual mean of 2015", 2024: "annual mean of 2024", 2025: "annual mean of 2025",
		2017: "interpolated, 2016 to 2018", 2023: "interpolated, 2022 to 2024",
		2026: "extrapolated from 2025, 2.6 ppm a year", 2035: "extrapolated from 2025, 2.6 ppm a year",
	} {
		p, err := FreshAir(year, site(t, "suburb"))
		require.NoError(t, err)
		assert.Equal(t, want, p.Basis, "%d", year)
	}
}

func TestFreshAirRefusals(t *testing.T) {
	for _, year := range []int{2014, 2036, 26, -1} {
		_, err := FreshAir(year, site(t, "suburb"))
		assert.ErrorIs(t, err, ErrOutOfRange, "%d", year)
	}
	_, err := SiteByName("balcony")
	assert.EqualError(t, err, `no site is called "balcony"; there are country, suburb, city`)
}
