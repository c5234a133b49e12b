package cause

import (
	"github.com/brinemark/brinemark/calib/agree"
)

// Options are what is known beside the readings.
type Options struct {
	// PPMFactor is the number of display units per uS/cm of a meter, where it
	// is known: 0.5, 0.64 or 0.7 for ppm, 1 for uS/cm, 0.001 for mS/cm.
	PPMFactor map[string]float64
	// Top is where a meter's range ends, in the unit of its readings, where it
	// is known.
	Top map[string]float64
}

// Explanation is why meters disagree.
type Explanation struct {
	Causes []Entry // by falling probability; they add up to 1
	Trust  string  // the meter to trust; "" for no fault, a bottle's fault, or no telling
	// Next is what to do, one or two sentences, and Measurements what could be
	// measured, the most telling first.
	Next         string
	Measurements []Measurement
	Warnings     []string
}

// Explain says why the meters of a set disagree, and what to measure next.
func Explain(set *agree.Set, c *agree.Comparison, o Options) *Explanation {
	b := newBench(set, c.Kind, c.Tolerance)
	for m, name := range b.meters {
		if f, ok := o.PPMFactor[name]; ok {
			b.factor[m] = f
		}
		if top, ok := o.Top[name]; ok {
			b.rangeEnd[m] = top
		}
	}
	b.shareScale(c.Tolerance)
	list := families(c.Kind)
	p := b.infer(list)
	x := &Explanation{Causes: p.entries(list), Trust: p.trust(c.Meters), Warnings: b.warnings}
	x.Measurements = p.measurements()
	x.Next = p.next(x, c)
	return x
}
