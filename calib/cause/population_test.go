package cause

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// setup is how an invented bench day is done.
type setup struct {
	name                                                     string
	kind                                                     check.Kind
	bottles                                                  [2]int // fewest and most
	repeats                                                  int
	noise                                                    float64
	bottle                                                   float64 // relative sd of a bottle
	meters                                                   int
	top                                                      float64
	digit                                                    float64
	refs, uRef, uRead                                        bool
	temps, perReading                                        bool
	tolerance                                                float64
	honestGain                                               float64
	honestZero                                               float64 // of the range
	stock                                                    float64 // relative error shared by all bottles
	stockStated                                              bool
	thermometer                                              float64 // C
	alpha                                                    float64
	tempLow, tempHigh                                        float64
	satLow, satHigh, unLow, unHigh, zLow, zHigh, bLow, bHigh float64
	trueBottle                                               float64
	salt                                                     bool // the liquid bends, the reference does not know
	gainLow, gainHigh                                        float64
}

var fivePercent = quantity.Tolerance{Value: 0.05, Relative: true}

func usual() setup {
	return setup{name: "as asked", kind: check.EC, bottles: [2]int{5, 8}, repeats: 3, noise: 0.004, bottle: 0.006, meters: 2, top: 2000, digit: 1,
		refs: true, uRef: true, temps: true, tolerance: 0.05, honestGain: 0.005, honestZero: 0.001, gainLow: 0.06, gainHigh: 0.3, alpha: 0.02, tempLow: 12, tempHigh: 32, satLow: 0.5, satHigh: 0.85, unLow: 0.03, unHigh: 0.1, zLow: 0.03, zHigh: 0.1, bLow: 0.05, bHigh: 0.25, trueBottle: 1}
}

// day is one invented bench day with its truth.
type day struct {
	rows  []agree.Reading
	cause ID
	meter string // the faulty one, "" for none
	with  []string
	note  string
}

func uniform(rng *rand.Rand, low, high float64) float64 { return low + (high-low)*rng.Float64() }

func signed(rng *rand.Rand, low, high float64) float64 {
	x := uniform(rng, low, high)
	if rng.IntN(2) == 0 {
		return -x
	}
	return x
}

var ecCauses = []ID{None, DisplayScale, Gain, Zero, Compensation, BadBottle, Swapped, Saturation, Unstable}
var phCauses = []ID{None, WeakSlope, ZeroPoint, DeadElectrode, BadBuffer, Swapped, Unstable}

