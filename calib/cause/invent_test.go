package cause

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
)

// day is one invented bench day with its truth.
type day struct {
	rows  []agree.Reading
	cause ID
	meter string // the faulty one; "" for none
	size  float64
}

// inventor makes up one day. It shares nothing with the models that explain it.
type inventor struct {
	setup
	rng *rand.Rand
	bad int

	labels, tempsC, truth []float64
	cup                   [][]int // which bottle each meter was really put into
	gains, zeros          []float64
	fault                 func(v, tempC float64) float64 // what the faulty meter makes of a value
	display               float64                        // its display's factor
	noise                 float64                        // its noise
	size                  float64
}

// invent draws a bench day with one cause.
func (s setup) invent(rng *rand.Rand, cause ID) day {
	v := &inventor{setup: s, rng: rng, bad: rng.IntN(s.meters), fault: func(v, _ float64) float64 { return v }, display: 1, noise: s.noise}
	v.fill()
	v.spoil(cause)
	d := day{cause: cause, rows: v.read(), size: v.size}
	switch cause {
	case None, BadBottle, BadBuffer, Swapped:
	default:
		d.meter = meterName(v.bad)
	}
	return d
}

func meterName(m int) string { return fmt.Sprintf("P%d", m+1) }

func (v *inventor) even(s span) float64 { return s.low + (s.high-s.low)*v.rng.Float64() }

// signed is an even draw with either sign.
func (v *inventor) signed(s span) float64 {
	return v.even(s) * float64(2*v.rng.IntN(2)-1)
}

// fill makes the bottles and the meters.
func (v *inventor) fill() {
	n := v.bottles[0] + v.rng.IntN(v.bottles[1]-v.bottles[0]+1)
	stock := v.stock * v.rng.NormFloat64()
	for i := range n {
		t := v.even(v.tempC)
		if v.kind == check.PH {
			label := []float64{4.005, 6.865, 9.18, 1.68, 10.01}[i]
			v.labels, v.tempsC = append(v.labels, label), append(v.tempsC, t)
			v.truth = append(v.truth, label+v.flattery*v.bottle*v.rng.NormFloat64())
			continue
		}
		place := 0.15 + 0.85*(float64(i)+0.3*(2*v.rng.Float64()-1))/float64(n-1)
		if v.anywhere {
			place = v.even(span{0.15, 1})
		}
		label := v.top * min(max(place, 0.15), 1)
		truth := label * (1 + stock) * (1 + v.flattery*v.bottle*v.rng.NormFloat64())
		if v.salt { // 1.2 % at 12 C, as sodium chloride against a straight 1.9 %/C
			truth *= 1 + 0.00015*(t-25) + 0.000083*(t-25)*(t-25)
		}
		v.labels, v.tempsC, v.truth = append(v.labels, label), append(v.tempsC, t), append(v.truth, truth)
	}
	for range v.meters {
		v.gains = append(v.gains, 1+v.honestGain*v.rng.NormFloat64())
		v.zeros = append(v.zeros, v.honestZero*v.rng.NormFloat64())
		var cups []int
		for i := range n {
			cups = append(cups, i)
		}
		v.cup = append(v.cup, cups)
	}
}

