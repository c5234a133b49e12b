package drift

import "math"

// Control limits of a handbook are set for a run length in a factory that
// measures all day. A meter is checked some dozens of times, and a false alarm
// costs trust. So the limits here come from the number of checks: the
// probability that a chart of so many independent standard normal values
// crosses its limit at all is the false alarm probability asked for. It is
// computed by carrying the distribution of the chart's value from check to
// check (D. Brook, D.A. Evans, Biometrika 59 (1972) 539), with Gauss-Legendre
// nodes in place of equal cells.

// EWMAFalseAlarm is the probability that an EWMA chart with exact limits of
// that width, of n independent standard normal values, crosses a limit.
func EWMAFalseAlarm(n int, lambda, width float64) float64 {
	nodes, weights := gaussNodes(-1, 1)
	k := len(nodes)
	density, next := make([]float64, k), make([]float64, k)
	sd := func(i int) float64 {
		return math.Sqrt(lambda / (2 - lambda) * (1 - math.Pow(1-lambda, 2*float64(i))))
	}
	half := width * sd(1)
	for j, x := range nodes {
		density[j] = half * phi(half*x/lambda) / lambda
	}
	for i := 2; i <= n; i++ {
		before := half
		half = width * sd(i)
		for j, x := range nodes {
			sum := 0.0
			for l, y := range nodes {
				sum += weights[l] * density[l] * phi((half*x-(1-lambda)*before*y)/lambda)
			}
			next[j] = half * sum / lambda
		}
		density, next = next, density
	}
	inside := 0.0
	for j := range nodes {
		inside += weights[j] * density[j]
	}
	return 1 - inside
}

// CUSUMFalseAlarm is the probability that one side of a CUSUM chart of n
// independent standard normal values exceeds limit. The two sides together are
// at most twice that.
func CUSUMFalseAlarm(n int, slack, limit float64) float64 {
	nodes, weights := gaussNodes(0, limit)
	k := len(nodes)
	density, next := make([]float64, k), make([]float64, k)
	zero := 1.0 // probability of a sum of exactly zero
	for range n {
		nextZero := zero * normalCDF(slack)
		for l, y := range nodes {
			nextZero += weights[l] * density[l] * normalCDF(slack-y)
		}
		for j, x := range nodes {
			sum := zero * phi(x+slack)
			for l, y := range nodes {
				sum += weights[l] * density[l] * phi(x-y+slack)
			}
			next[j] = sum
		}
		zero = nextZero
		density, next = next, density
	}
	inside := zero
	for j := range nodes {
		inside += weights[j] * density[j]
	}
	return 1 - inside
}

// Limit finds the limit at which a falling false alarm probability is alpha.
func Limit(alpha float64, falseAlarm func(limit float64) float64) float64 {
	low, high := 0.5, 1.0
	for falseAlarm(high) > alpha && high < 1000 {
		low, high = high, 1.5*high
	}
	for range 60 {
		mid := (low + high) / 2
		if falseAlarm(mid) > alpha {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

func phi(x float64) float64 { return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) }

// gaussNodes are 80 Gauss-Legendre nodes on an interval: the rule of 20 on
// each of four parts of it.
func gaussNodes(low, high float64) (nodes, weights []float64) {
	const parts = 4
	width := (high - low) / parts
	for part := range parts {
		mid := low + (float64(part)+0.5)*width
		for k, x := range legendreX {
			for _, sign := range [2]float64{-1, 1} {
				nodes = append(nodes, mid+sign*x*width/2)
				weights = append(weights, legendreW[k]*width/2)
			}
		}
	}
	return nodes, weights
}

// chartAlarm is the false alarm probability of each of the two charts. With
// the trend test, the step and the wrong check they stay within one stable
// history in a hundred; the simulations of this package count them.
const chartAlarm = 0.005

// chartLimitTable holds the limits of the charts of a meter's checks: numbers
// of checks, width of the EWMA chart, decision limit of the CUSUM chart. A test
// computes them anew.
var chartLimitTable = []struct {
	n            int
	width, cusum float64
}{
	{4, 3.1888, 3.9767},
	{8, 3.3667, 5.0911},
	{16, 3.5458, 6.2190},
	{32, 3.7247, 7.2240},
	{64, 3.8996, 8.0931},
	{128, 4.0687, 8.8803},
	{256, 4.2316, 9.6241},
	{512, 4.3888, 10.3447},
	{1024, 4.5406, 11.0528},
	{2048, 4.6875, 11.7540},
}

// chartLimits gives the limits for charts of n checks: those of the next
// larger number in the table, so that they do not move with every check.
func chartLimits(n int) (width, cusum float64) {
	for _, row := range chartLimitTable {
		if n <= row.n {
			return row.width, row.cusum
		}
	}
	last := chartLimitTable[len(chartLimitTable)-1]
	return last.width, last.cusum
}
