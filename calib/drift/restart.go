package drift

import (
	"math"
	"slices"
)

// restart applies an event to the branches chosen, each in the alternatives
// there are.
func (r *run) restart(at int, e Event, chosen func(*branch) bool) {
	d := r.line.dim
	sizes, kill := r.line.restartOf(e)
	for _, b := range r.beam[:len(r.beam):len(r.beam)] {
		if !chosen(b) {
			continue
		}
		for _, k := range kill {
			forget(b, k, d)
		}
		for k := len(sizes) - 1; k >= 0; k-- {
			c := b
			if k > 0 {
				c = r.copyOf(b)
				r.beam = append(r.beam, c)
			}
			c.logW = b.logW + math.Log(sizes[k].weight)
			r.renew(r.line.base, d, c.p, e, sizes[k].size)
			r.mark(c, at, chose, k)
		}
	}
}

// restartOf is what an event leaves of the level, and the states it wipes out.
func (t *timeline) restartOf(e Event) (sizes []choice, kill []int) {
	switch e {
	case Cleaned:
		return levelCleaned, nil
	case Adjusted:
		sizes, kill = levelAdjusted, []int{level, second}
	default:
		sizes, kill = levelAtStart, []int{level, rate, second, secondRate}
	}
	return sizes, slices.DeleteFunc(kill, func(k int) bool { return k >= t.base })
}

// renew adds the variance that an event brings, with a level of the size given.
func (h *hyper) renew(base, d int, p []float64, e Event, size float64) {
	p[level*d+level] += size * size
	if base > second {
		p[second*d+second] += math.Min(size*size, 1) * h.second * h.second
	}
	if e == Replaced {
		p[rate*d+rate] = h.rate * h.rate
		if base > second {
			p[secondRate*d+secondRate] = h.rate * h.rate * h.second * h.second
		}
	}
}

// variance is that of a check's own noise.
func (h *hyper) variance(o *observation) float64 {
	v := o.known * h.factor * h.factor
	if o.unstated {
		v += h.noise * h.noise
	}
	return math.Max(v, leastNoise*leastNoise)
}

// forget makes a component zero and certain.
func forget(b *branch, k, d int) {
	b.m[k] = 0
	for i := range d {
		b.p[k*d+i], b.p[i*d+k] = 0, 0
	}
}
