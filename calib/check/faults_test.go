package check

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// readBy makes three well known bottles read by a meter.
func readBy(gain, zero float64) []Row {
	var pairs []float64
	for _, ref := range []float64{700, 1400, 2800} {
		pairs = append(pairs, ref, gain*ref+zero)
	}
	return stated(plain(pairs...), 2, 2)
}

func TestThermometerOnlyWhereItExplains(t *testing.T) {
	for gain, explains := range map[float64]bool{0.97: true, 1.05: true, 0.95: true, 0.87: false, 1.13: false, 0.75: false, 1.35: false} {
		r := must(t, readBy(gain, 0), Options{Tolerance: relative(0.02)})
		require.Equal(t, explains, strings.Contains(r.saidAll(), "first the thermometer"), "gain %g", gain)
		own := must(t, readBy(gain, 0), Options{Tolerance: relative(0.02), Compensates: true})
		require.NotContains(t, own.saidAll(), "first the thermometer")
		require.Equal(t, explains, strings.Contains(own.saidAll(), "the meter's own temperature sensor"), "gain %g", gain)
	}
}

func TestNamesMixedScales(t *testing.T) {
	for slope, says := range map[float64]string{0.5: "readings in uS/cm beside references in ppm (x 0.5)", 2: "readings in ppm (x 0.5) beside",
		0.7: "ppm (x 0.7)", 0.714: "beside ppm (x 0.5)", 1.43: "readings in ppm (x 0.7)", 1.4: "ppm (x 0.5) beside ppm (x 0.7)", 0.64: "ppm (x 0.64)", 1.56: "readings in ppm (x 0.64)"} {
		for _, o := range []Options{{Tolerance: relative(0.05)}, {}} {
			r := must(t, readBy(1/slope, 0), o)
			require.True(t, strings.HasPrefix(r.Advice[0], "first the unit and the scale"), "%g: %s", slope, r.Advice[0])
			require.Contains(t, r.Advice[0], says)
			require.NotContains(t, r.saidAll(), "corrected =")
			require.NotContains(t, r.saidAll(), "adjust:")
			require.NotContains(t, r.saidAll(), "clean the probe")
		}
	}
	for _, slope := range []float64{0.55, 0.6, 0.75, 0.9, 1, 1.1, 1.35, 1.7, 1.9} {
		assert.NotContains(t, must(t, readBy(1/slope, 0), Options{Tolerance: relative(0.05)}).saidAll(), "the scale:", "%g", slope)
	}
	assert.NotContains(t, must(t, readBy(2, 300), Options{Tolerance: relative(0.05)}).saidAll(), "the scale:", "a zero error as well")
	assert.NotContains(t, must(t, readBy(2, 0), Options{Kind: Other, Tolerance: relative(0.05)}).saidAll(), "the scale:")
}

func TestNamesZeroError(t *testing.T) {
	r := must(t, readBy(1, -60), Options{Tolerance: relative(0.02)})
	require.Contains(t, r.Advice[0], "a zero error: it shows about 60 too little at every reference")
	require.Contains(t, r.Advice[0], "dry, in air")
	require.NotContains(t, r.saidAll(), "thermometer")
	require.Contains(t, r.saidAll(), "so that it shows 2800 where it shows 2740 now (+60); the largest error left is then 0 % of the tolerance", "an offset is what mends it")
	require.Contains(t, must(t, readBy(1, 60), Options{Tolerance: relative(0.02)}).Advice[0], "60 too much")
	for _, other := range [][]Row{readBy(0.95, 0), readBy(0.9, 60), stated(plain(1000, 950, 1100, 1045), 2, 2), readBy(1, 1)} {
		assert.NotContains(t, must(t, other, Options{Tolerance: relative(0.02)}).saidAll(), "a zero error")
	}
}
