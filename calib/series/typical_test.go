package series

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The ends are those of all numbers; the median is of a sample spread over all of
// them, to a percent of their range where they have an order.
func TestTypicalOfALongColumn(t *testing.T) {
	var g gathering
	assert.True(t, math.IsNaN(g.typical().Median), "of nothing")
	g.add(math.NaN())
	assert.True(t, math.IsNaN(g.typical().Median), "of no number")
	for i := range 100_001 {
		g.add(float64(i))
		g.add(math.NaN())
	}
	got := g.typical()
	assert.Equal(t, 0.0, got.Low)
	assert.Equal(t, 100_000.0, got.High)
	assert.InDelta(t, 50_000, got.Median, 1000)
	assert.LessOrEqual(t, cap(g.sample), mostGathered)
}
