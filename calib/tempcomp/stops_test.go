package tempcomp

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestStops(t *testing.T) {
	for _, c := range []struct {
		temps []float64
		of    []int
		n     int
	}{
		{nil, []int{}, 0},
		{[]float64{20}, []int{0}, 1},
		{[]float64{30, 10, 20}, []int{2, 0, 1}, 3},
		{[]float64{20, 20.9, 10}, []int{1, 1, 0}, 2},
		{[]float64{20, 20.9, 21.8, 22.7}, []int{0, 0, 1, 1}, 2}, // a stop does not creep along
		{[]float64{20, 21}, []int{0, 1}, 2},
	} {
		of, n := stops(c.temps)
		assert.Equal(t, c.of, of)
		assert.Equal(t, c.n, n)
	}
}
