package cause

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// swapped is two bottles that changed places: for every meter, when the labels
// are wrong, or for one, when the probe was in the other cup.
type swapped struct{}

func (swapped) id() ID { return Swapped }

// mostSwaps is how many pairs of bottles are looked at closely: those whose
// exchange explains the readings best. The others count as tried, and in vain.
const mostSwaps = 16

type swap struct {
	a, b   int
	meter  int // -1 for all
	better float64
}

func (swapped) variants(b *bench) []variant {
	var list []swap
	for i := range b.samples {
		for j := i + 1; j < len(b.samples); j++ {
			if b.hasRefs {
				list = append(list, swap{a: i, b: j, meter: -1, better: b.betterSwapped(i, j, -1)})
			}
			for m := range b.meters {
				if b.read(m, i) && b.read(m, j) {
					list = append(list, swap{a: i, b: j, meter: m, better: b.betterSwapped(i, j, m)})
				}
			}
		}
	}
	all := float64(len(list))
	slices.SortStableFunc(list, func(x, y swap) int { return cmp.Compare(y.better, x.better) })
	list = list[:min(len(list), mostSwaps)]
	var out []variant
	for _, s := range list {
		who := sampleTarget(s.a)
		who.with = s.b
		v := variant{cause: Swapped, who: who, weight: 1 / all, size: math.NaN(), swap: func(p point) int {
			switch {
			case s.meter >= 0 && p.meter != s.meter:
			case p.sample == s.a:
				return s.b
			case p.sample == s.b:
				return s.a
			}
			return p.sample
		}}
		if s.meter >= 0 {
			v.accused, v.shape = []int{s.meter}, b.meters[s.meter]
		}
		out = append(out, v)
	}
	return out
}

// read says whether a meter read a sample.
func (b *bench) read(meter, sample int) bool {
	return slices.ContainsFunc(b.batches, func(c batch) bool { return c.meter == meter && c.sample == sample })
}

// betterSwapped is how much nearer the readings come to what is expected when
// two samples change places.
func (b *bench) betterSwapped(i, j, meter int) float64 {
	var accused []int
	if meter >= 0 {
		accused = []int{meter}
	}
	level := b.levels(accused)
	sum := 0.0
	for _, c := range b.batches {
		if c.sample != i && c.sample != j || meter >= 0 && c.meter != meter {
			continue
		}
		there := i + j - c.sample
		sum += b.distance(c.mean, b.expected(&c, c.sample, level)) - b.distance(c.mean, b.expected(&c, there, level))
	}
	return sum
}

// expected is what a meter should show in a sample.
func (b *bench) expected(c *batch, sample int, level []float64) float64 {
	if near := b.nearest(sample, c.meter, c.tempC, func(c *batch) bool { return !math.IsNaN(c.ref) }); near != nil {
		return near.ref
	}
	return level[sample]
}

func (b *bench) distance(x, y float64) float64 {
	if !b.Relative || x <= 0 || y <= 0 {
		return (x - y) * (x - y)
	}
	l := math.Log(x / y)
	return l * l
}

func (swapped) says(b *bench, f finding) (what, do string) {
	do = "look at the labels, and read both again"
	if f.sample < 0 {
		return "two samples seem to have changed places", do
	}
	what = fmt.Sprintf("samples %s and %s changed places", b.samples[f.sample], b.samples[f.with])
	if f.shape != "" {
		what += " when " + f.shape + " read them"
	}
	return what, do
}
