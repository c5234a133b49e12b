package cause

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// point is one meter in one liquid at one temperature. A figure that is not
// known is NaN.
type point struct {
	meter, sample int
	source        int // what the reference shares with others
	ref           float64
	tempC         float64
	order         float64 // 0 the first reading of the day, 1 the last
}

// batch is the readings of one point: repetitions, or a single one.
type batch struct {
	point
	n             int
	mean, squares float64 // squares: of the readings about their mean
	uReading      float64 // of one reading
	uRef, uShared float64
	digit         float64 // variance that the last digit leaves open
	lender        int     // whose row the reference stands in
}

// bench is everything that was read, ready to be explained.
type bench struct {
	scales
	tolerance                float64 // in the scales' sense
	meters, samples, sources []string
	batches                  []batch
	// span is a meter's largest reading, 1 for a kind that is not relative.
	span    []float64
	hasRefs bool
	hasTemp bool
	factor  map[int]float64 // display units per uS/cm, where known
	// rangeEnd is the top of a meter's range, where known.
	rangeEnd map[int]float64
	// scaled is a meter's display over the scale that its readings were put on,
	// where that is another.
	scaled map[int]float64

	warnings []string
}

// mostSamplesUsed bounds the work: more samples than this add nothing to what
// tells causes apart.
const mostSamplesUsed, mostBatchesUsed = 60, 240

// thin keeps a share of very many readings: samples from the weakest to the
// strongest, and of those every so many batches. It says what it left out.
func (b *bench) thin() []string {
	var warnings []string
	if len(b.samples) > mostSamplesUsed {
		warnings = append(warnings, fmt.Sprintf("the causes rest on %d of the %d samples, from the weakest to the strongest", mostSamplesUsed, len(b.samples)))
		b.keepSamples(b.spread(mostSamplesUsed))
	}
	if n := len(b.batches); n > mostBatchesUsed {
		warnings = append(warnings, fmt.Sprintf("the causes rest on %d of %d groups of repetitions, at about even steps", mostBatchesUsed, n))
		var kept []batch
		for i := range mostBatchesUsed {
			kept = append(kept, b.batches[i*(n-1)/(mostBatchesUsed-1)])
		}
		b.batches = kept
		var left []int
		for s := range b.samples {
			if slices.ContainsFunc(kept, func(c batch) bool { return c.sample == s }) {
				left = append(left, s)
			}
		}
		b.keepSamples(left)
	}
	return warnings
}

// keepSamples drops all other samples.
func (b *bench) keepSamples(keep []int) {
	place := map[int]int{}
	var names []string
	for _, s := range keep {
		place[s] = len(names)
		names = append(names, b.samples[s])
	}
	var kept []batch
	for _, c := range b.batches {
		if at, ok := place[c.sample]; ok {
			c.sample = at
			kept = append(kept, c)
		}
	}
	b.samples, b.batches = names, kept
}

// newBench sorts the readings of a set into batches.
func newBench(set *agree.Set, kind check.Kind, tolerance quantity.Tolerance) *bench {
	b := &bench{scales: scalesOf(kind), meters: set.Meters, samples: set.Samples, factor: map[int]float64{}, rangeEnd: map[int]float64{}}
	rows := set.Readings()
	order := orders(rows)
	for i, r := range rows {
		b.add(r, order[i])
	}
	slices.SortStableFunc(b.batches, func(x, y batch) int { return cmp.Compare(x.sample, y.sample) })
	b.warnings = b.thin()
	b.lendReferences()
	b.fillTemperatures()
	b.span = make([]float64, len(b.meters))
	for m := range b.meters {
		b.setMeter(m, set)
	}
	b.tolerance = b.scales.Tolerance
	if tolerance.Value > 0 {
		b.tolerance = tolerance.Value
		if b.Relative && !tolerance.Relative {
			b.tolerance /= b.middle()
		}
		if !b.Relative && tolerance.Relative {
			b.tolerance *= b.middle()
		}
	}
	return b
}

// orders places the readings between 0 and 1 by time where all have one, else
// by row.
func orders(rows []agree.Reading) []float64 {
	index := make([]int, len(rows))
	for i := range index {
		index[i] = i
	}
	if !slices.ContainsFunc(rows, func(r agree.Reading) bool { return r.Time == nil }) {
		slices.SortStableFunc(index, func(i, j int) int { return rows[i].Time.Compare(*rows[j].Time) })
	}
	out := make([]float64, len(rows))
	for place, i := range index {
		out[i] = float64(place) / float64(max(1, len(rows)-1))
	}
	return out
}

