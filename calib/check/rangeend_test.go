package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSetsAsideTheEndOfTheDisplay(t *testing.T) {
	g := Range{Low: pointer(0), High: pointer(999)}
	rows := plain(0, 0, 447, 450, 990, 997, 1000, 998, 1394, 999)
	kept, out, err := g.SetAside(rows, 1)
	require.NoError(t, err)
	assert.Equal(t, []int{0, 1, 2}, kept, "998 is within one step of the end, 0 is a reading")
	require.Len(t, out, 2)
	assert.Equal(t, "point 4 (ref 1000) is left out of line and verdict: the display ends at 999, and 998 says only that there is at least as much", out[0].String())
	assert.Equal(t, 1394.0, out[1].Row.Ref)

	kept, _, err = g.SetAside(rows, 0)
	require.NoError(t, err)
	assert.Equal(t, []int{0, 1, 2, 3}, kept, "no step known: the end alone")
	kept, out, err = Range{}.SetAside(rows, 1)
	require.NoError(t, err)
	assert.Len(t, kept, len(rows))
	assert.Empty(t, out)

	low := Range{Low: pointer(10), High: pointer(20)}
	assert.Contains(t, low.AtEnd(10, 0), "at most")
	assert.Contains(t, low.AtEnd(19.99, 0.01), "at least")
	assert.Empty(t, low.AtEnd(19.98, 0.01))

	_, _, err = g.SetAside(plain(1394, 999, 2000, 999), 1)
	var at *RowError
	require.ErrorAs(t, err, &at)
	require.ErrorIs(t, err, ErrOutOfRange)
	assert.Equal(t, ColumnReading, at.Column)
}

func TestNegativeConductivity(t *testing.T) {
	for _, rows := range [][]Row{plain(1394, -298), plain(447, 450, 1394, -298), plain(1.413, -0.298), plain(0, -100, 1413, 1400)} {
		_, err := Run(rows, Options{})
		var at *RowError
		require.ErrorAs(t, err, &at, "%v", rows)
		assert.Equal(t, ColumnReading, at.Column)
		_, err = Run(rows, Options{Kind: Other})
		assert.NoError(t, err, "a raw signal may be anything")
	}
	for _, rows := range [][]Row{plain(3, -1), plain(0, -1), plain(0, -20, 1413, 1400), plain(2, -1, 1413, 1410), plain(0.003, -0.01, 1.413, 1.41)} {
		_, err := Run(rows, Options{})
		assert.NoError(t, err, "%v", rows)
	}
}
