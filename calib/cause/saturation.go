package cause

import (
	"fmt"
	"math"
)

// saturation is a display that no longer follows at the top of its range: it
// stops, or rises too slowly from some strength on, or bends all the way up.
type saturation struct{}

func (saturation) id() ID { return Saturation }

// atRangeEnd is how sharp the end of a range is, as a fraction of it: most
// displays go a little beyond what the manual says. Common practice, no source.
const atRangeEnd = 0.005

const (
	stops = "stops"
	bends = "bends"
)

func (saturation) variants(b *bench) []variant {
	var out []variant
	for m := range b.meters {
		top := b.top(m)
		if !(top > 0) {
			continue
		}
		if end, known := b.rangeEnd[m]; known && end < top {
			// Something was read beyond the end of the range, where a sound
			// display stops: as likely as all that follows.
			out = append(out, variant{
				cause: Saturation, who: meterTarget(m), weight: 1, accused: []int{m}, size: end, step: atRangeEnd * end,
				shape: stops, show: only(m, kneeAt(end, atRangeEnd*end, 0)),
			})
		}
		// Knees from a third of the largest value up to just below it.
		const knees, lowest, highest = 16, 0.34, 0.99
		for i := range knees {
			step := (highest - lowest) / (knees - 1) * top
			knee, sd := lowest*top+float64(i)*step, step/2
			for _, after := range []struct{ slope, weight float64 }{{0, 0.5}, {0.2, 0.1}, {0.45, 0.1}} {
				out = append(out, variant{
					cause: Saturation, who: meterTarget(m), weight: after.weight / knees, accused: []int{m}, size: knee, step: sd,
					shape: stops, show: only(m, kneeAt(knee, sd, after.slope)),
				})
			}
		}
		// y = C·tanh(v/C), from hardly bent to bent by half.
		const curves = 10
		for i := range curves {
			size, sd := top*0.45*math.Pow(1.15, float64(i)), top*0.45*math.Pow(1.15, float64(i))*0.07
			out = append(out, variant{
				cause: Saturation, who: meterTarget(m), weight: 0.3 / curves, accused: []int{m}, size: size, step: sd,
				shape: bends, show: only(m, func(p point) shown {
					t := math.Tanh(p.ref / size)
					return shown{value: size * t, slope: 1 - t*t, live: 1 - t*t, push: [2]float64{(t - p.ref/size*(1-t*t)) * sd}}
				}),
			})
		}
	}
	return out
}

// kneeAt is what is shown by a display that rises with a lower slope from a
// knee on.
func kneeAt(knee, sd, slope float64) func(p point) shown {
	return func(p point) shown {
		if p.ref <= knee {
			return honest(p.ref)
		}
		return shown{value: knee + slope*(p.ref-knee), slope: slope, live: slope, push: [2]float64{(1 - slope) * sd}}
	}
}

// top is the largest value that a meter should have shown.
func (b *bench) top(m int) float64 {
	level := b.levels([]int{m})
	top := 0.0
	for i := range b.batches {
		if c := &b.batches[i]; c.meter == m {
			top = max(top, b.expected(c, c.sample, level))
		}
	}
	return top
}

func (saturation) says(b *bench, f finding) (what, do string) {
	const otherwise = "dilute what is stronger, or switch its range"
	if f.meter < 0 {
		do = "use it below that, " + otherwise
		return "one meter does not follow at the top of the range", do
	}
	size := digits(f.size, 2)
	if f.shape == bends {
		return fmt.Sprintf("%s shows too little at the top: it bends towards about %s", f.meterName(b), size),
			fmt.Sprintf("use it well below %s, %s", size, otherwise)
	}
	return fmt.Sprintf("%s does not follow above about %s: the top of its range", f.meterName(b), size),
		fmt.Sprintf("use it below %s, %s", size, otherwise)
}
