package cause

import (
	"math"
	"slices"
)

// shot is one reading that has not been taken yet.
type shot struct {
	point
	known bool    // its value would be looked up
	uRef  float64 // the own standard uncertainty of its value
	fresh int     // which new bottle it is of; -1 for one of those on the bench
	cell  int     // readings of one meter in one go have the same
}

// prediction is the joint normal distribution of some shots under a variant.
type prediction struct {
	label  label
	weight float64
	mean   []float64
	factor []float64 // lower Cholesky factor of the covariance, row by row
	log    float64   // logarithm of the density's factor
}

// label is what a measurement should tell: which cause, and whose.
type label struct {
	cause ID
	meter int
}

// predict gives the distribution of the shots under a variant whose equations
// are solved at a setting, given all that was read.
func (p *posterior) predict(e *explained, s *setting, shots []shot) prediction {
	q := e.equations
	n, k := len(shots), q.k
	out := prediction{label: label{e.cause, e.who.meter}, weight: p.probability(e), mean: make([]float64, n)}
	cov := make([]float64, n*n)
	x := make([][]float64, n)
	own, cell := make([]float64, n), make([]float64, n)
	for i := range shots {
		at, shown, w, extra := p.b.take(e, shots[i], s)
		x[i] = make([]float64, k)
		q.layout.fill(x[i], at, shown, math.NaN(), shots[i].known)
		out.mean[i] = shown.value
		own[i], cell[i] = w, extra.cell
		if shots[i].fresh < 0 {
			// What was read tells something of this bottle's own error:
			// ε = (s − h·θ)/(1+q), and 1/(1+q) of its variance is left.
			left := 1 + q.q[at.sample]
			out.mean[i] += w * q.s[at.sample] / left
			h := q.h[at.sample*k : (at.sample+1)*k]
			for j := range h {
				x[i][j] -= w * h[j] / left
			}
			own[i] = w / math.Sqrt(left)
		}
		for j, t := range q.theta {
			out.mean[i] += x[i][j] * t
		}
		q.half(x[i])
		cov[i*n+i] += extra.noise
	}
	for i := range shots {
		for j := range shots {
			for c := range k {
				cov[i*n+j] += x[i][c] * x[j][c]
			}
			if shots[i].fresh == shots[j].fresh && (shots[i].fresh >= 0 || shots[i].sample == shots[j].sample) {
				cov[i*n+j] += own[i] * own[j]
			}
			if shots[i].cell == shots[j].cell {
				cov[i*n+j] += cell[i]
			}
		}
	}
	out.factor = cov
	out.factorise()
	return out
}

// scatter is the variance of a reading, and of all readings in one go.
type scatter struct{ noise, cell float64 }

// take is what a shot shows under a variant, with the standard deviation that
// the own error of its bottle gives it.
func (b *bench) take(e *explained, t shot, s *setting) (at point, sh shown, own float64, extra scatter) {
	at = t.point
	if t.fresh < 0 && e.swap != nil && len(e.accused) == 0 {
		if moved := e.swap(at); moved != at.sample {
			at.sample, at.ref = moved, math.NaN()
			if from := b.nearest(moved, at.meter, at.tempC, func(c *batch) bool { return !math.IsNaN(c.ref) }); from != nil {
				at.ref = from.ref
			}
		}
	}
	if math.IsNaN(at.ref) {
		at.ref = b.levels(e.accused)[at.sample]
	}
	sh = honest(at.ref)
	if e.show != nil {
		sh = e.show(at)
	}
	c := batch{point: at, n: 1, mean: sh.value, uRef: t.uRef, uReading: b.usualU()}
	r := row{batch: &c, at: at, shown: sh, known: t.known, wide: e.wide(at.sample)}
	if t.fresh < 0 {
		r.doubt = e.doubt
	}
	own = sh.slope * b.ownError(&r, s)
	extra.noise = b.variance(&c, s)
	if e.noise != nil {
		extra.noise += e.noise(&c)
	}
	if e.cell != nil && e.shape != oneOff {
		extra.cell = e.cell(&c)
	}
	return at, sh, own, extra
}

// usualU is the middle of the stated u_reading; NaN where none is.
func (b *bench) usualU() float64 {
	var u []float64
	for _, c := range b.batches {
		if !math.IsNaN(c.uReading) {
			u = append(u, c.uReading)
		}
	}
	if len(u) == 0 {
		return math.NaN()
	}
	slices.Sort(u)
	return u[len(u)/2]
}

// factorise replaces the covariance by its Cholesky factor.
func (p *prediction) factorise() {
	n := len(p.mean)
	f := p.factor
	for i := range n {
		for j := 0; j <= i; j++ {
			v := f[i*n+j]
			for c := 0; c < j; c++ {
				v -= f[i*n+c] * f[j*n+c]
			}
			if i == j {
				// Rounding must not make a variance negative.
				f[i*n+i] = math.Sqrt(max(v, 1e-14*f[i*n+i], 1e-300))
				p.log -= math.Log(f[i*n+i])
			} else {
				f[i*n+j] = v / f[j*n+j]
			}
		}
	}
}

// draw makes readings from standard normal numbers.
func (p *prediction) draw(y, z []float64) {
	n := len(p.mean)
	for i := range n {
		y[i] = p.mean[i]
		for j := 0; j <= i; j++ {
			y[i] += p.factor[i*n+j] * z[j]
		}
	}
}

// logDensity of readings, up to a constant that all predictions share.
func (p *prediction) logDensity(y, work []float64) float64 {
	n, sum := len(p.mean), 0.0
	for i := range n {
		v := y[i] - p.mean[i]
		for j := 0; j < i; j++ {
			v -= p.factor[i*n+j] * work[j]
		}
		work[i] = v / p.factor[i*n+i]
		sum += work[i] * work[i]
	}
	return p.log - sum/2
}
