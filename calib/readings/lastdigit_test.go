package readings

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Noughts at the end of a number are digits of the display.
func TestLastDigitIsOfTheTextAsTyped(t *testing.T) {
	spec := Spec{Columns: []Column{{Name: "reading", Type: Number}, {Name: "meter"}}}
	table, err := Read(strings.NewReader("meter,reading\na,1413\na,6.00\na,6.0\na,1.41e3\na,1.5E-2\na,\na,-0.10\n"), "test", spec)
	require.NoError(t, err)
	for row, want := range []float64{1, 0.01, 0.1, 10, 0.001, 0, 0.01} {
		size, ok := table.LastDigit(row, "reading")
		assert.Equal(t, want != 0, ok, row)
		assert.InDelta(t, want, size, 1e-12, row)
	}
	_, ok := table.LastDigit(0, "meter")
	assert.False(t, ok, "a column of words")
	_, ok = table.LastDigit(0, "nothing")
	assert.False(t, ok)

	table, err = Read(strings.NewReader("meter;reading\na;6,00\na;7,1\n"), "test", spec)
	require.NoError(t, err)
	size, ok := table.LastDigit(0, "reading")
	assert.True(t, ok)
	assert.InDelta(t, 0.01, size, 1e-12, "a decimal comma")
}