// invent draws a bench day with one fault.
func (s setup) invent(rng *rand.Rand, cause ID) day {
	if s.kind == check.PH {
		return s.inventPH(rng, cause)
	}
	n := s.bottles[0] + rng.IntN(s.bottles[1]-s.bottles[0]+1)
	d := day{cause: cause}
	refs, temps, truth := make([]float64, n), make([]float64, n), make([]float64, n)
	stock := 1 + s.stock*rng.NormFloat64()
	for i := range n {
		f := 0.15 + 0.85*(float64(i)+0.3*uniform(rng, -1, 1))/float64(n-1)
		f = min(max(f, 0.15), 1)
		refs[i] = f * s.top
		temps[i] = uniform(rng, s.tempLow, s.tempHigh)
		truth[i] = refs[i] * stock * (1 + s.trueBottle*s.bottle*rng.NormFloat64())
		if s.salt {
			dt := temps[i] - 25
			truth[i] *= 1 + 0.00015*dt + 0.00006*dt*dt
		}
	}
	bad := rng.IntN(s.meters)
	name := func(m int) string { return fmt.Sprintf("P%d", m+1) }
	gains, zeros := make([]float64, s.meters), make([]float64, s.meters)
	for m := range s.meters {
		gains[m] = 1 + s.honestGain*rng.NormFloat64()
		zeros[m] = s.honestZero * s.top * rng.NormFloat64()
	}
	cup := make([][]int, s.meters)
	for m := range cup {
		for i := range n {
			cup[m] = append(cup[m], i)
		}
	}
	fault := func(v, t float64) float64 { return v }
	noise, display := s.noise, 1.0
	switch cause {
	case DisplayScale:
		list := []float64{0.5 / 0.7, 0.7 / 0.5, 0.64 / 0.7, 0.7 / 0.64, 0.64 / 0.5, 0.5 / 0.64, 0.5, 0.64, 0.7, 2, 1 / 0.64, 1 / 0.7, 1000, 0.001}
		f := list[rng.IntN(len(list))]
		d.note = fmt.Sprintf("%.3f", f)
		display = f
	case Gain:
		f := 1 + signed(rng, s.gainLow, s.gainHigh)
		d.note = fmt.Sprintf("%.3f", f)
		fault = func(v, _ float64) float64 { return v * f }
	case Zero:
		z := signed(rng, s.zLow, s.zHigh) * s.top
		d.note = fmt.Sprintf("%.0f", z)
		fault = func(v, _ float64) float64 { return v + z }
	case Compensation:
		switch rng.IntN(3) {
		case 0:
			d.note = "off"
			fault = func(v, t float64) float64 { return v * (1 + s.alpha*(t-25)) }
		case 1:
			a := s.alpha + signed(rng, 0.007, 0.016)
			d.note = fmt.Sprintf("alpha %.4f", a)
			fault = func(v, t float64) float64 { return v * (1 + s.alpha*(t-25)) / (1 + a*(t-25)) }
		case 2:
			d.note = "20"
			fault = func(v, t float64) float64 { return v * (1 + s.alpha*(t-25)) / (1 + s.alpha*(t-20)) }
		}
	case BadBottle:
		k := rng.IntN(n)
		f := signed(rng, s.bLow, s.bHigh)
		d.note = fmt.Sprintf("%.3f", f)
		truth[k] *= 1 + f
	case Swapped:
		a := rng.IntN(n)
		b := (a + 1 + rng.IntN(n-1)) % n
		d.note = fmt.Sprintf("%.0f %.0f", refs[a], refs[b])
		all := rng.IntN(2) == 0
		for m := range cup {
			if all || m == bad {
				cup[m][a], cup[m][b] = b, a
			}
		}
	case Saturation:
		c := uniform(rng, s.satLow, s.satHigh) * s.top
		d.note = fmt.Sprintf("%.0f", c)
		if rng.IntN(2) == 0 {
			fault = func(v, _ float64) float64 { return min(v, c) }
		} else {
			fault = func(v, _ float64) float64 { return c * math.Tanh(v/c) }
			d.note += "soft"
		}
	case Unstable:
		noise = uniform(rng, s.unLow, s.unHigh)
		d.note = fmt.Sprintf("%.3f", noise)
	}
	if cause != None && cause != BadBottle && cause != Swapped {
		d.meter = name(bad)
	}
	for m := range s.meters {
		for i := range n {
			for k := range s.repeats {
				j := cup[m][i]
				t := temps[j]
				own := noise
				v := truth[j]
				if m == bad {
					v = fault(v, t+s.thermometer*0)
				} else {
					own = s.noise
				}
				if s.thermometer != 0 { // the meter's own sensor
					v *= 1 + 0.02*s.thermometer
				}
				v = v*gains[m] + zeros[m]
				v *= 1 + own*rng.NormFloat64()
				digit := s.digit
				if m == bad {
					v *= display
					if display < 0.01 {
						digit /= 1000
					}
				}
				v, _ = strconv.ParseFloat(strconv.FormatFloat(math.Round(v/digit)*digit, 'f', 6, 64), 64)
				r := agree.Reading{Row: len(d.rows) + 2, Meter: name(m), Sample: string(rune('A' + i)), Value: v, Replicate: fmt.Sprint(k + 1)}
				ref := refs[i]
				if s.refs {
					r.Ref = &ref
					r.RefSource = "stock"
					if s.uRef {
						u := s.bottle * ref
						r.URef = &u
					}
					if s.stockStated {
						u := s.stock * ref
						r.URefShared = &u
					}
				}
				if s.uRead {
					u := s.noise * v
					r.UValue = &u
				}
				if s.temps {
					r.TempC = &temps[i]
				}
				d.rows = append(d.rows, r)
			}
		}
	}
	return d
}

