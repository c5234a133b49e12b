package cause

import "fmt"

// deadElectrode is a pH electrode that shows nearly the same in every buffer.
type deadElectrode struct{}

func (deadElectrode) id() ID { return DeadElectrode }

func (deadElectrode) variants(b *bench) []variant {
	var out []variant
	for m := range b.meters {
		for _, r := range []struct{ slope, sd, weight float64 }{{0.02, 0.04, 0.6}, {0.2, 0.1, 0.4}} {
			const level, sd = 7, 2.5 // what it shows, mostly near its zero point
			out = append(out, variant{
				cause: DeadElectrode, who: meterTarget(m), weight: r.weight, accused: []int{m}, size: r.slope, step: r.sd,
				show: only(m, func(p point) shown {
					rise := p.ref - b.Pivot
					return shown{value: level + r.slope*rise, slope: r.slope, live: 1, push: [2]float64{r.sd * rise, sd}}
				}),
			})
		}
	}
	return out
}

func (deadElectrode) says(b *bench, f finding) (what, do string) {
	do = "look at the bulb and the connector, stand it in storage solution for some hours, and replace it if nothing changes"
	if f.meter < 0 {
		return "one meter shows nearly the same in every sample", do
	}
	return fmt.Sprintf("%s shows nearly the same in every buffer (%s %% of what it should change)", f.meterName(b), digits(100*max(0, f.size), 1)), do
}