// add puts a reading into its batch.
func (b *bench) add(r agree.Reading, order float64) {
	one := batch{
		point: point{
			meter: slices.Index(b.meters, r.Meter), sample: slices.Index(b.samples, r.Sample),
			ref: orNaN(r.Ref), tempC: orNaN(r.TempC), order: order, source: b.source(r.RefSource),
		},
		lender: slices.Index(b.meters, r.Meter),
		n:      1, mean: r.Value, uReading: orNaN(r.UValue), uRef: orNaN(r.URef), uShared: orNaN(r.URefShared),
	}
	for i := range b.batches {
		have := &b.batches[i]
		if have.meter == one.meter && have.sample == one.sample && same(have.ref, one.ref) && same(have.tempC, one.tempC) {
			have.take(one)
			return
		}
	}
	b.batches = append(b.batches, one)
}

// take adds one more reading (B.P. Welford, Technometrics 4 (1962) 419).
func (a *batch) take(one batch) {
	a.n++
	off := one.mean - a.mean
	a.mean += off / float64(a.n)
	a.squares += off * (one.mean - a.mean)
	a.order += (one.order - a.order) / float64(a.n)
	switch {
	case math.IsNaN(a.uReading):
		a.uReading = one.uReading
	case !math.IsNaN(one.uReading): // a root mean square
		a.uReading = math.Sqrt(a.uReading*a.uReading + (one.uReading*one.uReading-a.uReading*a.uReading)/float64(a.n))
	}
}

func (b *bench) source(name string) int {
	if i := slices.Index(b.sources, name); i >= 0 {
		return i
	}
	b.sources = append(b.sources, name)
	return len(b.sources) - 1
}

// lendReferences gives a sample's reference to those of its rows that have
// none: it is the same liquid.
func (b *bench) lendReferences() {
	for i := range b.batches {
		to := &b.batches[i]
		if !math.IsNaN(to.ref) {
			b.hasRefs = true
			continue
		}
		if from := b.nearest(to.sample, to.meter, to.tempC, func(c *batch) bool { return !math.IsNaN(c.ref) }); from != nil {
			to.ref, to.uRef, to.uShared, to.source, to.lender = from.ref, from.uRef, from.uShared, from.source, from.lender
		}
	}
}

// nearest is the batch of a sample that fits best among those accepted: of this
// meter, at about this temperature; nil if there is none.
func (b *bench) nearest(sample, meter int, tempC float64, accept func(*batch) bool) *batch {
	var best *batch
	least := math.Inf(1)
	for i := range b.batches {
		c := &b.batches[i]
		if c.sample != sample || !accept(c) {
			continue
		}
		const otherMeter = 1000
		off := math.Abs(c.tempC - tempC)
		if math.IsNaN(off) {
			off = 0
		}
		if c.meter != meter {
			off += otherMeter
		}
		if best == nil || off < least {
			least, best = off, c
		}
	}
	return best
}

// fillTemperatures notes whether temperatures are known, and takes the mean for
// the few that are missing.
func (b *bench) fillTemperatures() {
	sum, n := 0.0, 0
	for _, c := range b.batches {
		if !math.IsNaN(c.tempC) {
			sum += c.tempC
			n++
		}
	}
	if 3*n < 2*len(b.batches) || n == 0 {
		return
	}
	b.hasTemp = true
	for i := range b.batches {
		if math.IsNaN(b.batches[i].tempC) {
			b.batches[i].tempC = sum / float64(n)
		}
	}
}

// setMeter fills in what depends on all readings of a meter.
func (b *bench) setMeter(m int, set *agree.Set) {
	step := b.stepOf(m, set)
	b.span[m] = 1
	top := 0.0
	for i := range b.batches {
		c := &b.batches[i]
		if c.meter == m {
			c.digit = step * step / 12
			top = max(top, math.Abs(c.mean))
		}
	}
	if b.Relative && top > 0 {
		b.span[m] = top
	}
}

// stepOf is what a meter's display seems to resolve: the last digit written, or
// ten times that where every reading ends in a nought before the point, and so
// on.
func (b *bench) stepOf(m int, set *agree.Set) float64 {
	step := set.Step(b.meters[m])
	const enough = 4 // readings that make an accident unlikely
	var values []float64
	for _, r := range set.Readings() {
		if r.Meter == b.meters[m] {
			values = append(values, r.Value)
		}
	}
	if step == 0 || len(values) < enough {
		return step
	}
	for step >= 1 {
		wider := 10 * step
		for _, v := range values {
			if v == 0 || math.Abs(v/wider-math.Round(v/wider)) > 1e-6 {
				return step
			}
		}
		step = wider
	}
	return step
}

// middle is the middle of the values read.
func (b *bench) middle() float64 {
	var values []float64
	for _, c := range b.batches {
		v := c.ref
		if math.IsNaN(v) {
			v = c.mean
		}
		values = append(values, math.Abs(v))
	}
	slices.Sort(values)
	if m := values[len(values)/2]; m > 0 {
		return m
	}
	return 1
}

func orNaN(x *float64) float64 {
	if x == nil {
		return math.NaN()
	}
	return *x
}

// same is equality for which two unknown figures are the same.
func same(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }
