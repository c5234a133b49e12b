package cause

import "math"

// shown is what a display shows at a point, near the point's reference:
//
//	value + slope·(change of the reference) + live·(change of the zero) + push·(the fault's own free sizes)
//
// push holds derivatives scaled to free sizes of standard deviation 1.
type shown struct {
	value, slope, live float64
	push               [2]float64
}

// honest shows the reference.
func honest(ref float64) shown { return shown{value: ref, slope: 1, live: 1} }

// target says whose fault something is. -1 is nobody, or cannot be said.
type target struct {
	meter  int
	sample int
	with   int // the other of two samples that changed places
	source int // the stock of several bottles
}

var nobody = target{meter: -1, sample: -1, with: -1, source: -1}

func meterTarget(m int) target  { return target{meter: m, sample: -1, with: -1, source: -1} }
func sampleTarget(s int) target { return target{meter: -1, sample: s, with: -1, source: -1} }

// variant is one cause with one target and one rung of its size: a model of all
// readings in which everything that is left open is linear and normal.
type variant struct {
	cause  ID
	who    target
	weight float64 // its share of the cause's prior probability
	// accused are the meters whose readings say nothing about the true value
	// where there is no reference.
	accused []int
	// show is what a point shows; nil for honest meters.
	show func(p point) shown
	// swap says which sample is really in the cup; nil for the one on the label.
	// With somebody accused it was a slip of that meter's reader, which does not
	// happen again.
	swap func(p point) int
	// noise is a variance added to every reading, and cell one added once for
	// every batch; nil for none.
	noise, cell func(b *batch) float64
	// doubt is added to the own error of every reference, in quadrature: of the
	// value for relative kinds.
	doubt float64
	// The fault's size is size + step·(its first free size).
	size, step float64
	shape      string // what it is among its kind, for the text
}

// flat is the standard deviation of a true value that no reference tells, as a
// fraction of its size (or in units of a kind that is not relative): so wide
// that the meters alone say what it is.
const flat = 1.0

// flatUnits is the same for kinds that are not relative.
const flatUnits = 5.0

// unknown is the standard deviation of the true value of every sample that no
// reference tells. It takes no side: with two meters, "the first shows too
// much" and "the second shows too little" must come out alike, as nothing tells
// them apart. A share of what is shown by the meter that is not accused would
// not do: under a constant amount it differs between the two, and eight bottles
// of a difference that nobody's reading decides add up to certainty. So it is
// the middle (geometric mean) of what all meters show of the sample, each taken
// back to the liquid by the slope that the variant gives its display; a shift
// leaves that middle alone, and under a factor it follows the liquid.
func (b *bench) unknown(rows []row) []float64 {
	logs, n := make([]float64, len(b.samples)), make([]float64, len(b.samples))
	for i := range rows {
		r := &rows[i]
		if r.known || math.Abs(r.shown.slope) < leastSlope {
			continue
		}
		size := 1.0
		if b.Relative {
			size = max(math.Abs(r.mean), leastShown*b.span[r.meter])
		}
		logs[r.at.sample] += math.Log(size / math.Abs(r.shown.slope))
		n[r.at.sample]++
	}
	width := flatUnits
	if b.Relative {
		width = flat
	}
	for s := range logs {
		logs[s] = width * math.Exp(logs[s]/max(1, n[s]))
	}
	return logs
}

// A display whose slope is below leastSlope tells nothing of the liquid, and
// one that shows less than leastShown of its largest reading shows nothing.
const leastSlope, leastShown = 0.1, 0.01

// row is a batch under a variant, ready for the equations.
type row struct {
	*batch
	at    point // what was really in the cup
	rest  float64
	logN  float64 // logarithm of the number of repetitions
	shown shown
	known bool    // there is a reference
	wide  float64 // standard deviation of the true value where there is none
	doubt float64 // the variant's, of a reference
}

// rows applies a variant to the bench.
func (b *bench) rows(v *variant) []row {
	level := b.levels(v.accused)
	out := make([]row, len(b.batches))
	for i := range b.batches {
		c := &b.batches[i]
		r := row{batch: c, at: c.point, logN: math.Log(float64(c.n)), doubt: v.doubt}
		if v.swap != nil {
			if s := v.swap(c.point); s != c.sample {
				b.move(&r, s)
			}
		}
		if r.known = !math.IsNaN(r.at.ref); !r.known {
			r.at.ref = level[r.at.sample]
		}
		r.shown = honest(r.at.ref)
		if v.show != nil {
			r.shown = v.show(r.at)
		}
		r.rest = c.mean - r.shown.value
		out[i] = r
	}
	wide := b.unknown(out)
	for i := range out {
		out[i].wide = wide[out[i].at.sample]
	}
	return out
}

// move puts the liquid of another sample into the cup.
func (b *bench) move(r *row, sample int) {
	r.at.sample, r.at.ref = sample, math.NaN()
	from := b.nearest(sample, r.meter, r.tempC, func(c *batch) bool { return !math.IsNaN(c.ref) })
	if from == nil {
		return
	}
	moved := *r.batch
	moved.uRef, moved.uShared = from.uRef, from.uShared
	r.batch = &moved
	r.at.ref, r.at.source = from.ref, from.source
}

// levels is a first value for samples without a reference: the mean of the
// meters that are not accused, else of all.
func (b *bench) levels(accused []int) []float64 {
	out := make([]float64, len(b.samples))
	for s := range b.samples {
		sum, n := 0.0, 0
		for pass := 0; pass < 2 && n == 0; pass++ {
			for i := range b.batches {
				c := &b.batches[i]
				if c.sample == s && (pass == 1 || !contains(accused, c.meter)) {
					sum += c.mean
					n++
				}
			}
		}
		out[s] = sum / float64(n)
	}
	return out
}

func contains(list []int, x int) bool {
	for _, v := range list {
		if v == x {
			return true
		}
	}
	return false
}
