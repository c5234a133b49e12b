package series

import (
	"bytes"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Rows of nothing but separators behind the last row are no rows, in however many
// blocks they lie; with a row behind them the first of them is at fault, as it
// was.
func TestRowsOfSeparatorsAtTheEnd(t *testing.T) {
	plan := inventedPlan(t)
	good := "time;ec;temp;ph\n2026-03-06T12:00:00Z;1000;20;6\n"
	added := ";;;;;;"
	for _, size := range []int{16, 64, 64 << 10} {
		for text, tail := range map[string]string{
			good + ";;;\n;;;\n":              ";;;" + added + "\n;;;" + added + "\n",
			good + ";;;":                     ";;;" + added,
			good + ";;;\r\n\r\n\r\n; ;;\r\n": ";;;" + added + "\r\n\r\n\r\n; ;;" + added + "\r\n",
			good + ";;;;;\n":                 ";;;;;" + added + "\n", // as calibrate: whatever their number
			good + "\n\n;;;\n\n":             "\n\n;;;" + added + "\n\n",
		} {
			out, summary, err := engine(text, plan, size)
			require.NoError(t, err, "%q in blocks of %d", text, size)
			assert.EqualValues(t, 1, summary.Rows, "%q", text)
			assert.EqualValues(t, 1, summary.Columns[0].Flagged[Believed], "%q: no flag for what is no row", text)
			assert.True(t, strings.HasSuffix(out, "\n"+tail), "%q gave %q", text, out)
		}
		long := good + strings.Repeat(";;;\n", 5000)
		_, summary, err := engine(long, plan, size)
		require.NoError(t, err)
		assert.EqualValues(t, 1, summary.Rows)
		for _, text := range []string{long + "2026-03-06T12:01:00Z;1000;20;6\n", long + "x;1;2;3\n", good + ";;;\n\n2026-03-06T12:01:00Z;1000;20;6\n"} {
			_, _, err := engine(text, plan, size)
			assert.ErrorIs(t, err, readings.ErrNotATime)
			assert.ErrorContains(t, err, "row 3, column time: found nothing", "blocks of %d", size)
		}
	}
	var out bytes.Buffer
	troubles := 0
	summary, err := Follow(strings.NewReader(good+";;;\n"), &out, "feed", plan, func(error) { troubles++ })
	require.NoError(t, err)
	assert.Equal(t, 1, troubles, "of a feed nobody knows yet")
	assert.EqualValues(t, 2, summary.Rows)
}
