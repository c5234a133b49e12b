package drift

import "math"

// observe takes a check into account on every branch, and keeps the likeliest.
func (r *run) observe(at int, s *step) {
	o := &r.line.checks[s.check]
	variance := r.variance(o)
	stay := math.Exp(-stepsPerYear / monthsPerYear * o.exposed) // no knock
	right := (1 - wrongCheck) * stay
	list := r.work[:0]
	least := 0.0 // what the last of a full list weighs
	add := func(c candidate) {
		if c.weight <= least {
			return
		}
		if len(list) < r.width {
			list = append(list, c)
		} else {
			list[len(list)-1] = c
		}
		for i := len(list) - 1; i > 0 && list[i].weight > list[i-1].weight; i-- {
			list[i], list[i-1] = list[i-1], list[i]
		}
		least = list[0].weight * leastBranch
		if len(list) == r.width {
			least = math.Max(least, list[len(list)-1].weight)
		}
	}
	top := math.Inf(-1)
	for _, b := range r.beam {
		top = math.Max(top, b.logW)
		b.begin(o.begins, r.line.dim)
	}
	for _, b := range r.beam {
		nu := o.err - r.project(b, o)
		v, weight := b.s0+variance, math.Exp(b.logW-top)
		add(candidate{parent: b, kind: asExpected, weight: weight * right * density(nu, v), gain: 1 / v, nu: nu})
		v1, v2 := v+wrongSizes[0].size*wrongSizes[0].size, v+wrongSizes[1].size*wrongSizes[1].size
		w1, w2 := wrongSizes[0].weight*density(nu, v1), wrongSizes[1].weight*density(nu, v2)
		add(candidate{parent: b, kind: wrong, weight: weight * wrongCheck * stay * (w1 + w2), nu: nu,
			w1: w1 / (w1 + w2), w2: w2 / (w1 + w2), g1: 1 / v1, g2: 1 / v2})
		if stay < 1 {
			for k, knock := range knocks {
				v := v + knock.size*knock.size*r.product([2]float64{1, o.h}, [2]float64{1, o.h})
				add(candidate{parent: b, kind: stepped, choice: k, weight: weight * (1 - stay) * (1 - wrongCheck) * knock.weight * density(nu, v), gain: 1 / v, nu: nu})
			}
		}
	}
	if len(list) == 0 { // beyond what any branch allows: keep them all, the check as wrong
		for _, b := range r.beam {
			list = append(list, candidate{parent: b, kind: wrong, weight: math.Exp(b.logW-top) * math.SmallestNonzeroFloat64, w1: 1})
		}
	}
	for n := len(list); n > 1 && list[n-1].weight < list[0].weight*leastBranch; n = len(list) {
		list = list[:n-1]
	}
	old := r.beam
	r.beam = make([]*branch, 0, len(list))
	for _, c := range list {
		b := r.copyOf(c.parent)
		b.logW = top + math.Log(c.weight)
		ph := c.parent.ph
		switch c.kind {
		case stepped:
			copy(b.ph, ph)
			size := knocks[c.choice].size
			r.knock(b.p, size)
			b.ph[level] += size * size
			if r.line.base > second {
				b.ph[second] += size * size * r.second * r.second * o.h
			}
			r.update(b, b.ph, c.gain*c.nu, c.gain)
		case asExpected:
			r.update(b, ph, c.gain*c.nu, c.gain)
		case wrong:
			mean := (c.w1*c.g1 + c.w2*c.g2) * c.nu
			spread := c.w1*c.g1*c.g1 + c.w2*c.g2*c.g2
			r.update(b, ph, mean, c.w1*c.g1+c.w2*c.g2-spread*c.nu*c.nu+mean*mean)
		}
		if c.kind != asExpected {
			r.mark(b, at, c.kind, c.choice)
		}
		r.beam = append(r.beam, b)
	}
	r.free = append(r.free, old...)
	r.work = list[:0]
}

// project fills the covariance of a branch with the error of a check, and
// returns the error expected.
func (r *run) project(b *branch, o *observation) float64 {
	d := r.line.dim
	for i := range d {
		b.ph[i] = b.p[i*d+level]
	}
	expected := b.m[level]
	if r.line.base > second {
		for i := range d {
			b.ph[i] += o.h * b.p[i*d+second]
		}
		expected += o.h * b.m[second]
	}
	for _, l := range o.loads {
		for i := range d {
			b.ph[i] += l.size * b.p[i*d+l.state]
		}
		expected += l.size * b.m[l.state]
	}
	b.s0 = b.ph[level]
	if r.line.base > second {
		b.s0 += o.h * b.ph[second]
	}
	for _, l := range o.loads {
		b.s0 += l.size * b.ph[l.state]
	}
	return expected
}

// update moves a branch by ph·shift and takes ph·ph'·shrink off its covariance.
func (r *run) update(b *branch, ph []float64, shift, shrink float64) {
	d := r.line.dim
	for i := range d {
		b.m[i] += ph[i] * shift
		x := ph[i] * shrink
		row := b.p[i*d : i*d+d]
		for j := range row {
			row[j] -= x * ph[j]
		}
	}
}
