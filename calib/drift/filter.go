package drift

import "math"

// The model of a meter's error, conditional on its hyperparameters, is linear
// and Gaussian:
//
//	level(t+dt) = level(t) + rate(t) dt + walk
//	rate(t+dt)  = rate(t) + wander
//	error       = level + h·second + sum of a_k·offset_k + noise
//
// with second a second component of the same kind (zero beside gain), which
// drifts, wanders and steps by itself, offsets that are constant for ever (the shared error of a source, a bottle's own),
// and known events. What is not Gaussian, a check that is wrong, a knock
// between two checks, an event whose place is not told, makes branches. Every
// branch is a Kalman filter of its own; the likeliest are kept.

// hyper is one point of the grid of hyperparameters.
type hyper struct {
	rate, walk, wander float64
	noise              float64 // of checks whose uncertainty is not stated
	factor             float64 // of stated uncertainties
	second             float64 // size of the second component in terms of the first
	logPrior           float64
}

// wanders tells whether the meter does anything but drift steadily.
func (h *hyper) wanders() bool { return h.walk > 0 || h.wander > 0 }

// product is how many times a level's variance two combinations of level and
// second share, where each goes its own way.
func (h *hyper) product(a, b [2]float64) float64 {
	return a[0]*b[0] + a[1]*b[1]*h.second*h.second
}

// Positions in the state.
const (
	level = iota
	rate
	second
	secondRate
)

// branchKind says what happened on a branch.
type branchKind uint8

const (
	asExpected branchKind = iota
	wrong
	stepped
	chose // one of the alternatives of an event or a start
)

// node records what happened on a branch; a branch is the list of its nodes.
type node struct {
	parent int32
	at     int32 // step of the timeline
	kind   branchKind
	choice uint8
}

// branch is one history that the checks may have had.
type branch struct {
	logW    float64
	m       []float64 // means
	p       []float64 // covariances, row by row
	ph      []float64 // work: covariance with the expected error
	s0      float64   // work: its variance
	pending bool      // the event of this row is still to come
	node    int32
}

// run is the filter for one point of the grid.
type run struct {
	hyper
	line     *timeline
	beam     []*branch
	free     []*branch
	nodes    []node
	width    int // branches kept
	evidence float64
	work     []candidate
}

type candidate struct {
	parent *branch
	kind   branchKind
	choice int // which of the knocks
	weight float64
	gain   float64 // 1/variance of the innovation
	nu     float64
	w1, w2 float64 // for a wrong check: the parts of the two sizes, and their gains
	g1, g2 float64
}

func newRun(line *timeline, h hyper, width int) *run {
	return &run{hyper: h, line: line, width: width, nodes: []node{{parent: -1}}}
}

func (r *run) branch() *branch {
	if n := len(r.free); n > 0 {
		b := r.free[n-1]
		r.free = r.free[:n-1]
		return b
	}
	d := r.line.dim
	buffer := make([]float64, d+d*d+d)
	return &branch{m: buffer[:d], p: buffer[d : d+d*d], ph: buffer[d+d*d:]}
}

func (r *run) copyOf(b *branch) *branch {
	c := r.branch()
	copy(c.m, b.m)
	copy(c.p, b.p)
	c.logW, c.pending, c.node = b.logW, b.pending, b.node
	return c
}

// mark notes what happened at a step of the timeline.
func (r *run) mark(b *branch, at int, kind branchKind, choice int) {
	r.nodes = append(r.nodes, node{b.node, int32(at), kind, uint8(choice)})
	b.node = int32(len(r.nodes) - 1)
}

// start makes the branches before the first check.
func (r *run) start() {
	b := r.branch()
	clear(b.m)
	clear(b.p)
	b.logW, b.pending, b.node = 0, false, 0
	r.beam = append(r.beam[:0], b)
	r.restart(-1, Replaced, func(*branch) bool { return true })
}

// advance runs the steps from, including, to, excluding.
func (r *run) advance(from, to int) {
	for i := from; i < to; i++ {
		s := &r.line.steps[i]
		if s.dt > 0 {
			for _, b := range r.beam {
				r.move(b, s.dt)
			}
		}
		switch s.kind {
		case stepCheck:
			r.observe(i, s)
		case stepEvent:
			r.restart(i, s.event, func(*branch) bool { return true })
		case stepMaybe:
			for _, b := range r.beam[:len(r.beam):len(r.beam)] {
				other := r.copyOf(b)
				b.logW += math.Log(0.5)
				other.logW, other.pending = b.logW, true
				r.mark(other, i, chose, laterChoice)
				r.beam = append(r.beam, other)
			}
			r.restart(i, s.event, func(b *branch) bool { return !b.pending })
		case stepRest:
			r.restart(i, s.event, func(b *branch) bool { return b.pending })
			for _, b := range r.beam {
				b.pending = false
			}
		}
	}
}

// move lets time pass on a branch.
func (r *run) move(b *branch, dt float64) {
	p := b.p
	b.m[level] += dt * b.m[rate]
	r.shift(p, level, rate, dt)
	if r.line.base > second {
		b.m[second] += dt * b.m[secondRate]
		r.shift(p, second, secondRate, dt)
	}
	r.stray(p, level, dt, 1)
	if r.line.base > second {
		r.stray(p, second, dt, r.second*r.second)
	}
}

// stray adds what a component, and its rate, may have wandered; times is how
// many times the level's variance that is.
func (r *run) stray(p []float64, k int, dt, times float64) {
	d, w2, q2 := r.line.dim, times*r.wander*r.wander, times*r.walk*r.walk
	p[k*d+k] += q2*dt + w2*dt*dt*dt/3
	p[k*d+k+1] += w2 * dt * dt / 2
	p[(k+1)*d+k] += w2 * dt * dt / 2
	p[(k+1)*d+k+1] += w2 * dt
}

// shift adds dt times component from to component to, in a covariance.
func (r *run) shift(p []float64, to, from int, dt float64) {
	d := r.line.dim
	a, b := p[to*d:to*d+d], p[from*d:from*d+d]
	for j := range a {
		a[j] += dt * b[j]
	}
	for i := range d {
		p[i*d+to] += dt * p[i*d+from]
	}
}

// sum is the log of the evidence so far, with the prior of the grid point.
func (r *run) sum() float64 {
	total := math.Inf(-1)
	for _, b := range r.beam {
		total = logSum(total, b.logW)
	}
	return total + r.logPrior
}

// leastNoise is the smallest standard deviation of a check, in scales: below
// it a display's last digit is coarser. leastBranch is what a branch must weigh
// next to the heaviest of its run to be kept.
const (
	leastNoise  = 1e-3
	leastBranch = 1e-5
)

// density is that of a normal error of a variance.
func density(x, variance float64) float64 {
	return math.Exp(-0.5*x*x/variance) / math.Sqrt(2*math.Pi*variance)
}

func logSum(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(b, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}
