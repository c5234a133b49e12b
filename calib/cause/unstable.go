package cause

import "fmt"

// unstable is a meter whose readings jump about, from one to the next.
type unstable struct{}

func (unstable) id() ID { return Unstable }

func (unstable) variants(b *bench) []variant {
	var out []variant
	for m := range b.meters {
		span := b.span[m]
		for _, r := range b.Unstable.rungs(rungRatio) {
			add := func(weight float64, sd func(c *batch) float64) {
				out = append(out, variant{
					cause: Unstable, who: meterTarget(m), weight: weight * r.weight, accused: []int{m}, size: r.size,
					noise: func(c *batch) float64 {
						if c.meter != m {
							return 0
						}
						return sd(c) * sd(c)
					},
				})
			}
			if !b.Relative {
				add(1, func(*batch) float64 { return r.size })
				continue
			}
			add(0.7, func(c *batch) float64 { return r.size * c.mean })
			add(0.3, func(*batch) float64 { return r.size * span / 2 })
		}
	}
	return out
}

func (unstable) says(b *bench, f finding) (what, do string) {
	do = "shake off bubbles, clean probe and contacts, wait until the reading holds, and read everything again"
	if f.meter < 0 {
		return "one meter's readings jump about", do
	}
	size := digits(100*f.size, 1) + " %"
	if !b.Relative {
		size = digits(f.size, 1)
	}
	return fmt.Sprintf("the readings of %s jump about by %s or so", f.meterName(b), size), do
}
