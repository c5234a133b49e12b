package reports

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

func TestEveryReferenceButIceHasATable(t *testing.T) {
	for name, m := range allMakers(t) {
		table, err := NewReferenceTable(m, Grid{})
		if name == "ice" {
			assert.ErrorContains(t, err, "one temperature")
			continue
		}
		require.NoError(t, err, name)
		require.NotEmpty(t, table.Rows, name)
		var text bytes.Buffer
		require.NoError(t, table.Table(&text, Style{}), name)
		var b bytes.Buffer
		require.NoError(t, WriteJSON(&b, table), name)
		assert.Equal(t, byte('{'), b.Bytes()[0])
		if name != "temperature" && name != "co2" {
			require.Len(t, table.Rows, 31, name)
			assert.Equal(t, 5.0, get(t, table.Rows[0].TempC))
			assert.Equal(t, 35.0, get(t, table.Rows[30].TempC))
		}
		// A row is the point at its place.
		middle := table.Rows[len(table.Rows)/2]
		at := middle.along
		assert.Equal(t, makeReference(t, m.movedTo(at)).Value, middle.Value, name)
	}
}

func TestReferenceTableRows(t *testing.T) {
	tartrate, err := solutions.BufferByName("tartrate")
	require.NoError(t, err)
	m := ForBuffer(tartrate, tempInput(0, Known(0)))
	table, err := NewReferenceTable(m, Grid{})
	require.NoError(t, err)
	assert.Len(t, table.Rows, 11, "25 to 35 C")
	require.Len(t, table.Warnings, 1)
	assert.Equal(t, "the table begins at 25 C and not at 5 C: the range of the buffer tartrate is 25 to 50 C", table.Warnings[0])

	for _, c := range []struct {
		grid Grid
		want string
	}{
		{Grid{From: Known(20)}, "buffer tartrate: temperature 20 C is outside its range, 25 to 50 C"},
		{Grid{To: Known(60)}, "buffer tartrate: temperature 60 C is outside"},
		{Grid{To: Known(20)}, "buffer tartrate: temperature 20 C is outside"},
		{Grid{From: Known(30), To: Known(26)}, "want the lower one first"},
		{Grid{Step: Known(0)}, "want more than 0"},
		{Grid{Step: Known(-1)}, "want more than 0"},
		{Grid{Step: Known(math.NaN())}, "want more than 0"},
		{Grid{From: Known(math.NaN())}, "temperature NaN C is outside"},
		{Grid{Step: Known(1e-6)}, "more than 1000 rows"},
	} {
		_, err := NewReferenceTable(m, c.grid)
		assert.ErrorContains(t, err, c.want)
	}
	table, err = NewReferenceTable(m, Grid{From: Known(25), To: Known(26), Step: Known(0.1)})
	require.NoError(t, err)
	require.Len(t, table.Rows, 11)
	assert.Equal(t, 25.3, get(t, table.Rows[3].TempC))
}

