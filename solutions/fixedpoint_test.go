package solutions

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Wagner & Pruss 2002: boiling points and vapour pressures to their printed
// digits; US Standard Atmosphere 1976: pressures to 0.1 Pa.
func TestFixedPointsAgainstPublishedTables(t *testing.T) {
	seen := make(map[string]int)
	for _, row := range publishedRows(t, "boiling_points.csv") {
		kind, x, want := row.text("kind"), row.float("x"), row.float("value")
		by := 0.51 * math.Pow(10, -float64(row.digits("value")))
		var got float64
		var err error
		switch kind {
		case "boiling_C_at_kPa":
			got, err = BoilingTemp(x)
		case "boiling_C_at_altitude_m":
			var p float64
			p, err = StandardPressure(x)
			require.NoError(t, err)
			got, err = BoilingTemp(p)
		case "vapour_pressure_kPa_at_C":
			got, err = SaturationPressure(x)
		case "standard_pressure_kPa_at_m":
			got, err = StandardPressure(x)
			by = 0.0001 // the table's 0.1 Pa
		default:
			t.Fatalf("kind %q", kind)
		}
		require.NoError(t, err)
		assert.InDelta(t, want, got, by, "%s %v", kind, x)
		seen[kind]++
	}
	assert.Equal(t, map[string]int{"boiling_C_at_kPa": 10, "boiling_C_at_altitude_m": 7, "vapour_pressure_kPa_at_C": 7, "standard_pressure_kPa_at_m": 4}, seen)
}

// IAPWS check values, from memory: the 1992 saturation release SR1-86(1992),
// 0.611657 kPa at 273.16 K and 101.325 kPa at 373.1243 K; IAPWS-IF97 tables 35
// and 36, 3.53658941 kPa at 300 K and 372.755919 K at 100 kPa, which is another
// equation and agrees within 0.03 %.
func TestSaturationAgainstIAPWSCheckValues(t *testing.T) {
	for _, c := range []struct{ tempC, kPa, by float64 }{
		{0.01, 0.611657, 2e-6},
		{373.1243 - 273.15, 101.325, 0.001},
		{26.85, 3.53658941, 0.001},
		{226.85, 2638.89776, 0.5},
	} {
		p, err := SaturationPressure(c.tempC)
		require.NoError(t, err)
		assert.InDelta(t, c.kPa, p, c.by, "%v C", c.tempC)
	}
	b, err := BoilingTemp(100)
	require.NoError(t, err)
	assert.InDelta(t, 372.755919-273.15, b, 0.001)
	b, err = BoilingTemp(101.325)
	require.NoError(t, err)
	assert.InDelta(t, 99.974, b, 0.0005)
}

// US Standard Atmosphere 1976 at altitudes that no other test reads, from memory.
func TestStandardAtmosphereAtOtherAltitudes(t *testing.T) {
	for altitude, kPa := range map[float64]float64{1500: 84.556, 3000: 70.109, 4000: 61.640, 5000: 54.020, 8000: 35.600} {
		p, err := StandardPressure(altitude)
		require.NoError(t, err)
		assert.InDelta(t, kPa, p, 0.0006, "%v m", altitude)
	}
}

func TestBoilingIsTheInverseOfSaturation(t *testing.T) {
	last := 0.0
	for p := 30.0; p <= 110; p += 0.25 {
		b, err := BoilingTemp(p)
		require.NoError(t, err)
		back, err := SaturationPressure(b)
		require.NoError(t, err)
		assert.InEpsilon(t, p, back, 1e-9)
		assert.Greater(t, b, last)
		last = b
	}
}

