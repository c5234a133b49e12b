package drift

import "math"

// How many times more than stated checks must scatter before it is spoken of,
// and how many groups of three must tell so. Of five, each with a scatter as
// stated, half lie beyond three times that in fewer than one of a thousand
// records.
const (
	scatterFactor = 3.0
	leastTriples  = 5
)

// scatter is how many times more the checks scatter than their stated
// uncertainties say, by the median of how far the middle one of three lies from
// the line through its neighbours: no steady drift, no shared error and no
// single slip moves that. ok is false where too few tell.
func (t *timeline) scatter(skip []bool) (times float64, ok bool) {
	checks, block := t.comparable(skip)
	var sizes []float64
	for _, list := range blocks(len(checks), block) {
		for k := 0; k+2 < len(list); k += 3 {
			a, b, c := &t.checks[checks[list[k]]], &t.checks[checks[list[k+1]]], &t.checks[checks[list[k+2]]]
			if a.unstated || b.unstated || c.unstated || c.month <= a.month {
				continue
			}
			w := (b.month - a.month) / (c.month - a.month)
			off := b.err - (1-w)*a.err - w*c.err
			v := func(o *observation) float64 { return math.Max(o.known, leastNoise*leastNoise) }
			sizes = append(sizes, math.Abs(off)/math.Sqrt(v(b)+(1-w)*(1-w)*v(a)+w*w*v(c)))
		}
	}
	if len(sizes) < leastTriples {
		return 0, false
	}
	return median(sizes) / normal50, true
}

// normal50 is the median size of a standard normal value.
const normal50 = 0.6744897501960817
