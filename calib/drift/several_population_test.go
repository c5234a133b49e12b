package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// several is a population of meters that are read in two or three references on
// every visit, with a zero and a gain of their own: the error is
// zero + gain (ref - 7) for pH, gain + zero/ref for conductivity. Zeros are in
// pH or uS/cm; a gain is a fraction.
type several struct {
	name   string
	visits [3][2]int  // fewest and most of short, middle and long histories
	shares [3]float64 // and how many are of each
	kinds  []check.Kind
	fault  float64 // probability of a fault: a weak slope (pH), a zero error (conductivity)
	drift  float64 // that the rest drifts too
	wander float64 // and wanders
	things bool    // a wrong check in a quarter of the histories
	adjust bool    // adjusted where the display shows more than 0.8 tolerances
	worn   bool    // the slope has lost at least 4 % and loses at least 0.5 % a month
	inside bool    // only meters that are within tolerance now
}

// severalRefs are the references of one visit.
var severalRefs = map[check.Kind][][]float64{
	check.PH: {{7, 4}, {7, 4}, {7, 10}, {4, 7, 10}},
	check.EC: {{200, 700, 1400}, {300, 1400}, {500, 2760}, {84, 1413}},
}

// severalLife is one meter of it.
type severalLife struct {
	life
	refs                           []float64
	wrong                          int     // the wrong check; -1 for none
	zero, gain, zeroRate, gainRate float64 // now, per month
}

// errorAt is the truth at a reference, so many months after now.
func (l *severalLife) errorAt(ref, after float64) float64 {
	return errorOf(l.o.Kind, l.zero+l.zeroRate*after, l.gain+l.gainRate*after, ref)
}

// outside tells whether it is outside tolerance at one of its references, so
// many months after now, having wandered by walk.
func (l *severalLife) outside(after, walk float64) bool {
	return slices.ContainsFunc(l.refs, func(ref float64) bool { return math.Abs(l.errorAt(ref, after)+walk) > l.tolerance })
}

func errorOf(kind check.Kind, zero, gain, ref float64) float64 {
	if kind == check.PH {
		return zero + gain*(ref-isothermal)
	}
	return gain + zero/ref
}

func (p several) draw(rng *rand.Rand) severalLife {
	for {
		l := p.once(rng)
		if !p.inside || !l.outside(0, 0) {
			return l
		}
	}
}

func (p several) once(rng *rand.Rand) severalLife {
	kind := p.kinds[rng.IntN(len(p.kinds))]
	l := severalLife{life: life{o: Options{Kind: kind, Now: noon}}}
	ph := kind == check.PH
	sets := severalRefs[kind]
	refs := sets[rng.IntN(len(sets))]
	l.refs = refs
	pick := func(a, b float64) float64 { return between(rng, [2]float64{a, b}) }
	faulty, drifting, wanders := rng.Float64() < p.fault, rng.Float64() < p.drift, rng.Float64() < p.wander
	var uRef, uReading, step float64
	if ph {
		l.tolerance, step = pick(0.1, 0.2), 0.01
		uRef, uReading = pick(0.01, 0.02), pick(0.01, 0.03)
		l.zero, l.gain = 0.03*rng.NormFloat64(), 0.005*rng.NormFloat64()
		if drifting {
			l.zeroRate = either(rng) * pick(0.002, 0.03)
		}
		if faulty { // it weakens, and has weakened before the first check
			l.gain, l.gainRate = -pick(0, 0.12), -pick(0, 0.015)
			if p.worn {
				l.gain, l.gainRate = math.Min(l.gain, -0.04), math.Min(l.gainRate, -0.005)
			}
		}
		if wanders {
			l.walk = pick(0.005, 0.03)
		}
	} else {
		l.tolerance, step = pick(0.02, 0.05), 1
		uRef, uReading = pick(0.003, 0.006), pick(0.003, 0.01)
		l.zero, l.gain = rng.NormFloat64(), 0.008*rng.NormFloat64()
		if drifting {
			l.gainRate = either(rng) * pick(0.0005, 0.01)
		}
		if faulty {
			l.zero = either(rng) * pick(2, 25)
			if rng.IntN(2) == 0 {
				l.zeroRate = math.Copysign(pick(0, 2), l.zero)
			}
		}
		if wanders {
			l.walk = pick(0.001, 0.006)
		}
	}
	l.o.Tolerance = &quantity.Tolerance{Value: l.tolerance, Relative: !ph}
	l.o, _ = l.o.complete()
	size := func(ref float64) float64 { // of a unit of error in the unit of the readings
		if ph {
			return 1
		}
		return ref
	}
	x, k := rng.Float64(), 0
	for k < 2 && x >= p.shares[k] {
		x -= p.shares[k]
		k++
	}
	n := p.visits[k][0] + rng.IntN(p.visits[k][1]-p.visits[k][0]+1)
	spacing := []float64{7, 14, 30}[rng.IntN(3)]
	stated, bottles, wrongAt := rng.Float64() < 0.7, rng.IntN(2) == 0, -1
	if p.things && rng.IntN(4) == 0 {
		wrongAt = rng.IntN(n * len(refs))
	}
	l.wrong = wrongAt
	day := 0.0
	off := make([]float64, len(refs)) // of the bottles open
	left, filling := 0, 0
	var days []float64
	pass := func(d float64) {
		l.zero, l.gain = l.zero+l.zeroRate*d/30, l.gain+l.gainRate*d/30
		w := l.walk * math.Sqrt(d/30) * rng.NormFloat64()
		if ph {
			l.zero += w
		} else {
			l.gain += w
		}
		day += d
	}
	for i := range n {
		if i > 0 {
			pass(spacing * pick(0.4, 1.6))
		}
		if left == 0 || !bottles {
			left = 4 + rng.IntN(7)
			filling++
			for k := range off {
				off[k] = uRef * rng.NormFloat64()
			}
		}
		left--
		seen := make([]float64, len(refs))
		most := 0.0
		for k, ref := range refs {
			seen[k] = errorOf(kind, l.zero, l.gain, ref) - off[k] + uReading*rng.NormFloat64()
			most = math.Max(most, math.Abs(seen[k]))
			shown := seen[k]
			if i*len(refs)+k == wrongAt {
				shown += either(rng) * l.tolerance * pick(1, 6)
			}
			e := Entry{Ref: ptr(ref), Reading: ptr(math.Round((ref+shown*size(ref))/step) * step)}
			if stated {
				e.URef, e.UReading = ptr(uRef*size(ref)), ptr(uReading*size(ref))
			}
			if bottles {
				e.Bottle = fmt.Sprint(ref, " of ", filling)
			}
			days, l.entries = append(days, day+0.002*float64(k)), append(l.entries, e)
		}
		if p.adjust && most > 0.8*l.tolerance && i < n-1 {
			days, l.entries = append(days, day+0.01), append(l.entries, Entry{Event: Adjusted})
			far := len(refs) - 1
			zero, gain := l.zero, l.gain
			if rng.IntN(2) == 0 { // at both ends
				apart := (seen[far] - seen[0])
				if ph {
					gain = apart / (refs[far] - refs[0])
					zero = seen[0] - gain*(refs[0]-isothermal)
				} else {
					zero = apart / (1/refs[far] - 1/refs[0])
					gain = seen[0] - zero/refs[0]
				}
				l.zero, l.gain = l.zero-zero, l.gain-gain
			} else if ph { // at the first alone
				l.zero -= seen[0]
			} else {
				l.gain -= seen[far]
			}
		}
	}
	pass(pick(0, 20))
	for i := range l.entries {
		l.entries[i].Time = noon.Add(-time.Duration((day - days[i]) * 24 * float64(time.Hour)))
	}
	l.first = l.entries[0].Time
	return l
}