// spoil brings in the fault.
func (v *inventor) spoil(cause ID) {
	scale := v.top
	if v.kind == check.PH {
		scale = 1
	}
	switch cause {
	case DisplayScale:
		list := []float64{0.5 / 0.7, 0.7 / 0.5, 0.64 / 0.7, 0.7 / 0.64, 0.64 / 0.5, 0.5 / 0.64, 0.5, 0.64, 0.7, 2, 1 / 0.64, 1 / 0.7, 1000, 0.001}
		v.display = list[v.rng.IntN(len(list))]
		v.size = v.display
	case Gain:
		v.size = v.signed(v.gain)
		v.fault = func(x, _ float64) float64 { return x * (1 + v.size) }
	case WeakSlope:
		v.size = -v.even(v.gain)
		v.fault = func(x, _ float64) float64 { return 7 + (x-7)*(1+v.size) }
	case Zero, ZeroPoint:
		v.size = v.signed(v.zero) * scale
		v.fault = func(x, _ float64) float64 { return x + v.size }
	case DeadElectrode:
		level := 5.5 + 2.5*v.rng.Float64()
		v.size = 0.1 * v.rng.Float64()
		v.fault = func(x, _ float64) float64 { return level + (x-7)*v.size }
	case Compensation:
		v.fault = v.miscompensate()
	case BadBottle:
		v.size = v.signed(v.badBottle)
		v.truth[v.rng.IntN(len(v.truth))] *= 1 + v.size
	case BadBuffer:
		v.size = v.signed(v.badBottle)
		v.truth[v.rng.IntN(len(v.truth))] += v.size
	case Swapped:
		a := v.rng.IntN(len(v.truth))
		b := (a + 1 + v.rng.IntN(len(v.truth)-1)) % len(v.truth)
		labels := v.rng.IntN(2) == 0 // on the bottles; else one meter's slip
		for m := range v.cup {
			if labels || m == v.bad {
				v.cup[m][a], v.cup[m][b] = b, a
			}
		}
	case Saturation:
		v.size = v.even(v.saturation) * v.top
		if v.rng.IntN(2) == 0 {
			v.fault = func(x, _ float64) float64 { return min(x, v.size) }
		} else {
			v.fault = func(x, _ float64) float64 { return v.size * math.Tanh(x/v.size) }
		}
	case Unstable:
		v.noise = v.even(v.unstable)
		v.size = v.noise
	}
}

// miscompensate is a compensation that is off, has another coefficient, or goes
// to 20 C.
func (v *inventor) miscompensate() func(x, t float64) float64 {
	divisor := func(a, ref, t float64) float64 { return 1 + a*(t-ref) }
	switch v.rng.IntN(3) {
	case 0:
		return func(x, t float64) float64 { return x * divisor(v.alpha, 25, t) }
	case 1:
		v.size = v.alpha + v.signed(span{0.007, 0.016})
		return func(x, t float64) float64 { return x * divisor(v.alpha, 25, t) / divisor(v.size, 25, t) }
	}
	v.size = 20
	return func(x, t float64) float64 { return x * divisor(v.alpha, 25, t) / divisor(v.alpha, 20, t) }
}

// read takes the readings, rounded as a display does.
func (v *inventor) read() []agree.Reading {
	var rows []agree.Reading
	for m := range v.meters {
		for i := range v.labels {
			for k := range v.repeats {
				rows = append(rows, v.one(m, i, k, len(rows)+2))
			}
		}
	}
	return rows
}

func (v *inventor) one(m, i, k, row int) agree.Reading {
	x, noise, digit := v.truth[v.cup[m][i]], v.setup.noise, v.digit
	if m == v.bad {
		x, noise = v.fault(x, v.tempsC[i]), v.noise
	}
	x *= 1 + v.alpha*v.sensor
	if v.kind == check.PH {
		x = 7 + (x-7)*v.gains[m] + v.zeros[m] + noise*v.rng.NormFloat64()
	} else {
		x = x*v.gains[m] + v.zeros[m]*v.top
		scale := x
		if v.ofRange {
			scale = v.top
		}
		x += noise * scale * v.rng.NormFloat64()
	}
	if m == v.bad {
		x *= v.display
		if v.display < 0.01 {
			digit /= 1000
		}
	}
	// As a person types it.
	x, _ = strconv.ParseFloat(strconv.FormatFloat(math.Round(x/digit)*digit, 'f', 6, 64), 64)
	r := agree.Reading{Row: row, Meter: meterName(m), Sample: string(rune('A' + i)), Value: x, Replicate: strconv.Itoa(k + 1)}
	relative := v.labels[i]
	if v.kind == check.PH {
		relative = 1
	}
	if v.refs {
		r.Ref, r.RefSource = pointer(v.labels[i]), "stock"
		if v.uRef {
			r.URef = pointer(v.bottle * relative)
		}
		if v.stockStated {
			r.URefShared = pointer(v.stock * relative)
		}
	}
	if v.uReading {
		u := v.setup.noise
		if v.kind != check.PH {
			u *= x
		}
		r.UValue = pointer(u)
	}
	if v.temps {
		r.TempC = pointer(v.tempsC[i])
	}
	return r
}

func pointer(x float64) *float64 { return &x }
