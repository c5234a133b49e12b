package series

import (
	"math"
	"slices"
)

// Typical is what the numbers of a column come to, whatever their flags.
type Typical struct {
	Low, Median, High float64 // NaN where there is no number
}

// gathering collects numbers for a [Typical]: each for the ends, and a sample
// spread over all of them for the median.
type gathering struct {
	low, high   float64
	sample      []float64
	every, wait int64 // each so many is taken; so many are passed over before the next
}

// mostGathered is how many numbers a sample holds.
const mostGathered = 512

func (g *gathering) add(x float64) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return
	}
	if g.every == 0 {
		g.low, g.high, g.every = x, x, 1
	}
	g.low, g.high = min(g.low, x), max(g.high, x)
	if g.wait--; g.wait > 0 {
		return
	}
	if len(g.sample) == mostGathered {
		for i := range mostGathered / 2 {
			g.sample[i] = g.sample[2*i]
		}
		g.sample, g.every = g.sample[:mostGathered/2], 2*g.every
	}
	g.sample, g.wait = append(g.sample, x), g.every
}

func (g *gathering) typical() Typical {
	if len(g.sample) == 0 {
		return Typical{math.NaN(), math.NaN(), math.NaN()}
	}
	sorted := slices.Sorted(slices.Values(g.sample))
	return Typical{g.low, sorted[len(sorted)/2], g.high}
}