// everySeveral is the population of the coverage test.
func everySeveral() several {
	return several{name: "all", visits: [3][2]int{{1, 1}, {2, 4}, {5, 26}}, shares: [3]float64{0.2, 0.3, 0.5},
		kinds: []check.Kind{check.PH, check.EC}, fault: 0.5, drift: 0.5, wander: 0.2, things: true, adjust: true}
}

// but is the population with a change and a name for it.
func (p several) but(name string, change func(*several)) several {
	p.name = name
	change(&p)
	return p
}

// weakSlopes are pH electrodes and zeroErrors conductivity meters, all faulty.
func weakSlopes(p *several) { p.kinds, p.fault, p.things = []check.Kind{check.PH}, 1, false }
func zeroErrors(p *several) { p.kinds, p.fault, p.things = []check.Kind{check.EC}, 1, false }

// manySeveral are the whole population and its parts.
func manySeveral() []several {
	all := everySeveral()
	return []several{
		all,
		all.but("pH, slope weakens", weakSlopes),
		all.but("pH, slope weakens, never adjusted", func(p *several) { weakSlopes(p); p.adjust = false }),
		all.but("conductivity, zero error", zeroErrors),
		all.but("conductivity, zero error, never adjusted", func(p *several) { zeroErrors(p); p.adjust = false }),
		all.but("no fault", func(p *several) { p.fault = 0 }),
		all.but("one visit", func(p *several) { p.shares = [3]float64{1, 0, 0} }),
		all.but("one visit, no wrong check", func(p *several) { p.shares, p.things = [3]float64{1, 0, 0}, false }),
		all.but("2 to 4 visits", func(p *several) { p.shares = [3]float64{0, 1, 0} }),
		all.but("5 to 26 visits", func(p *several) { p.shares = [3]float64{0, 0, 1} }),
	}
}

// datedSeveral are meters within tolerance, of which something can be told.
func datedSeveral() []several {
	base := everySeveral().but("", func(p *several) { p.things, p.inside, p.shares = false, true, [3]float64{0, 0.3, 0.7} })
	return []several{
		base.but("steady", func(p *several) { p.wander = 0 }),
		base.but("wandering", func(p *several) { p.wander = 1 }),
		base.but("pH, slope weakens", func(p *several) { weakSlopes(p); p.wander = 0 }),
	}
}

// alarmedSeveral are stable meters, and electrodes whose slope weakens.
func alarmedSeveral() []several {
	long := everySeveral().but("stable", func(p *several) {
		p.fault, p.drift, p.wander, p.things, p.visits[2] = 0, 0, 0, false, [2]int{10, 26}
	})
	return []several{
		long,
		long.but("pH, slope weakens, 10 to 26 visits, never adjusted", func(p *several) {
			weakSlopes(p)
			p.adjust, p.shares, p.worn = false, [3]float64{0, 0, 1}, true
		}),
	}
}
