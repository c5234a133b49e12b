package watch_test

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// number reads a figure of a log by hand; "-" is a blank.
func number(t *testing.T, word string) float64 {
	t.Helper()
	if word == "-" {
		return math.NaN()
	}
	x, err := strconv.ParseFloat(word, 64)
	require.NoError(t, err)
	return x
}
