package reports

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/solutions"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is written down of natural water gives every entry of the standard's
// table (ISO 7888:1985) to its rounding, and the rule itself to a double's and a
// float's digits.
func TestFormOfNaturalWaterIsTheStandards(t *testing.T) {
	fine, err := formOf(tempcomp.NaturalWater{}, fineDegree, 1e-11)
	require.NoError(t, err)
	coarse, err := formOf(tempcomp.NaturalWater{}, coarseDegree, 1e-7)
	require.NoError(t, err)
	file, err := os.Open("../testdata/published/natural_water_factors.csv")
	require.NoError(t, err)
	defer file.Close()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 37)
	for _, row := range rows[1:] {
		tempC, err := strconv.ParseFloat(row[0], 64)
		require.NoError(t, err)
		printed, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		assert.InDelta(t, printed, 1/fine.at(tempC), 0.0005, "%g C", tempC)
		factor, err := solutions.NaturalWaterFactor(tempC)
		require.NoError(t, err)
		assert.InEpsilon(t, 1/factor, fine.at(tempC), 1e-11, "%g C", tempC)
		assert.InEpsilon(t, 1/factor, coarse.at(tempC), 1e-7, "%g C", tempC)
	}
}

func TestFormOfStraightRules(t *testing.T) {
	f, err := formOf(tempcomp.Linear{Alpha: 0.019, RefTempC: 20}, 1, 0)
	require.NoError(t, err)
	assert.Equal(t, 1+0.019*15, f.at(35))
	f, err = formOf(tempcomp.None{}, 1, 0)
	require.NoError(t, err)
	assert.Equal(t, 1.0, f.at(35))
}

// A form that would be off is refused, not written.
func TestFormRefusesWhatItCannotFollow(t *testing.T) {
	_, err := formOf(tempcomp.NaturalWater{}, 2, 1e-7)
	assert.ErrorContains(t, err, "natural-water cannot be written down within 1e-07")
}

// A polynomial of the degree is found exactly.
func TestInterpolateFindsAPolynomial(t *testing.T) {
	want := []float64{3, -1, 0.5, 0, 2}
	got, err := interpolate(func(s float64) (float64, error) { return 3 - s + 0.5*s*s + 2*math.Pow(s, 4), nil }, 4)
	require.NoError(t, err)
	assert.InDeltaSlice(t, want, got, 1e-14)
}
