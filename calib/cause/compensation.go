package cause

import (
	"fmt"
	"math"
)

// compensation is a meter that corrects for temperature wrongly: not at all, by
// a wrong coefficient, or to 20 C where the reference holds for 25 C (or the
// other way round). A perfect meter shows κ(t)/F(t) with F = 1 + α (t − 25 C);
// this one divides by another F.
type compensation struct{}

func (compensation) id() ID { return Compensation }

// The ways in which it can be wrong.
const (
	off         = "off"
	coefficient = "coefficient"
	twenty      = "20 C"
	twentyFive  = "25 C"
)

const (
	// alphaStep is the step between coefficients that are tried, 1/C, and
	// leastMiss how far from the right one they begin: nearer is no fault.
	alphaStep, leastMiss = 0.002, 0.003
	// alphaSpread is the standard deviation of a coefficient that is wrong: more
	// often one from the next line of a menu than one that no liquid has.
	alphaSpread = 0.01
	// liquidAlpha is that of the liquid's own coefficient, which a meter without
	// compensation shows.
	liquidAlpha = 0.0012
	// leastDivisor keeps a straight rule from dividing by nothing far below the
	// reference temperature.
	leastDivisor = 0.2
)

// coefficients are the wrong ones, from 0 to 4 %/C, with their prior.
func coefficients() []rung {
	var out []rung
	sum := 0.0
	for i := 0; i <= 20; i++ {
		a := float64(i) * alphaStep
		miss := (a - alpha) / alphaSpread
		if math.Abs(a-alpha) >= leastMiss {
			out = append(out, rung{size: a, sd: alphaStep / 2, weight: math.Exp(-miss * miss / 2)})
			sum += out[len(out)-1].weight
		}
	}
	for i := range out {
		out[i].weight /= sum
	}
	return out
}

func (compensation) variants(b *bench) []variant {
	if !b.hasTemp {
		return atRoomTemperature(b)
	}
	var out []variant
	for m := range b.meters {
		add := func(weight, size, step float64, shape string, show func(p point) shown) {
			out = append(out, variant{cause: Compensation, who: meterTarget(m), weight: weight, accused: []int{m},
				size: size, step: step, shape: shape, show: only(m, show)})
		}
		straight := func(a, ref, t float64) float64 { return 1 + a*(t-ref) }
		add(0.35, 0, 0, off, func(p point) shown {
			c := straight(alpha, refTempC, p.tempC)
			return shown{value: c * p.ref, slope: c, live: 1, push: [2]float64{p.ref * (p.tempC - refTempC) * liquidAlpha}}
		})
		for _, r := range coefficients() {
			add(0.35*r.weight, r.size, r.sd, coefficient, func(p point) shown {
				dt := p.tempC - refTempC
				divisor := max(straight(r.size, refTempC, p.tempC), leastDivisor)
				c := straight(alpha, refTempC, p.tempC) / divisor
				return shown{value: c * p.ref, slope: c, live: 1, push: [2]float64{-c * p.ref * dt / divisor * r.sd}}
			})
		}
		add(0.25, 20, 0, twenty, func(p point) shown {
			c := straight(alpha, refTempC, p.tempC) / max(straight(alpha, 20, p.tempC), leastDivisor)
			return shown{value: c * p.ref, slope: c, live: 1}
		})
		add(0.05, 25, 0, twentyFive, func(p point) shown {
			c := straight(alpha, 20, p.tempC) / max(straight(alpha, refTempC, p.tempC), leastDivisor)
			return shown{value: c * p.ref, slope: c, live: 1}
		})
	}
	return out
}

// Without temperatures: liquids stand in rooms (common practice, no source).
const (
	roomC     = 21.0
	roomSD    = 4.0 // from one bench day to the next
	betweenSD = 5.0 // from bottle to bottle
)

// atRoomTemperature is a meter whose coefficient is off by alpha, in liquids of
// unknown temperature: it is off by a common share and by another in every
// sample.
func atRoomTemperature(b *bench) []variant {
	var out []variant
	for m := range b.meters {
		for _, miss := range []struct {
			alpha, weight float64
			shape         string
		}{{0, 0.5, off}, {0.01, 0.2, coefficient}, {0.03, 0.3, coefficient}} {
			slope := alpha - miss.alpha
			c := 1 + slope*(roomC-refTempC)
			out = append(out, variant{cause: Compensation, who: meterTarget(m), weight: miss.weight, accused: []int{m}, size: math.NaN(), shape: miss.shape,
				show: only(m, func(p point) shown {
					if !math.IsNaN(p.tempC) { // a reading yet to come
						known := 1 + slope*(p.tempC-refTempC)
						return shown{value: known * p.ref, slope: known, live: 1}
					}
					return shown{value: c * p.ref, slope: c, live: 1, push: [2]float64{slope * roomSD * p.ref}}
				}),
				cell: func(x *batch) float64 {
					if x.meter != m || !math.IsNaN(x.tempC) {
						return 0
					}
					return b.squared(slope*betweenSD, x.mean)
				}})
		}
	}
	return out
}

func (compensation) says(b *bench, f finding) (what, do string) {
	do = "set it to correct as the reference does (mostly 2 % per C to 25 C), or read everything at 25 C"
	if f.meter < 0 {
		return "one meter corrects for temperature otherwise than the other" + noTelling, do
	}
	switch {
	case f.shape == off:
		return fmt.Sprintf("%s does not correct for temperature", f.meterName(b)), "switch its compensation on, or read everything at 25 C"
	case f.shape == twenty:
		return fmt.Sprintf("%s shows the value at 20 C where the value at 25 C is expected", f.meterName(b)), "set its reference temperature to 25 C"
	case f.shape == twentyFive:
		return fmt.Sprintf("%s shows the value at 25 C where the value at 20 C is expected", f.meterName(b)), "set its reference temperature to 20 C"
	case math.IsNaN(f.size):
		return fmt.Sprintf("%s seems to correct wrongly for temperature (none is given beside the readings)", f.meterName(b)), do
	}
	return fmt.Sprintf("%s corrects for temperature by about %s %% per C where %g %% is usual", f.meterName(b), digits(100*max(0, f.size), 2), 100*alpha), do
}