func (s setup) inventPH(rng *rand.Rand, cause ID) day {
	d := day{cause: cause}
	labels := []float64{4.005, 6.865, 9.18, 1.68, 10.01, 12.45}[:s.bottles[0]]
	n := len(labels)
	truth := make([]float64, n)
	for i := range truth {
		truth[i] = labels[i] + 0.01*rng.NormFloat64()
	}
	bad := rng.IntN(s.meters)
	cup := make([][]int, s.meters)
	for m := range cup {
		for i := range n {
			cup[m] = append(cup[m], i)
		}
	}
	fault := func(v float64) float64 { return v }
	noise := 0.012
	switch cause {
	case WeakSlope:
		f := 1 - uniform(rng, 0.08, 0.3)
		fault = func(v float64) float64 { return 7 + f*(v-7) }
	case ZeroPoint:
		z := signed(rng, 0.2, 0.8)
		fault = func(v float64) float64 { return v + z }
	case DeadElectrode:
		c, f := uniform(rng, 5.5, 8), uniform(rng, 0, 0.1)
		fault = func(v float64) float64 { return c + f*(v-7) }
	case BadBuffer:
		truth[rng.IntN(n)] += signed(rng, 0.15, 0.6)
	case Swapped:
		a := rng.IntN(n)
		b := (a + 1 + rng.IntN(n-1)) % n
		all := rng.IntN(2) == 0
		for m := range cup {
			if all || m == bad {
				cup[m][a], cup[m][b] = b, a
			}
		}
	case Unstable:
		noise = uniform(rng, 0.1, 0.4)
	}
	if cause != None && cause != BadBuffer && cause != Swapped {
		d.meter = fmt.Sprintf("P%d", bad+1)
	}
	zeros := make([]float64, s.meters)
	slopes := make([]float64, s.meters)
	for m := range zeros {
		zeros[m], slopes[m] = 0.02*rng.NormFloat64(), 1+0.01*rng.NormFloat64()
	}
	for m := range s.meters {
		for i := range n {
			for k := range s.repeats {
				v, own := truth[cup[m][i]], 0.012
				if m == bad {
					v, own = fault(v), noise
				}
				v = 7 + slopes[m]*(v-7) + zeros[m] + own*rng.NormFloat64()
				v = math.Round(v/0.01) * 0.01
				v = math.Round(v*100) / 100
				ref := labels[i]
				r := agree.Reading{Row: len(d.rows) + 2, Meter: fmt.Sprintf("P%d", m+1), Sample: fmt.Sprint(i), Value: v, Replicate: fmt.Sprint(k + 1)}
				if s.refs {
					r.Ref = &ref
					if s.uRef {
						u := 0.01
						r.URef = &u
					}
				}
				d.rows = append(d.rows, r)
			}
		}
	}
	return d
}

// outcome is what the explanation made of a day.
type outcome struct {
	named       ID
	probability float64
	right       bool
	trust       bool
	trusted     string
	size        float64
}

func (s setup) try(d day) (outcome, *Explanation, error) {
	set, err := agree.NewSet(d.rows)
	if err != nil {
		return outcome{}, nil, err
	}
	c, err := agree.Compare(set, s.kind, quantity.Tolerance{Value: s.tolerance, Relative: s.kind != check.PH})
	if err != nil {
		return outcome{}, nil, err
	}
	x := Explain(set, c, Options{})
	top := x.Causes[0]
	o := outcome{named: top.Cause, probability: top.Probability, right: top.Cause == d.cause, trusted: x.Trust}
	o.trust = x.Trust == "" || d.meter != "" && x.Trust != d.meter
	return o, x, nil
}

// but changes a copy of a setup.
func (s setup) but(f func(s *setup)) setup {
	f(&s)
	return s
}