func TestBoilingPointUncertainty(t *testing.T) {
	p := uncert.Must(uncert.New(95, 0.3, uncert.Source{ID: PressureID, Label: "barometer"}))
	point, err := BoilingPoint(p)
	require.NoError(t, err)
	assert.InDelta(t, 98.178, point.Value.Nominal(), 0.0005)
	// The table's kitchen figure: 0.2 C with a pressure known to 0.3 kPa.
	assert.InDelta(t, 0.2, point.Value.U(), 0.003)

	weather, err := PressureAtAltitude(0)
	require.NoError(t, err)
	point, err = BoilingPoint(weather)
	require.NoError(t, err)
	// 0.2765 C/kPa near sea level times 3 kPa is 0.83 C.
	assert.InDelta(t, 3*0.2765, math.Abs(point.Value.Part(PressureID)), 0.005)
	assert.InDelta(t, 0.85, point.Value.U(), 0.01)

	point, err = BoilingPoint(uncert.Unstated(95, uncert.Source{ID: PressureID, Label: "barometer"}))
	require.NoError(t, err)
	assert.Len(t, point.Value.Unstated(), 1)
}

func TestIcePoint(t *testing.T) {
	p := IcePoint()
	assert.Equal(t, 0.0, p.Value.Nominal())
	assert.Equal(t, 0.05, p.Value.U())
	assert.Equal(t, "C", p.Unit)
	require.NotNil(t, p.TempC)
	assert.Equal(t, 0.0, *p.TempC)
	assert.NotEmpty(t, p.Making.Steps)
}

// What the note says of altitude: between 101.325 kPa, where ice melts at 0 C in
// water full of air, and 0.612 kPa, where it does at 0.01 C (ITS-90; triple
// point of water), the melting point moves by 0.01 C. The pressure at 3000 m is
// 70.109 kPa (US Standard Atmosphere 1976).
func TestIcePointMovesLittleWithAltitude(t *testing.T) {
	p, err := StandardPressure(3000)
	require.NoError(t, err)
	assert.InDelta(t, 70.109, p, 0.0006)
	assert.InDelta(t, 0.003, (101.325-p)*0.01/(101.325-0.612), 0.0005)
	assert.Contains(t, strings.Join(IcePoint().Notes, "\n"), "0.003 C or less up to 3000 m")
}

// US Standard Atmosphere 1976: 50.66 kPa, half an atmosphere, lies between
// 5000 m (54.020 kPa) and 6000 m (47.181 kPa, from memory).
func TestAltitudesForAPressureRange(t *testing.T) {
	oxygen := AltitudesFor(OxygenPressureRange)
	assert.Equal(t, "altitude", oxygen.Quantity)
	assert.Equal(t, AltitudeRange.Low, oxygen.Low)
	assert.InDelta(t, 5475, oxygen.High, 60)
	for _, end := range []float64{oxygen.Low, oxygen.High} {
		p, err := StandardPressure(end)
		require.NoError(t, err)
		assert.True(t, OxygenPressureRange.Contains(p), "%v m", end)
	}
	beyond, err := StandardPressure(oxygen.High + 1)
	require.NoError(t, err)
	assert.False(t, OxygenPressureRange.Contains(beyond))
	assert.Equal(t, AltitudeRange, AltitudesFor(BoilingPressureRange))
}

func TestFixedPointRefusals(t *testing.T) {
	for _, kPa := range []float64{29.99, 110.01, 950, 0, -1, math.NaN(), math.Inf(1)} {
		_, err := BoilingTemp(kPa)
		assert.ErrorIs(t, err, ErrOutOfRange, "%v kPa", kPa)
		_, err = BoilingPoint(uncert.Exact(kPa))
		assert.ErrorIs(t, err, ErrOutOfRange, "%v kPa", kPa)
	}
	for _, m := range []float64{-501, 9001, math.NaN()} {
		_, err := StandardPressure(m)
		assert.ErrorIs(t, err, ErrOutOfRange, "%v m", m)
		_, err = PressureAtAltitude(m)
		assert.ErrorIs(t, err, ErrOutOfRange, "%v m", m)
	}
	for _, tempC := range []float64{-0.1, 373.1, math.NaN()} {
		_, err := SaturationPressure(tempC)
		assert.ErrorIs(t, err, ErrOutOfRange, "%v C", tempC)
	}
	// Both ends of the altitude range give a pressure that boils.
	for _, m := range []float64{AltitudeRange.Low, AltitudeRange.High} {
		p, err := StandardPressure(m)
		require.NoError(t, err)
		_, err = BoilingTemp(p)
		assert.NoError(t, err, "%v m", m)
	}
}
