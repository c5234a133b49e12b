package cause

import (
	"cmp"
	"math"
	"slices"
)

// Entry is one cause with its probability.
type Entry struct {
	Cause ID
	// Meter is whose fault it is, Sample which liquid's; "" for nobody's, or
	// where the data cannot tell. With is the other of two samples that changed
	// places.
	Meter, Sample, With string
	// Size is how large the fault is, and U its standard uncertainty; NaN where
	// it has no size or nobody in particular. SizeOf says what it is a size of.
	Size, U     float64
	SizeOf      string
	Probability float64
	Text        string // one sentence: what it is, how large, what to do
	do          string
}

// What a Size is a size of.
const (
	SizeFraction    = "fraction"    // of the right value: 0.08 is 8 % too much
	SizeReading     = "reading"     // in the unit of the readings
	SizeFactor      = "factor"      // reading over what is expected
	SizeCoefficient = "per_C"       // what the meter corrects by, 1/C
	SizeTemperature = "reference_C" // what the meter corrects to
)

// tellsApart is the share of a cause's probability that one meter or sample
// must hold to be named.
const tellsApart = 0.9

// negligible is the probability below which an entry is left out.
const negligible = 5e-4

// mass is the probability of one target of a cause.
type mass struct {
	who         target
	probability float64
}

// masses splits each cause's probability by target, most probable first. What
// no model describes is Other's and nobody's.
func (p *posterior) masses() map[ID][]mass {
	split := map[ID][]mass{Other: {{nobody, modelDoubt}}}
	for i := range p.list {
		e := &p.list[i]
		list := split[e.cause]
		k := slices.IndexFunc(list, func(m mass) bool { return m.who == e.who })
		if k < 0 {
			k = len(list)
			list = append(list, mass{who: e.who})
		}
		list[k].probability += p.probability(e)
		split[e.cause] = list
	}
	for _, list := range split {
		slices.SortStableFunc(list, func(a, b mass) int { return cmp.Compare(b.probability, a.probability) })
	}
	return split
}

// entries lists the causes by falling probability.
func (p *posterior) entries(list []candidate) []Entry {
	split := p.masses()
	var out []Entry
	sum := 0.0
	for _, f := range list {
		for _, m := range told(split[f.id()]) {
			if m.probability >= negligible {
				out = append(out, p.entry(f, m))
				sum += m.probability
			}
		}
	}
	for i := range out {
		out[i].Probability /= sum
	}
	slices.SortStableFunc(out, func(a, b Entry) int { return cmp.Compare(b.Probability, a.Probability) })
	return out
}

// told is how the targets of one cause are shown. Where one holds nine tenths
// of it, it is named, and so is every other meter, with its share. Otherwise the
// data cannot tell: the cause stands once, as nobody's, and does not fall behind
// another for being split between meters.
func told(masses []mass) []mass {
	if len(masses) == 0 {
		return nil
	}
	all := 0.0
	for _, m := range masses {
		all += m.probability
	}
	if masses[0].who == nobody || masses[0].probability < tellsApart*all {
		return []mass{{nobody, all}}
	}
	out, rest := masses[:1:1], mass{who: nobody}
	for _, m := range masses[1:] {
		if m.who.meter >= 0 && m.who.meter != masses[0].who.meter {
			out = append(out, m)
		} else {
			rest.probability += m.probability
		}
	}
	return append(out, rest)
}

