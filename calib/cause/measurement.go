package cause

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/check"
)

// Measurement is something that could be read next.
type Measurement struct {
	What   string // one of the Measure words
	Sample string // the sample to read again; "" for a new one
	// Bits is the information about the cause that it is expected to bring, and
	// Doubt the share of the present doubt that this is.
	Bits, Doubt float64
	Text        string // what to do
	shots       []shot
	predictions []prediction // what the leading variants expect of the shots
}

// What can be measured, from the least trouble to the most.
const (
	MeasureAgain       = "again"         // the same liquid again
	MeasureColdAndWarm = "cold-and-warm" // the same liquid at two temperatures
	MeasureAir         = "air"           // where nothing is to be shown
	MeasureWeaker      = "weaker"        // a bottle weaker than all
	MeasureStronger    = "stronger"      // a bottle stronger than all
	MeasureFresh       = "fresh"         // a new bottle like one of these, of another stock
	MeasureReference   = "reference"     // a bottle of known value, where there is none
)

// Temperatures for the same liquid cold and warm: from a refrigerator, and from
// a bath that a hand can stand.
const coldC, warmC = 10.0, 35.0

// perPoint is how often each meter is read in a measurement.
const perPoint = 2

// planner collects what could be measured.
type planner struct {
	b    *bench
	list []Measurement
}

// add appends a measurement of every meter at some points.
func (l *planner) add(what, sample, text string, points ...shot) {
	m := Measurement{What: what, Sample: sample, Text: text}
	cell := 0
	reads := perPoint
	if len(points) > 1 {
		reads = 1
	}
	for _, p := range points {
		for meter := range l.b.meters {
			cell++
			for range reads {
				one := p
				one.meter, one.cell, one.order = meter, cell, 1
				if one.fresh < 0 {
					one = l.b.labelled(one)
				}
				m.shots = append(m.shots, one)
			}
		}
	}
	l.list = append(l.list, m)
}

// labelled fills in what the label of a sample on the bench says.
func (b *bench) labelled(t shot) shot {
	t.ref, t.uRef, t.source = math.NaN(), math.NaN(), 0
	if from := b.nearest(t.sample, t.meter, t.tempC, func(c *batch) bool { return !math.IsNaN(c.ref) }); from != nil {
		t.known, t.ref, t.uRef, t.source = true, from.ref, from.uRef, from.source
	}
	return t
}

// mostSamples is how many of the samples are considered for reading again.
const mostSamples = 8

// plans lists what could be measured on this bench.
func (b *bench) plans() []Measurement {
	l := &planner{b: b}
	level := b.levels(nil)
	usual := math.NaN()
	if b.hasTemp {
		usual = b.usualTemperature()
	}
	samples := b.spread(mostSamples)
	for _, s := range samples {
		l.add(MeasureAgain, b.samples[s], fmt.Sprintf("read sample %s again with every meter", b.samples[s]), shot{point: point{sample: s, tempC: b.temperature(s, usual)}, fresh: -1})
	}
	if b.Kind == check.EC {
		for _, s := range samples {
			l.add(MeasureColdAndWarm, b.samples[s],
				fmt.Sprintf("read sample %s cold (near %g C) and warm (near %g C) with every meter", b.samples[s], coldC, warmC),
				shot{point: point{sample: s, tempC: coldC}, fresh: -1}, shot{point: point{sample: s, tempC: warmC}, fresh: -1})
		}
		l.add(MeasureAir, "", "see what every meter shows dry, in air", b.new(0, 1e-4*b.lowest(), usual))
	}
	if b.hasRefs {
		for _, s := range b.referenced() {
			if slices.Contains(samples, s) {
				ref := b.nearest(s, 0, usual, func(c *batch) bool { return !math.IsNaN(c.ref) }).ref
				l.add(MeasureFresh, "", fmt.Sprintf("make or open a fresh reference like sample %s, of another stock, and read it with every meter", b.samples[s]),
					b.new(ref, b.usualOwn(ref), b.temperature(s, usual)))
			}
		}
	} else {
		middle := b.middle()
		l.add(MeasureReference, "", fmt.Sprintf("read a reference near %s with every meter", digits(middle, 2)), b.new(middle, b.usualOwn(middle), usual))
	}
	if b.Relative && b.hasRefs {
		low, high := b.lowest()/3, slices.Max(level)*1.5
		l.add(MeasureWeaker, "", fmt.Sprintf("read a weaker reference (near %s) with every meter", digits(low, 2)), b.new(low, b.usualOwn(low), usual))
		l.add(MeasureStronger, "", fmt.Sprintf("read a stronger reference (near %s) with every meter", digits(high, 2)), b.new(high, b.usualOwn(high), usual))
	}
	if b.Kind == check.PH && b.hasRefs {
		for _, buffer := range []float64{4, 7, 9.2, 10} {
			if !slices.ContainsFunc(b.batches, func(c batch) bool { return math.Abs(c.ref-buffer) < 0.5 }) {
				l.add(MeasureFresh, "", fmt.Sprintf("read a fresh buffer near pH %g with every meter", buffer), b.new(buffer, b.usualOwn(buffer), usual))
			}
		}
	}
	return l.list
}

// new is a bottle that is not on the bench.
func (b *bench) new(ref, own, tempC float64) shot {
	return shot{point: point{sample: -1, source: -1, ref: ref, tempC: tempC}, known: true, uRef: own, fresh: 0}
}

// usualOwn is the standard uncertainty of a new bottle of another stock.
func (b *bench) usualOwn(ref float64) float64 {
	u := math.Hypot(b.Bottle.Median, b.Stock)
	if b.Relative {
		u *= math.Abs(ref)
	}
	return u
}

// lowest is the smallest value on the bench above zero.
func (b *bench) lowest() float64 {
	low := math.Inf(1)
	for _, v := range b.levels(nil) {
		if v > 0 {
			low = min(low, v)
		}
	}
	if math.IsInf(low, 1) {
		return 1
	}
	return low
}

func (b *bench) usualTemperature() float64 {
	sum := 0.0
	for _, c := range b.batches {
		sum += c.tempC
	}
	return sum / float64(len(b.batches))
}

// temperature is that at which a sample was read, else the usual one.
func (b *bench) temperature(sample int, usual float64) float64 {
	for _, c := range b.batches {
		if c.sample == sample && !math.IsNaN(c.tempC) {
			return c.tempC
		}
	}
	return usual
}

// spread picks samples from the weakest to the strongest.
func (b *bench) spread(most int) []int {
	level := b.levels(nil)
	order := make([]int, len(level))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(level[i], level[j]) })
	if len(order) <= most {
		return order
	}
	var out []int
	for i := range most {
		out = append(out, order[i*(len(order)-1)/(most-1)])
	}
	return out
}
