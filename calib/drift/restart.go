package drift

import (
	"math"
	"slices"
)

// renewal is one way in which an event may renew a meter.
type renewal struct {
	choice       // size of the level after it, with its prior probability
	kill   []int // states it wipes out
	pinned bool  // what differs between references stays; the error is near zero at a loading of pin
	pin    float64
}

// renewals lists the ways an event may renew a meter.
func (t *timeline) renewals(e Event) (out []renewal) {
	var sizes []choice
	var kill []int
	switch e {
	case Cleaned:
		sizes = levelCleaned
	case Adjusted:
		sizes, kill = levelAdjusted, []int{level, second}
	default:
		sizes, kill = levelAtStart, []int{level, rate, second, secondRate}
	}
	kill = slices.DeleteFunc(kill, func(k int) bool { return k >= t.base })
	one := 0.0
	if e == Adjusted && t.base > second {
		one = adjustedAtOne
	}
	for _, s := range sizes {
		out = append(out, renewal{choice: choice{s.size, s.weight * (1 - one)}, kill: kill})
	}
	if one > 0 {
		for _, h := range t.pins {
			out = append(out, renewal{choice{levelAtOne, one / float64(len(t.pins))}, []int{level}, true, h})
		}
	}
	return out
}

// pin finds the loadings of the references at one of which an adjustment may
// have been made: the ends of those in use and the one in the middle.
func (t *timeline) pin() {
	sum, n := map[int]float64{}, map[int]float64{}
	for i := range t.checks {
		c := &t.checks[i]
		sum[t.cluster(c.ref)] += c.h
		n[t.cluster(c.ref)]++
	}
	for _, k := range []int{0, len(sum) / 2, len(sum) - 1} {
		if h := sum[k] / n[k]; !slices.Contains(t.pins, h) {
			t.pins = append(t.pins, h)
		}
	}
}

// restart applies an event to the branches chosen, each in the ways there are.
func (r *run) restart(at int, e Event, chosen func(*branch) bool) {
	list := r.line.renewals(e)
	for _, b := range r.beam[:len(r.beam):len(r.beam)] {
		if !chosen(b) {
			continue
		}
		for k := len(list) - 1; k >= 0; k-- {
			c := b
			if k > 0 {
				c = r.copyOf(b)
				r.beam = append(r.beam, c)
			}
			c.logW = b.logW + math.Log(list[k].weight)
			r.renew(c, e, list[k])
			r.mark(c, at, chose, k)
		}
	}
}

// renew applies an event in one way.
func (r *run) renew(b *branch, e Event, n renewal) {
	d, size := r.line.dim, n.size
	for _, k := range n.kill {
		forget(b, k, d)
	}
	if n.pinned {
		b.m[level] = -n.pin * b.m[second]
		r.shift(b.p, level, second, -n.pin)
	}
	b.p[level*d+level] += size * size
	if r.line.base > second && !n.pinned {
		b.p[second*d+second] += size * size * r.second * r.second
	}
	if e == Replaced {
		b.p[rate*d+rate] = r.rate * r.rate
		if r.line.base > second {
			b.p[secondRate*d+secondRate] = r.rate * r.rate * r.second * r.second
		}
	}
}

// knock adds a sudden step of a size to a covariance.
func (r *run) knock(p []float64, size float64) {
	d := r.line.dim
	p[level*d+level] += size * size
	if r.line.base > second {
		p[second*d+second] += size * size * r.second * r.second
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

// begin gives offsets their states: each is worth one standard deviation of
// itself, and tied to nothing.
func (b *branch) begin(states []int, d int) {
	for _, k := range states {
		forget(b, k, d)
		b.p[k*d+k] = 1
	}
}

// forget makes a component zero and certain.
func forget(b *branch, k, d int) {
	b.m[k] = 0
	for i := range d {
		b.p[k*d+i], b.p[i*d+k] = 0, 0
	}
}
