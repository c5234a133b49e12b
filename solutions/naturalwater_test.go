package solutions

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ISO 7888:1985 table, 0 to 35.3 C: whole degrees and three tenths above each,
// every entry to its rounding.
func TestNaturalWaterFactorAgainstISO7888(t *testing.T) {
	rows := publishedRows(t, "natural_water_factors.csv")
	require.Len(t, rows, 36)
	for _, row := range rows {
		for tenths, column := range []string{"f25", "f25_1", "f25_2", "f25_3"} {
			tempC := row.float("t_C") + float64(tenths)/10
			f, err := NaturalWaterFactor(tempC)
			require.NoError(t, err)
			assert.InDelta(t, row.float(column), f, 0.0005, "%v C", tempC)
		}
	}
}

func TestNaturalWaterFactorIsOneAt25AndFalls(t *testing.T) {
	f, err := NaturalWaterFactor(25)
	require.NoError(t, err)
	assert.Equal(t, 1.0, f)
	last := math.Inf(1)
	for tempC := 0.0; tempC <= 35.9; tempC += 0.25 {
		f, err := NaturalWaterFactor(tempC)
		require.NoError(t, err)
		assert.Less(t, f, last, "%v C", tempC)
		last = f
	}
}

func TestNaturalWaterFactorRefusesOutsideItsTable(t *testing.T) {
	for _, tempC := range []float64{-0.01, 35.91, 77, math.NaN(), math.Inf(1)} {
		_, err := NaturalWaterFactor(tempC)
		assert.ErrorIs(t, err, ErrOutOfRange, "%v C", tempC)
	}
}

// The convention is not the behaviour of KCl: against the IUPAC values of
// 0.01 mol/kg (2001) the factor is 5.3 % off at 0 C (1.918 for 1.822) and 0.9 %
// at 20 C (1.116 for 1.106), to the rounding of the standard's table.
func TestNaturalWaterFactorIsNotKCl(t *testing.T) {
	off := map[string]float64{"0": 0.0527, "20": 0.0089}
	for _, row := range publishedRows(t, "kcl_primary.csv") {
		want, listed := off[row.text("t_C")]
		if !listed || row.float("molality_mol_kg") != 0.01 {
			continue
		}
		f, err := NaturalWaterFactor(row.float("t_C"))
		require.NoError(t, err)
		assert.InDelta(t, want, f*row.float("kappa_uS_cm")/1408.23-1, 0.0005, "%s C", row.text("t_C"))
		delete(off, row.text("t_C"))
	}
	assert.Empty(t, off, "every temperature was found in the table")
}

// The slope is that of the factor, by differences; the standard's own table has
// too few digits to tell.
func TestNaturalWaterSlopeIsTheFactors(t *testing.T) {
	const h = 1e-4
	for tempC := 0.5; tempC < 35; tempC += 0.5 {
		up, err := NaturalWaterFactor(tempC + h)
		require.NoError(t, err)
		down, err := NaturalWaterFactor(tempC - h)
		require.NoError(t, err)
		slope, err := NaturalWaterSlope(tempC)
		require.NoError(t, err)
		assert.InDelta(t, (up-down)/(2*h), slope, 1e-9, "%g C", tempC)
		assert.Negative(t, slope, "%g C", tempC)
	}
	_, err := NaturalWaterSlope(36)
	assert.ErrorIs(t, err, ErrOutOfRange)
}
