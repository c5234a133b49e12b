package drift

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The limits of the table are those of the false alarm probability it is made
// for: each chart's, two-sided.
func TestChartLimits(t *testing.T) {
	for _, row := range chartLimitTable {
		if row.n > 128 && testing.Short() {
			break
		}
		if row.n > 512 && !soak() {
			break
		}
		assert.InDelta(t, chartAlarm, EWMAFalseAlarm(row.n, controlLambda, row.width), 2e-6, "%d", row.n)
		assert.InDelta(t, chartAlarm/2, CUSUMFalseAlarm(row.n, controlSlack, row.cusum), 2e-6, "%d", row.n)
	}
	first := chartLimitTable[0]
	assert.InDelta(t, first.width, Limit(chartAlarm, func(x float64) float64 { return EWMAFalseAlarm(first.n, controlLambda, x) }), 6e-5)
	assert.InDelta(t, first.cusum, Limit(chartAlarm/2, func(x float64) float64 { return CUSUMFalseAlarm(first.n, controlSlack, x) }), 6e-5)
	width, cusum := chartLimits(5)
	assert.Equal(t, []float64{3.3667, 5.0911}, []float64{width, cusum}, "the next larger number")
	width, _ = chartLimits(1e6)
	assert.Equal(t, 4.6875, width)
}

// runLength is the mean number of checks to a false alarm: the sum of the
// probabilities of none so far, which soon fall by the same factor each time.
func runLength(falseAlarm func(n int) float64) float64 {
	const n = 40
	sum := 1.0 // none before the first
	for k := 1; k < n; k++ {
		sum += 1 - falseAlarm(k)
	}
	a, b := 1-falseAlarm(n), 1-falseAlarm(n+1)
	return sum + a/(1-b/a)
}

// Mean run lengths of two-sided CUSUM charts with a slack of 0.5, of a mean
// that is shifted (D.C. Montgomery, Introduction to Statistical Quality
// Control, table of run lengths of the tabular CUSUM for limits of 4 and 5;
// from memory). A shift is a smaller slack on the one side and a larger one on
// the other, whose chances add up.
func TestCUSUMRunLengths(t *testing.T) {
	for _, c := range []struct{ limit, shift, length, half float64 }{
		{4, 0, 168, 0.5}, {5, 0, 465, 0.5}, {4, 0.25, 74.2, 0.05}, {4, 0.5, 26.6, 0.05}, {5, 0.5, 38.0, 0.05},
		{4, 0.75, 13.3, 0.05}, {4, 1, 8.38, 0.005}, {5, 1, 10.4, 0.05}, {4, 1.5, 4.75, 0.005},
	} {
		side := func(shift float64) float64 {
			return runLength(func(n int) float64 { return CUSUMFalseAlarm(n, 0.5-shift, c.limit) })
		}
		got := 1 / (1/side(c.shift) + 1/side(-c.shift))
		assert.InDelta(t, c.length, got, c.half+1e-9, "limit %v, shift %v", c.limit, c.shift)
	}
}

// The false alarm probabilities are those of the charts themselves.
func TestFalseAlarmsOfCharts(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	const n, width, limit = 20, 2.6, 3.2
	trials, ewma, high := 20000, 0.0, 0.0
	for range trials {
		x := make([]float64, n)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		out, above := false, false
		for _, p := range EWMA(x, 0, 1, controlLambda, width, false) {
			out = out || p.Out
		}
		for _, p := range CUSUM(x, 0, controlSlack, limit) {
			above = above || p.High > limit
		}
		if out {
			ewma++
		}
		if above {
			high++
		}
	}
	for _, c := range []struct{ want, seen float64 }{{EWMAFalseAlarm(n, controlLambda, width), ewma}, {CUSUMFalseAlarm(n, controlSlack, limit), high}} {
		assert.InDelta(t, c.want, c.seen/float64(trials), slack(c.want, trials))
	}
}
