package readings

import (
	"encoding/csv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A name that a spreadsheet would run is written so that it does not, and read as
// it was.
func TestAFormulaIsWrittenAsText(t *testing.T) {
	for _, name := range []string{"=1+1", "+x", "-x", "@sum", "＝x", "＋x", "－x", "＠x", "=cmd|' /c calc'!A0"} {
		assert.True(t, IsFormula(name), name)
		cell := SafeCell(name)
		assert.Equal(t, "'"+name, cell)
		var b strings.Builder
		w := csv.NewWriter(&b)
		require.NoError(t, w.WriteAll([][]string{{"meter", "reading"}, {cell, "1"}}))
		table, err := Read(strings.NewReader(b.String()), "t.csv", Spec{Columns: []Column{{Name: "meter"}, {Name: "reading", Type: Number}}})
		require.NoError(t, err)
		text, ok, err := table.Text(0, "meter")
		require.NoError(t, err)
		assert.True(t, ok)
		assert.Equal(t, name, text)
	}
	for _, name := range []string{"", "P1", "a=b", "'quoted'", "5 mS"} {
		assert.False(t, IsFormula(name), name)
		assert.Equal(t, name, SafeCell(name))
		assert.Equal(t, name, unmarked(name))
	}
}
