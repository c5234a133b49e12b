package drift

import (
	"math"
	"sort"
)

// part is one Gaussian part of what is believed: the meter's states at the
// last entry, under one point of the grid and one branch.
type part struct {
	weight float64
	hyper  *hyper
	m      [4]float64
	p      [4][4]float64
	run    *run
	branch *branch
}

// belief is what is known of the meter after its last entry: a mixture.
type belief struct {
	line  *timeline
	parts []part
	// watched is for how many months the meter has been checked, since it was
	// replaced.
	watched float64
	// wandering is the weight of the parts that wander, at the last entry.
	wandering float64
}

// leastWeight is what a part must weigh to be kept, next to the heaviest.
const leastWeight = 1e-4

func newBelief(t *timeline, runs []*run) *belief {
	b := &belief{line: t, watched: math.Max(months(t.checks[t.sinceReplaced()].time, t.last), leastWatched)}
	top := math.Inf(-1)
	for _, r := range runs {
		for _, br := range r.beam {
			top = math.Max(top, br.logW+r.logPrior)
		}
	}
	for _, r := range runs {
		for _, br := range r.beam {
			w := math.Exp(br.logW + r.logPrior - top)
			if w < leastWeight {
				continue
			}
			g := part{weight: w, hyper: &r.hyper, run: r, branch: br}
			for i := range t.base {
				g.m[i] = br.m[i]
				for j := range t.base {
					g.p[i][j] = br.p[i*t.dim+j]
				}
			}
			b.parts = append(b.parts, g)
		}
	}
	sort.SliceStable(b.parts, func(i, j int) bool { return b.parts[i].weight > b.parts[j].weight })
	b.normalise()
	return b
}

// normalise makes the weights sum to 1.
func (b *belief) normalise() {
	total := 0.0
	for i := range b.parts {
		total += b.parts[i].weight
	}
	b.wandering = 0
	for i := range b.parts {
		g := &b.parts[i]
		g.weight /= total
		if g.hyper.wanders() {
			b.wandering += g.weight
		}
	}
}

// weights is what the weight of a steady part, and that of a wandering one,
// are multiplied by so many months after the last entry (see straying).
func (b *belief) weights(after float64) [2]float64 {
	grown := math.Pow(1+after/b.watched, straying)
	total := 1 - b.wandering + b.wandering*grown
	return [2]float64{1 / total, grown / total}
}

// weightAt is the weight of a part with the multipliers of weights.
func (g *part) weightAt(factors [2]float64) float64 {
	if g.hyper.wanders() {
		return g.weight * factors[1]
	}
	return g.weight * factors[0]
}

// errorAt is the error at a reference, so many months after the last entry.
func (b *belief) errorAt(ref, after float64) mixture {
	h, factors := b.line.loading(ref), b.weights(after)
	out := make(mixture, len(b.parts))
	for i := range b.parts {
		mean, variance := b.parts[i].at(h, after)
		out[i] = gaussian{b.parts[i].weightAt(factors), mean * b.line.scale, math.Sqrt(variance) * b.line.scale}
	}
	return out
}

// at is mean and variance of the error at a loading, in scales.
func (g *part) at(h, after float64) (mean, variance float64) {
	return g.combination([2]float64{1, h}, after)
}

// combination is mean and variance of c[0]·level + c[1]·second.
func (g *part) combination(c [2]float64, after float64) (mean, variance float64) {
	a := [4]float64{c[0], c[0] * after, c[1], c[1] * after}
	n := 4
	if c[1] == 0 {
		n = 2
	}
	for i := range n {
		mean += a[i] * g.m[i]
		for j := range n {
			variance += a[i] * a[j] * g.p[i][j]
		}
	}
	q, w := g.hyper.walk, g.hyper.wander
	return mean, math.Max(0, variance) + g.hyper.product(c, c)*(q*q*after+w*w*after*after*after/3)
}

// rateOf is mean and variance of the rate of a combination.
func (g *part) rateOf(c [2]float64, after float64) (mean, variance float64) {
	mean = c[0]*g.m[rate] + c[1]*g.m[secondRate]
	variance = c[0]*c[0]*g.p[rate][rate] + 2*c[0]*c[1]*g.p[rate][secondRate] + c[1]*c[1]*g.p[secondRate][secondRate]
	variance = math.Max(0, variance) + g.hyper.product(c, c)*g.hyper.wander*g.hyper.wander*after
	if g.hyper.rate == 0 {
		variance += (c[0]*c[0] + c[1]*c[1]) * steadyWithin * steadyWithin
	}
	return mean, variance
}

// rateAt is the rate of the error at a reference, per month.
func (b *belief) rateAt(ref, after float64) mixture {
	h, factors := b.line.loading(ref), b.weights(after)
	out := make(mixture, len(b.parts))
	for i := range b.parts {
		mean, v := b.parts[i].rateOf([2]float64{1, h}, after)
		out[i] = gaussian{b.parts[i].weightAt(factors), mean * b.line.scale, math.Sqrt(v) * b.line.scale}
	}
	return out
}

// happened gives for every check the probability that it is wrong, and that a
// step came before it.
func (b *belief) happened() (isWrong, step []float64) {
	isWrong, step = make([]float64, len(b.line.checks)), make([]float64, len(b.line.checks))
	for i := range b.parts {
		g := &b.parts[i]
		for _, n := range g.choices() {
			switch n.kind {
			case wrong:
				isWrong[b.line.steps[n.at].check] += g.weight
			case stepped:
				step[b.line.steps[n.at].check] += g.weight
			}
		}
	}
	return isWrong, step
}

// noise is the standard deviation of every check's own error, in scales, as
// far as it is believed.
func (b *belief) noise() []float64 {
	out := make([]float64, len(b.line.checks))
	for k := range out {
		for i := range b.parts {
			out[k] += b.parts[i].weight * b.parts[i].hyper.variance(&b.line.checks[k])
		}
		out[k] = math.Sqrt(out[k])
	}
	return out
}
