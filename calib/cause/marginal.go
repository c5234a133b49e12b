package cause

import "math"

// equations are the readings under one variant and one setting:
//
//	rest = X θ + w ε + noise,   θ ~ N(0, 1/precision),   ε_k ~ N(0, 1), one for each sample
//
// θ are the small honest errors of every meter, what bottles of one stock
// share, and the free sizes of the fault; ε the own error of what is in each
// cup, common to every meter that read it. All are integrated out exactly: ε
// sample by sample (J. Sherman, W.J. Morrison, Ann. Math. Stat. 21 (1950) 124),
// then θ.
type equations struct {
	k         int // parameters θ
	x         []float64
	rest      []float64
	block     []int
	precision []float64
	layout    *layout

	// Work space, kept from setting to setting.
	u, y, z []float64
	h, q, s []float64
	a, rhs  []float64
	theta   []float64
}

// design writes a variant's rows as equations.
func (b *bench) design(rows []row) *equations {
	layout := b.layout(rows)
	e := &equations{k: layout.k, layout: layout}
	n := len(rows)
	e.x, e.rest, e.block = make([]float64, n*e.k), make([]float64, n), make([]int, n)
	e.precision = make([]float64, e.k)
	for i := range rows {
		r := &rows[i]
		e.rest[i], e.block[i] = r.rest, r.at.sample
		layout.fill(e.x[i*e.k:(i+1)*e.k], r.at, r.shown, r.uShared, r.known)
	}
	blocks := len(b.samples)
	e.u, e.y, e.z = make([]float64, n), make([]float64, n), make([]float64, n*e.k)
	e.h, e.q, e.s = make([]float64, blocks*e.k), make([]float64, blocks), make([]float64, blocks)
	e.a, e.rhs, e.theta = make([]float64, e.k*e.k), make([]float64, e.k), make([]float64, e.k)
	return e
}

// logLikelihood is the logarithm of the probability density of all readings,
// averaged over everything that is linear. The equations are left solved.
func (e *equations) logLikelihood(b *bench, rows []row, v *variant, s *setting) float64 {
	log := e.scale(b, rows, v, s) + e.separate()
	k := e.k
	clear(e.a)
	for i := range e.y {
		x := e.z[i*k : (i+1)*k]
		for p, xp := range x {
			if xp == 0 {
				continue
			}
			for q := 0; q <= p; q++ {
				e.a[p*k+q] += xp * x[q]
			}
		}
	}
	honest := 0.0
	for p := range k {
		e.precision[p] = 1
		if e.layout.honest[p] {
			e.precision[p] = 1 / (s.quality * s.quality)
			honest++
		}
		e.a[p*k+p] += e.precision[p]
	}
	log -= honest * math.Log(s.quality)
	e.factorise()
	log -= e.solve()/2 + e.halfLogDet()
	if math.IsNaN(log) { // numbers beyond what the machine can square
		return math.Inf(-1)
	}
	return log
}

// solve finds the most probable θ and returns the squares that remain. They are
// computed from what remains of each row, not as a difference, and θ is refined
// once: readings in another unit would drown both in rounding.
func (e *equations) solve() float64 {
	const negligible = 1e-8
	clear(e.theta)
	chi2 := e.remaining()
	for range 2 {
		// The squares can fall by no more than the slope's own, since every
		// precision is 1 or more.
		left := 0.0
		for _, g := range e.rhs {
			left += g * g
		}
		if left < negligible {
			break
		}
		e.substitute()
		for p := range e.theta {
			e.theta[p] += e.rhs[p]
		}
		chi2 = e.remaining()
	}
	return chi2
}

// remaining returns the squares that θ leaves, and puts half their downward
// slope into rhs.
func (e *equations) remaining() float64 {
	k, chi2 := e.k, 0.0
	for p, t := range e.theta {
		e.rhs[p] = -e.precision[p] * t
		chi2 += e.precision[p] * t * t
	}
	for i, y := range e.y {
		x := e.z[i*k : (i+1)*k]
		for p, t := range e.theta {
			y -= x[p] * t
		}
		chi2 += y * y
		for p := range x {
			e.rhs[p] += x[p] * y
		}
	}
	return chi2
}

