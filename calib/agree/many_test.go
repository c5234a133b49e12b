package agree

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// Thousands of repetitions of a few samples, as a logger writes them, take no
// more than moments: the bound is some thirty times what it takes.
func TestThousandsOfRepetitions(t *testing.T) {
	var rows []Reading
	for i := range 4000 {
		ref := 300 + 300*float64(i%4)
		rows = append(rows, Reading{Row: i + 2, Meter: fmt.Sprintf("P%d", i/4%2+1), Sample: fmt.Sprint(i % 4), Value: ref * (1 + 0.001*float64(i%7)), Ref: &ref})
	}
	set, err := NewSet(rows)
	require.NoError(t, err)
	start := time.Now()
	c, err := Compare(set, check.EC, quantity.Tolerance{Value: 0.05, Relative: true})
	require.NoError(t, err)
	assert.Less(t, time.Since(start), 10*time.Second)
	assert.Equal(t, Agree, c.Pairs[0].Verdict)
}
