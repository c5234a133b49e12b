package cause

import (
	"fmt"
	"math"
)

// zero is a reading that is off by the same amount everywhere; for pH an
// electrode whose zero point has moved.
type zero struct{ cause ID }

func (z zero) id() ID { return z.cause }

func (z zero) variants(b *bench) []variant {
	rungs := bothSigns(b.Zero.rungs(rungRatio))
	var out []variant
	for m := range b.meters {
		span := b.span[m]
		for _, r := range rungs {
			size, sd := r.size*span, r.sd*span
			out = append(out, variant{
				cause: z.cause, who: meterTarget(m), weight: r.weight, accused: []int{m}, size: size, step: sd,
				show: only(m, func(p point) shown {
					return shown{value: p.ref + size, slope: 1, live: 1, push: [2]float64{sd}}
				}),
			})
		}
	}
	return out
}

func (z zero) says(b *bench, f finding) (what, do string) {
	if z.cause == ZeroPoint {
		if second, first, ok := f.against(b); ok {
			return fmt.Sprintf("%s shows %s pH %s than %s in every buffer", second, digits(math.Abs(f.size), 2), moreOrLess(f.size), first) + noTelling, "calibrate both in a fresh pH 7 buffer"
		}
		if f.meter < 0 {
			return "the meters are a constant pH apart" + noTelling, "calibrate them in a fresh pH 7 buffer"
		}
		return fmt.Sprintf("%s is %s pH too %s in every buffer: its zero point has moved", f.meterName(b), digits(math.Abs(f.size), 2), highOrLow(f.size)),
			"clean the junction, and calibrate it in a fresh pH 7 buffer"
	}
	const settle = "read both where the value is zero or known"
	if second, first, ok := f.against(b); ok {
		return fmt.Sprintf("%s shows %s %s than %s everywhere, whatever the strength", second, digits(math.Abs(f.size), 2), moreOrLess(f.size), first) + noTelling, settle
	}
	if f.meter < 0 {
		return "the meters are a constant amount apart" + noTelling, settle
	}
	return fmt.Sprintf("%s shows %s too %s everywhere, whatever the strength", f.meterName(b), digits(math.Abs(f.size), 2), muchOrLittle(f.size)),
		"rinse its probe, see what it shows where nothing is to be shown (for conductivity: dry, in air), and set its zero"
}