// An end that is not given gives way to the one that is, and the last row is
// there whatever the step.
func TestReferenceTableEnds(t *testing.T) {
	borax, err := solutions.BufferByName("borax")
	require.NoError(t, err)
	tartrate, err := solutions.BufferByName("tartrate")
	require.NoError(t, err)
	carbonate, err := solutions.SaturatedSaltByFormula("K2CO3")
	require.NoError(t, err)
	gradient := ReferenceInput{U: Known(0.1), Source: uncert.Source{ID: solutions.GradientID, Label: "gradient"}}
	natural := bottleOf(t, solutions.KCl, "0.01mol/kg", Known(0), tempInput(0, Known(0)), pen(t, tempcomp.NaturalWater{}, 0))
	steep := bottleOf(t, solutions.KCl, "0.01mol/kg", Known(0), tempInput(0, Known(0)), pen(t, tempcomp.Linear{Alpha: 0.1, RefTempC: 25}, 0))
	for _, c := range []struct {
		name   string
		m      ReferenceMaker
		grid   Grid
		temps  []float64
		warned string
	}{
		{"late start", ForBuffer(borax, tempInput(0, Known(0))), Grid{From: Known(40), Step: Known(5)}, []float64{40, 45, 50}, ""},
		{"early end", ForBuffer(borax, tempInput(0, Known(0))), Grid{To: Known(3), Step: Known(1)}, []float64{0, 1, 2, 3}, ""},
		{"start at the default end", ForBuffer(borax, tempInput(0, Known(0))), Grid{From: Known(35), Step: Known(10)}, []float64{35, 45, 50}, ""},
		{"one row", ForBuffer(borax, tempInput(0, Known(0))), Grid{From: Known(50)}, []float64{50}, ""},
		{"clipped start", ForBuffer(tartrate, tempInput(0, Known(0))), Grid{To: Known(30), Step: Known(2)}, []float64{25, 27, 29, 30}, "begins at 25 C and not at 5 C"},
		{"clipped end", ForSaturated(carbonate, tempInput(0, Known(0)), gradient), Grid{From: Known(10), Step: Known(15)}, []float64{10, 25, 30}, "ends at 30 C and not at 35 C"},
		{"odd step", ForBuffer(borax, tempInput(0, Known(0))), Grid{Step: Known(7)}, []float64{5, 12, 19, 26, 33, 35}, ""},
		{"huge step", ForBuffer(borax, tempInput(0, Known(0))), Grid{Step: Known(1e300)}, []float64{5, 35}, ""},
		{"compensation to 35 C", ForSalt(natural), Grid{From: Known(25), Step: Known(10)}, []float64{25, 35}, ""},
		{"compensation from 16 C", ForSalt(steep), Grid{Step: Known(10)}, []float64{16, 26, 35}, "begins at 16 C and not at 5 C"},
	} {
		table, err := NewReferenceTable(c.m, c.grid)
		require.NoError(t, err, c.name)
		var temps []float64
		for _, row := range table.Rows {
			temps = append(temps, get(t, row.TempC))
		}
		assert.Equal(t, c.temps, temps, c.name)
		found := ""
		for _, w := range table.Warnings {
			if strings.HasPrefix(w, "the table ") {
				found += w
			}
		}
		if c.warned == "" {
			assert.Empty(t, found, c.name)
		}
		assert.Contains(t, found, c.warned, c.name)
	}
}

// What is wrong with every row is said once, without a row; nobody typed a row's
// temperature, so no hint asks what was meant by it.
func TestReferenceTableRefusals(t *testing.T) {
	weak := bottleOf(t, solutions.NaCl, "1uS/cm", Known(0), tempInput(0, Known(0)), pen(t, tempcomp.None{}, 0))
	_, err := NewReferenceTable(ForSalt(weak), Grid{})
	assert.ErrorIs(t, err, solutions.ErrOutOfRange)
	assert.NotContains(t, err.Error(), "at 5 C")
	a := temperatureAxis(0, "salt", solutions.ModelTempRange)
	err = a.refusal(77, fmt.Errorf("wrapped: %w", solutions.ModelTempRange.Check("salt", 77)))
	assert.EqualError(t, err, "at 77 C: salt: temperature 77 C is outside its range, 0 to 50 C")
	assert.ErrorIs(t, err, solutions.ErrOutOfRange)
}

// The range that is printed is the one that holds: model and compensation.
func TestReferenceRangeIncludesTheCompensation(t *testing.T) {
	for _, c := range []struct {
		rule      tempcomp.Rule
		low, high float64
	}{{tempcomp.NaturalWater{}, 0, 35.9}, {tempcomp.Linear{Alpha: 0.1, RefTempC: 25}, 16, 50}, {tempcomp.None{}, 0, 50}} {
		r := makeReference(t, ForSalt(bottleOf(t, solutions.NaCl, "600mg/L", Known(0), tempInput(25, Known(0)), pen(t, c.rule, 0))))
		require.Len(t, r.Valid, 3)
		assert.Equal(t, ValidRange{"temperature", c.low, c.high, "C"}, r.Valid[0], "%v", c.rule)
		assert.Equal(t, "molality", r.Valid[1].Quantity)
		assert.Equal(t, "mg/L", r.Valid[2].Unit)
		var text bytes.Buffer
		require.NoError(t, r.Table(&text, Style{}))
		assert.Contains(t, text.String(), "molality 0.00005 to 1.1 mol/kg")
		for _, temp := range []float64{c.low, c.high} {
			makeReference(t, ForSalt(bottleOf(t, solutions.NaCl, "600mg/L", Known(0), tempInput(temp, Known(0)), pen(t, c.rule, 0))))
		}
	}
}

// A warning that belongs to some rows is on the table.
func TestReferenceTableKeepsEveryRowsWarning(t *testing.T) {
	table, err := NewReferenceTable(allMakers(t)["humidity"], Grid{From: Known(18), To: Known(30)})
	require.NoError(t, err)
	found := 0
	for _, w := range table.Warnings {
		if bytes.Contains([]byte(w), []byte("dihydrate")) {
			found++
		}
	}
	assert.Equal(t, 1, found)
}
