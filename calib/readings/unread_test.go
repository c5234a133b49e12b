package readings

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Rows that were prepared and not filled in are left out, and counted; any other
// row without a reading is an error, and so is a table without one.
func TestUnreadRowsAreLeftOut(t *testing.T) {
	spec := Spec{
		Columns: []Column{{Name: "meter"}, {Name: "bottle"}, {Name: "ref", Type: Number}, {Name: "reading", Type: Number, Required: true, Filled: true}, {Name: "temp_C", Type: Number}, {Name: "time", Type: Time}},
		Unread:  &Unread{Column: "reading", Needs: "bottle", Beside: []string{"meter", "bottle", "temp_C", "time"}},
	}
	read := func(text string) (*Table, error) { return Read(strings.NewReader(text), "t.csv", spec) }
	const header = "meter,bottle,ref,reading,temp_C,time\n"
	table, err := read(header + "P1,A,,,,\n\nP1,B,,5,25,2026-03-01\nP2,A,,,25,\nP2,B,,6,26,2026-03-02\n")
	require.NoError(t, err)
	assert.Equal(t, []string{"t.csv: 2 rows without a reading are left out (rows 2, 5)"}, table.Notes)
	require.Equal(t, 2, table.Len())
	assert.Equal(t, []int{4, 6}, []int{table.Line(0), table.Line(1)})
	for i, want := range []float64{5, 6} {
		v, ok, err := table.Float(i, "reading")
		require.NoError(t, err)
		assert.True(t, ok)
		assert.Equal(t, want, v)
		v, _, err = table.Float(i, "temp_C")
		require.NoError(t, err)
		assert.Equal(t, want+20, v)
		at, _, err := table.Time(i, "time")
		require.NoError(t, err)
		assert.Equal(t, i+1, at.Day())
	}
	table, err = read(header + "P1,A,,,,\nP1,B,,5,,\n")
	require.NoError(t, err)
	assert.Equal(t, []string{"t.csv: 1 row without a reading is left out (row 2)"}, table.Notes)
	table, err = read(header + strings.Repeat("P1,A,,,,\n", 9) + "P1,B,,5,,\n")
	require.NoError(t, err)
	assert.Equal(t, []string{"t.csv: 9 rows without a reading are left out (rows 2, 3, 4, 5, 6, 7, 8, 9, …)"}, table.Notes)

	for name, text := range map[string]string{
		"a reference without a reading": header + "P1,A,600,,,\nP1,B,,5,,\n",
		"no bottle":                     header + "P1,,,,25,\nP1,B,,5,,\n",
	} {
		_, err := read(text)
		require.ErrorIs(t, err, ErrBlank, name)
		assert.ErrorContains(t, err, "row 2, column reading", name)
	}
	_, err = read(header + "P1,A,,,,\nP1,B,,,,\n")
	require.ErrorIs(t, err, ErrBlank)
	assert.ErrorContains(t, err, "t.csv, column reading: found nothing in any row; want a number in the rows that were read")
}

// A time of day says no day, and the refusal says what is missing.
func TestATimeWithoutItsDay(t *testing.T) {
	for _, text := range []string{"18:02", "8:02", "18:02:30", "6:02 pm"} {
		_, err := ParseTime(text, nil)
		assert.ErrorContains(t, err, "the date as well as the time, such as 2026-03-01 18:02", text)
	}
}
