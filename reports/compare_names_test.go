package reports

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"github.com/jedib0t/go-pretty/v6/text"
)

// Cut names stay apart and within their width, and short ones stay whole.
func TestShortNamesStayApart(t *testing.T) {
	names := []string{"P1", "meter-number-one-of-the-house", "meter-nimble-one-of-the-house", "meter-number-two-of-the-house", "測定器測定器測定器測定器測定器"}
	for width := shortestName; width <= longestName; width++ {
		short := shortNames(names, width)
		seen := map[string]bool{}
		for _, name := range names {
			cut := short[name]
			assert.LessOrEqual(t, text.StringWidthWithoutEscSequences(cut), width, cut)
			assert.False(t, seen[cut], "%d: %s twice", width, cut)
			seen[cut] = true
		}
		assert.Equal(t, "P1", short["P1"])
	}
}