// scale divides every row by the standard deviation of its noise, and returns
// the logarithm of the density's factor, with that of the repetitions about
// their means, which depend on nothing else.
func (e *equations) scale(b *bench, rows []row, v *variant, s *setting) float64 {
	log := 0.0
	for i := range rows {
		r := &rows[i]
		each := b.variance(r.batch, s)
		if v.noise != nil {
			each += v.noise(r.batch)
		}
		// One density for the mean, of variance d, and one for the n − 1
		// differences about it.
		n := float64(r.n)
		logEach := math.Log(2 * math.Pi * each)
		d, logD := each/n, logEach-r.logN
		if v.cell != nil {
			d += v.cell(r.batch)
			logD = math.Log(2 * math.Pi * d)
		}
		log -= ((n-1)*logEach + r.logN + r.squares/each + logD) / 2
		sd := math.Sqrt(d)
		e.y[i], e.u[i] = e.rest[i]/sd, r.shown.slope*b.ownError(r, s)/sd
		for j := i * e.k; j < (i+1)*e.k; j++ {
			e.z[j] = e.x[j] / sd
		}
	}
	return log
}

// separate takes the samples' own errors out: with u the scaled w of a sample's
// rows and q = u·u it multiplies them by
//
//	(1 + u uᵀ)^(−1/2) = 1 − u uᵀ (1 − 1/√(1+q))/q
//
// and returns the logarithm of the factor that this brings to the density.
func (e *equations) separate() float64 {
	k := e.k
	clear(e.h)
	clear(e.q)
	clear(e.s)
	for i, u := range e.u {
		block := e.block[i]
		e.q[block] += u * u
		e.s[block] += u * e.y[i]
		h := e.h[block*k : (block+1)*k]
		for p, z := range e.z[i*k : (i+1)*k] {
			h[p] += u * z
		}
	}
	log := 0.0
	for _, q := range e.q {
		log -= math.Log1p(q) / 2
	}
	for i, u := range e.u {
		if u == 0 {
			continue
		}
		block := e.block[i]
		q := e.q[block]
		// (1 − 1/√(1+q))/q without its cancellation for small q.
		root := math.Sqrt(1 + q)
		f := u / (root * (1 + root))
		e.y[i] -= f * e.s[block]
		h := e.h[block*k : (block+1)*k]
		z := e.z[i*k : (i+1)*k]
		for p := range z {
			z[p] -= f * h[p]
		}
	}
	return log
}

// factorise replaces the lower triangle of a by its Cholesky factor.
func (e *equations) factorise() {
	k := e.k
	for i := range k {
		for j := 0; j <= i; j++ {
			v := e.a[i*k+j]
			for c := 0; c < j; c++ {
				v -= e.a[i*k+c] * e.a[j*k+c]
			}
			if i == j {
				// Never below the prior precision but for rounding.
				e.a[i*k+i] = math.Sqrt(max(v, e.precision[i]))
			} else {
				e.a[i*k+j] = v / e.a[j*k+j]
			}
		}
	}
}

// substitute replaces rhs by the solution of a·x = rhs.
func (e *equations) substitute() {
	k := e.k
	for i := range k {
		for c := 0; c < i; c++ {
			e.rhs[i] -= e.a[i*k+c] * e.rhs[c]
		}
		e.rhs[i] /= e.a[i*k+i]
	}
	for i := k - 1; i >= 0; i-- {
		for c := i + 1; c < k; c++ {
			e.rhs[i] -= e.a[c*k+i] * e.rhs[c]
		}
		e.rhs[i] /= e.a[i*k+i]
	}
}

func (e *equations) halfLogDet() float64 {
	sum, product := 0.0, 1.0
	for i := range e.k {
		// One logarithm for several factors, long before they overflow.
		if product *= e.a[i*e.k+i]; product > 1e100 {
			sum, product = sum+math.Log(product), 1
		}
	}
	return sum + math.Log(product)
}

// variance is the posterior variance of one θ, from the factor.
func (e *equations) variance(at int) float64 {
	x := make([]float64, e.k)
	x[at] = 1
	e.half(x)
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return sum
}

// half replaces x by L⁻¹x, with L the factor: x·a⁻¹·y is half(x)·half(y).
func (e *equations) half(x []float64) {
	for i := range x {
		for c := 0; c < i; c++ {
			x[i] -= e.a[i*e.k+c] * x[c]
		}
		x[i] /= e.a[i*e.k+i]
	}
}
