package cause

import (
	"fmt"
	"math"
)

// other is what has no name here, spread wide: a meter that is off by something
// else in every sample or shows what has nothing to do with it, one single
// reading that went wrong, a large gain and a large zero at once, a drift
// through the day, several bad bottles, or several faults at once.
type other struct{}

func (other) id() ID { return Other }

const (
	uneven      = "uneven"
	oneOff      = "one reading"
	twofold     = "gain and zero"
	drift       = "drift"
	several     = "several meters"
	manyBottles = "several bottles"
	nowhere     = "out of proportion"
	wild        = "everything"
)

func (other) variants(b *bench) []variant {
	var out []variant
	wide := []float64{b.Unstable.Median / 2, b.Unstable.Median * 1.5}
	share := 1 / float64(len(b.meters))
	for m := range b.meters {
		span := b.span[m]
		for _, sd := range wide {
			out = append(out, variant{cause: Other, who: meterTarget(m), weight: 0.25 * share / 2, accused: []int{m}, size: sd, shape: uneven,
				cell: func(c *batch) float64 {
					if c.meter != m {
						return 0
					}
					return b.squared(sd, c.mean)
				}})
		}
		out = append(out,
			variant{cause: Other, who: meterTarget(m), weight: 0.2 * share, accused: []int{m}, size: math.NaN(), shape: twofold,
				show: only(m, func(p point) shown {
					s := honest(p.ref)
					s.push = [2]float64{2 * b.Gain.Median * (p.ref - b.Pivot), 2 * b.Zero.Median * span}
					return s
				})},
			variant{cause: Other, who: meterTarget(m), weight: 0.15 * share, accused: []int{m}, size: math.NaN(), shape: drift,
				show: only(m, func(p point) shown {
					s := honest(p.ref)
					s.push[0] = (p.order - 0.5) * 2 * b.Unstable.Median
					if b.Relative {
						s.push[0] *= p.ref
					}
					return s
				})})
		out = append(out, b.oneReading(m, 0.2*share)...)
		out = append(out, variant{cause: Other, who: meterTarget(m), weight: 0.05 * share, accused: []int{m}, size: math.NaN(), shape: nowhere,
			cell: func(c *batch) float64 {
				if c.meter != m {
					return 0
				}
				return b.anything(c)
			}})
	}
	if b.hasRefs {
		out = append(out, variant{cause: Other, who: nobody, weight: 0.1, size: math.NaN(), shape: manyBottles, doubt: b.BadBottle.Median})
	}
	return append(out, b.severalMeters()...)
}

// anything is the variance of a number that has nothing to do with the liquid:
// a decimal point in the wrong place, a broken display.
func (b *bench) anything(c *batch) float64 {
	sd := flatUnits
	if b.Relative {
		sd = max(math.Abs(c.mean), leastShown*b.span[c.meter])
		if !math.IsNaN(c.ref) {
			sd = max(sd, math.Abs(c.ref))
		}
	}
	return sd * sd
}

// squared is the variance of an error of relative size sd, or of that size.
func (b *bench) squared(sd, value float64) float64 {
	if b.Relative {
		sd *= value
	}
	return sd * sd
}

// oneReading is a single batch of a meter that went wrong.
func (b *bench) oneReading(m int, weight float64) []variant {
	var out []variant
	n := 0.0
	for i := range b.batches {
		if b.batches[i].meter == m {
			n++
		}
	}
	for i := range b.batches {
		if b.batches[i].meter != m {
			continue
		}
		odd := b.batches[i].point
		who := meterTarget(m)
		who.sample = odd.sample
		add := func(share float64, variance func(c *batch) float64) {
			out = append(out, variant{cause: Other, who: who, weight: share * weight / n, accused: []int{m}, size: math.NaN(), shape: oneOff,
				cell: func(c *batch) float64 {
					if c.meter != m || c.sample != odd.sample || !same(c.tempC, odd.tempC) {
						return 0
					}
					return variance(c)
				}})
		}
		// A bubble, or a slip of the pen.
		add(0.7, func(c *batch) float64 { return b.squared(2*b.Unstable.Median, c.mean) })
		add(0.3, b.anything)
	}
	return out
}

// severalMeters is more than one fault: two meters with a gain or a zero of
// their own, or everything at once.
func (b *bench) severalMeters() []variant {
	var out []variant
	pairs := float64(len(b.meters)*(len(b.meters)-1)) / 2
	for i := range b.meters {
		for j := i + 1; j < len(b.meters); j++ {
			out = append(out, variant{cause: Other, who: nobody, weight: 0.15 / pairs, accused: []int{i, j}, size: math.NaN(), shape: several,
				show: func(p point) shown {
					s := honest(p.ref)
					for k, m := range []int{i, j} {
						if p.meter == m {
							s.push[k] = 1.5 * b.Gain.Median * (p.ref - b.Pivot)
						}
					}
					return s
				}})
		}
	}
	var all []int
	for m := range b.meters {
		all = append(all, m)
	}
	return append(out, variant{cause: Other, who: nobody, weight: 0.05, accused: all, size: math.NaN(), shape: wild,
		cell: func(c *batch) float64 { return b.squared(2*b.Unstable.Median, c.mean) }})
}

func (other) says(b *bench, f finding) (what, do string) {
	name := f.meterName(b)
	switch f.shape {
	case uneven:
		return fmt.Sprintf("%s is off by another share in every sample", name), "read all samples again with it, rinsing between"
	case oneOff:
		if f.sample >= 0 {
			return fmt.Sprintf("the reading of %s in sample %s does not fit the others", name, b.samples[f.sample]), "read that sample again"
		}
		return fmt.Sprintf("one reading of %s does not fit the others", name), "read the samples again"
	case twofold:
		return fmt.Sprintf("%s is off by an amount and by a share at once", name), "clean and calibrate it with two or more references"
	case drift:
		return fmt.Sprintf("%s drifts from the first reading to the last", name), "let it warm up, and read the first sample once more at the end"
	case nowhere:
		return fmt.Sprintf("%s shows numbers that have nothing to do with the samples", name), "check its unit and the decimal point as they were written down, and read all samples again with it"
	case manyBottles:
		return "more than one sample is not what its label says, and the meters agree about them", "make fresh references, and read them with every meter"
	case several:
		return "more than one meter is off, each in its own way", "check each against references of its own"
	}
	return "something that none of these causes describes", "read everything again, one change at a time"
}
