package cause

import (
	"fmt"
	"math"
)

// gain is a reading that is off by the same share everywhere: a cell constant,
// a fouled cell; for pH, about pH 7, an electrode with a weak slope.
type gain struct{ cause ID }

func (g gain) id() ID { return g.cause }

func (g gain) variants(b *bench) []variant {
	ladder := b.Gain
	if b.Relative {
		// Within the tolerance it is no fault.
		ladder = ladder.from(0.8 * b.tolerance)
	}
	rungs := ladder.rungs(rungRatio)
	if b.OtherCell {
		rungs = append(rungs, otherCells()...)
	}
	rungs = bothSigns(rungs)
	var out []variant
	for m := range b.meters {
		for _, r := range rungs {
			weight := r.weight
			if g.cause == WeakSlope && r.size > 0 {
				weight /= 10 // no electrode is steeper than the ideal one, but a calibration may be
			}
			// Rungs are of the logarithm: to show half is as far as to show double.
			factor := math.Exp(r.size)
			sd := factor * r.sd
			out = append(out, variant{
				cause: g.cause, who: meterTarget(m), weight: weight, accused: []int{m}, size: factor - 1, step: sd,
				show: only(m, func(p point) shown {
					rise := p.ref - b.Pivot
					return shown{value: b.Pivot + factor*rise, slope: factor, live: 1, push: [2]float64{sd * rise}}
				}),
			})
		}
	}
	return out
}

// otherCells are the rungs of a gain far beyond the ladder: steps of the
// logarithm narrow enough for each to be normal, weighed together as one gain in
// a hundred (a guess).
func otherCells() []rung {
	const first, step, count, together = 1.2, 0.35, 4, 0.01
	var out []rung
	for i := range count {
		out = append(out, rung{size: first + step*float64(i), sd: step / 2, weight: together / count})
	}
	return out
}

func (g gain) says(b *bench, f finding) (what, do string) {
	if g.cause == WeakSlope {
		what = fmt.Sprintf("%s changes by only %s %% of what it should from one buffer to the next", f.meterName(b), digits(100*(1+f.size), 2))
		if f.size > 0 {
			what = fmt.Sprintf("%s changes by %s %% of what it should from one buffer to the next", f.meterName(b), digits(100*(1+f.size), 3))
		}
		if second, first, ok := f.against(b); ok {
			what = fmt.Sprintf("%s changes by %s %% of what %s does from one buffer to the next", second, digits(100*(1+f.size), 2), first) + noTelling
		} else if f.meter < 0 {
			what = "one meter's slope is weaker than the others'" + noTelling
		}
		return what, "clean and recondition its electrode, calibrate it in two fresh buffers, and replace it if it stays below 85 %"
	}
	const settle = "read one reference with each, and clean and calibrate the one that is off"
	if second, first, ok := f.against(b); ok {
		return fmt.Sprintf("%s shows %s %% %s than %s at every strength", second, digits(100*math.Abs(f.size), 2), moreOrLess(f.size), first) + noTelling, settle
	}
	if f.meter < 0 {
		return "the meters are a constant share apart at every strength" + noTelling, settle
	}
	return fmt.Sprintf("%s shows %s %% too %s at every strength (its cell is fouled, or its calibration is off)", f.meterName(b), digits(100*math.Abs(f.size), 2), muchOrLittle(f.size)),
		"clean its probe and calibrate it"
}