// entry words one target of a cause.
func (p *posterior) entry(f candidate, m mass) Entry {
	found := p.find(f.id(), m.who)
	e := Entry{Cause: f.id(), Probability: m.probability, Size: found.size, U: found.u}
	switch {
	case m.who == nobody && f.id() == Other:
		found.shape = p.shapeOfOther(m)
	case m.who == nobody && len(p.b.meters) == 2:
		// Nobody in particular: then the second against the first.
		second := p.find(f.id(), meterTarget(1))
		found.size, found.shape = second.size, second.shape
	}
	name := func(names []string, i int) string {
		if i < 0 {
			return ""
		}
		return names[i]
	}
	e.Meter, e.Sample, e.With = name(p.b.meters, m.who.meter), name(p.b.samples, m.who.sample), name(p.b.samples, m.who.with)
	if !math.IsNaN(e.Size) {
		e.SizeOf = p.sizeOf(f.id(), found.shape)
	}
	if e.SizeOf == SizeReading {
		k := p.b.ownScale(m.who.meter)
		e.Size, e.U, found.size = k*e.Size, k*e.U, k*found.size
	}
	what, do := f.says(p.b, found)
	switch {
	case p.b.saysNothing(f.id()):
		what, do = p.b.nothingSaid(f.id())
	case p.b.silent(m.who.meter) && m.who.sample < 0:
		what, do = p.b.saysSilent(found)
	}
	e.Text, e.do = sentence(p.b, what, do), do
	return e
}

func (p *posterior) sizeOf(id ID, shape string) string {
	switch id {
	case Gain, WeakSlope, DeadElectrode:
		return SizeFraction
	case DisplayScale:
		return SizeFactor
	case Compensation:
		if shape == twenty || shape == twentyFive {
			return SizeTemperature
		}
		return SizeCoefficient
	case BadBottle, BadBuffer, Unstable, Other:
		if p.b.Relative {
			return SizeFraction
		}
	}
	return SizeReading
}

// find is the size of a cause with its target: the mean over the variants of its
// most probable shape, or the most probable one where only exact sizes can be.
func (p *posterior) find(id ID, who target) finding {
	f := finding{target: who, size: math.NaN(), u: math.NaN()}
	byShape := map[string]float64{}
	of := func(e *explained) bool { return e.cause == id && e.who == who }
	for i := range p.list {
		if e := &p.list[i]; of(e) {
			byShape[e.shape] += p.probability(e)
			if byShape[e.shape] > byShape[f.shape] {
				f.shape = e.shape
			}
		}
	}
	var weight, mean, square float64
	for i := range p.list {
		e := &p.list[i]
		if !of(e) || e.shape != f.shape {
			continue
		}
		size, u := p.sizeAt(e)
		w := p.probability(e)
		weight, mean, square = weight+w, mean+w*size, square+w*(size*size+u*u)
	}
	if exact := p.mostProbable(of); id == DisplayScale && exact != nil && who != nobody {
		f.size, f.u = exact.size, 0
	} else if weight > 0 && who != nobody {
		f.size = mean / weight
		f.u = math.Sqrt(max(0, square/weight-f.size*f.size))
	}
	return f
}

// shapeOfOther is what Other most likely is where it stands as nobody's: the
// shape that holds more than half of it, whoever's it is; "" where none does,
// as where it is no more than modelDoubt.
func (p *posterior) shapeOfOther(m mass) string {
	named := target{meter: -2}
	if split := told(p.masses()[Other]); split[0].who != nobody {
		named = split[0].who
	}
	byShape := map[string]float64{}
	for i := range p.list {
		e := &p.list[i]
		if e.cause != Other || e.who == named {
			continue
		}
		byShape[e.shape] += p.probability(e)
		if byShape[e.shape] > m.probability/2 {
			return e.shape
		}
	}
	return ""
}

// mostProbable is the most probable of some variants; nil if there are none.
func (p *posterior) mostProbable(of func(*explained) bool) *explained {
	var best *explained
	for i := range p.list {
		if e := &p.list[i]; of(e) && (best == nil || e.total > best.total) {
			best = e
		}
	}
	return best
}

// sizeAt is a variant's size at its most probable setting.
func (p *posterior) sizeAt(e *explained) (size, u float64) {
	if e.step == 0 {
		return e.size, 0
	}
	p.solve(e)
	at := e.equations.layout.fault
	if at < 0 { // nothing that was read depends on it
		return e.size, e.step
	}
	return e.size + e.step*e.equations.theta[at], e.step * math.Sqrt(e.equations.variance(at))
}
