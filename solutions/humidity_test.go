package solutions

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/uncert"
)

func typicalGradient(t *testing.T) uncert.Value {
	t.Helper()
	return uncert.Must(uncert.New(0, TypicalGradientC, uncert.Source{ID: GradientID, Label: "sensor warmer than salt"}))
}

// Greenspan 1977, Table 2. His table is truncated to 0.01, so the equation
// lies up to 0.01 above it.
func TestSaturatedSaltsAgainstGreenspan(t *testing.T) {
	n := 0
	for _, row := range publishedRows(t, "saturated_salt_humidity.csv") {
		s, err := SaturatedSaltByFormula(row.text("salt"))
		require.NoError(t, err)
		rh, err := s.RelativeHumidity(row.float("t_C"))
		require.NoError(t, err)
		assert.InDelta(t, row.float("rh_percent"), rh, 0.0101, "%s at %s C", s.Formula, row.text("t_C"))
		p, err := s.At(uncert.Exact(row.float("t_C")), uncert.Exact(0))
		require.NoError(t, err)
		assert.InDelta(t, row.float("U")/2, p.Value.U(), 1e-12, "U of %s at %s C", s.Formula, row.text("t_C"))
		n++
	}
	assert.Equal(t, 47, n)
}

// Greenspan 1977, Table 2, at other temperatures, from memory, printed to 0.01.
func TestSaturatedSaltsBetweenTheTableRows(t *testing.T) {
	cases := []struct {
		salt      string
		tempC, rh float64
	}{
		{"LiCl", 5, 11.26}, {"LiCl", 15, 11.30}, {"LiCl", 35, 11.25}, {"LiCl", 45, 11.16},
		{"MgCl2", 5, 33.60}, {"MgCl2", 15, 33.30}, {"MgCl2", 35, 32.05}, {"MgCl2", 45, 31.10},
		{"K2CO3", 5, 43.13}, {"K2CO3", 15, 43.15},
		{"Mg(NO3)2", 5, 58.86}, {"Mg(NO3)2", 15, 55.87}, {"Mg(NO3)2", 35, 49.91}, {"Mg(NO3)2", 45, 46.93},
		{"NaCl", 5, 75.65}, {"NaCl", 15, 75.61}, {"NaCl", 35, 74.87}, {"NaCl", 45, 74.52},
		{"KCl", 5, 87.67}, {"KCl", 15, 85.92}, {"KCl", 35, 82.95}, {"KCl", 45, 81.74},
		{"K2SO4", 5, 98.48}, {"K2SO4", 15, 97.89}, {"K2SO4", 35, 96.71}, {"K2SO4", 45, 96.12},
	}
	for _, c := range cases {
		s, err := SaturatedSaltByFormula(c.salt)
		require.NoError(t, err)
		rh, err := s.RelativeHumidity(c.tempC)
		require.NoError(t, err)
		assert.InDelta(t, c.rh, rh, 0.0101, "%s at %v C", c.salt, c.tempC)
	}
}

// A sensor warmer than the salt by 1 C reads low by p_s(25)/p_s(26): with the
// vapour pressures 3.1698 and 3.3638 kPa (CRC Handbook; from memory) 5.8 %, with
// the slope at 25 C 6.0 %.
func TestHumidityGradient(t *testing.T) {
	s, err := SaturatedSaltByFormula("NaCl")
	require.NoError(t, err)
	p, err := s.At(uncert.Exact(25), typicalGradient(t))
	require.NoError(t, err)
	assert.InDelta(t, 75.29, p.Value.Nominal(), 0.02)
	perDegree := p.Value.Part(GradientID) / TypicalGradientC / p.Value.Nominal()
	assert.Negative(t, perDegree)
	assert.InDelta(t, 0.060, -perDegree, 0.001)
	assert.InDelta(t, math.Hypot(0.12/2, 0.45), p.Value.U(), 0.005)
}

func TestSaturatedSaltRefusals(t *testing.T) {
	for _, c := range []struct {
		salt  string
		tempC float64
	}{{"K2CO3", 30.1}, {"NaCl", -1}, {"NaCl", 50.5}, {"KCl", 77}, {"LiCl", math.NaN()}} {
		s, err := SaturatedSaltByFormula(c.salt)
		require.NoError(t, err)
		_, err = s.RelativeHumidity(c.tempC)
		assert.ErrorIs(t, err, ErrOutOfRange, "%s at %v", c.salt, c.tempC)
		_, err = s.At(uncert.Exact(c.tempC), uncert.Exact(0))
		assert.ErrorIs(t, err, ErrOutOfRange, "%s at %v", c.salt, c.tempC)
	}
	_, err := SaturatedSaltByFormula("sugar")
	assert.EqualError(t, err, `no saturated salt is called "sugar"; there are LiCl, MgCl2, K2CO3, Mg(NO3)2, NaCl, KCl, K2SO4`)
	for _, name := range []string{"nacl", "NACL", " NaCl"} {
		s, err := SaturatedSaltByFormula(name)
		require.NoError(t, err)
		assert.Equal(t, "NaCl", s.Formula)
	}
}

func TestLithiumChlorideWarnsWhenColdAndIsNotMadeAtHome(t *testing.T) {
	s, err := SaturatedSaltByFormula("LiCl")
	require.NoError(t, err)
	cold, err := s.At(uncert.Exact(15), uncert.Exact(0))
	require.NoError(t, err)
	require.Len(t, cold.Warnings, 1)
	assert.Contains(t, cold.Warnings[0], "dihydrate")
	warm, err := s.At(uncert.Exact(25), uncert.Exact(0))
	require.NoError(t, err)
	assert.Empty(t, warm.Warnings)
	assert.Empty(t, s.Making.Steps)
	for _, other := range SaturatedSalts() {
		if other.Formula != "LiCl" {
			assert.NotEmpty(t, other.Making.Steps, other.Formula)
			assert.NotEmpty(t, other.Making.Cautions, other.Formula)
		}
	}
}

// The seven salts stay in order from 0 to 30 C, so that two of them always
// bracket.
func TestSaturatedSaltsStayInOrder(t *testing.T) {
	for tempC := 0.0; tempC <= 30; tempC += 0.5 {
		last := 0.0
		for _, s := range SaturatedSalts() {
			rh, err := s.RelativeHumidity(tempC)
			require.NoError(t, err)
			assert.Greater(t, rh, last, "%s at %v C", s.Formula, tempC)
			last = rh
		}
	}
}
