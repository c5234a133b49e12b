package tempcomp

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"github.com/brinemark/brinemark/calib/scatter"
	"github.com/brinemark/brinemark/calib/uncert"
)

// solution is a fitted pair of parameters.
type solution struct {
	points     []point
	lnG, alpha float64
	stated     bool
	floor      float64        // least relative standard deviation of the scatter
	z          []uncert.Value // residuals
	h          *mat.Dense     // 2×n, sensitivity of (ln G, α) to the residuals
	j          *mat.Dense     // n×2, derivatives of the fit by the parameters
	w          *mat.SymDense  // covariance of the residuals from stated sources
	normal     *mat.SymDense  // (J'W⁻¹J)⁻¹
	chi2       *float64
}

const (
	maxSteps = 100
	settled  = 1e-13
)

// solve runs Gauss–Newton from the straight line that κ/r is in t.
func solve(b bench) (*solution, error) {
	s := &solution{points: b.points, stated: b.stated, floor: b.floor}
	s.start()
	for range maxSteps {
		step, err := s.step()
		if err != nil {
			return nil, err
		}
		scale := 1.0
		for !s.usable(s.alpha + scale*step[1]) {
			scale /= 2
			if scale < 1e-6 {
				return nil, fmt.Errorf("%w: no straight compensation comes near these readings", ErrNoConverge)
			}
		}
		s.lnG += scale * step[0]
		s.alpha += scale * step[1]
		if scale == 1 && math.Abs(step[0]) < settled && math.Abs(step[1]) < settled {
			_, err := s.step() // H and covariance at the end point
			return s, err
		}
	}
	return nil, fmt.Errorf("%w in %d steps", ErrNoConverge, maxSteps)
}

// start takes κ/r = (1 + α (t − t_ref)) / G as the straight line it is.
func (s *solution) start() {
	var n, sx, sy, sxx, sxy float64
	for _, p := range s.points {
		y := math.Exp(p.lnKappa - p.lnR.Nominal())
		n, sx, sy, sxx, sxy = n+1, sx+p.dt, sy+y, sxx+p.dt*p.dt, sxy+p.dt*y
	}
	slope := (n*sxy - sx*sy) / (n*sxx - sx*sx)
	height := (sy - slope*sx) / n
	s.alpha = slope / height
	if !(height > 0) || !s.usable(s.alpha) {
		// The line leaves the range: begin with no compensation.
		s.alpha, height = 0, sy/n
	}
	s.lnG = -math.Log(height)
}

func (s *solution) usable(alpha float64) bool {
	for _, p := range s.points {
		if !DivisorRange().Contains(1 + alpha*p.dt) {
			return false
		}
	}
	return true
}

// step returns the Gauss–Newton step H z and keeps H.
func (s *solution) step() ([2]float64, error) {
	n := len(s.points)
	j, w, e := mat.NewDense(n, 2, nil), mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	s.z = make([]uncert.Value, n)
	for i, p := range s.points {
		z, err := p.residual(s.lnG, s.alpha)
		if err != nil {
			return [2]float64{}, err
		}
		s.z[i] = z
		e.SetVec(i, z.Nominal())
		j.SetRow(i, []float64{1, -p.dt / (1 + s.alpha*p.dt)})
		for k := range i + 1 {
			w.SetSym(i, k, uncert.Cov(s.z[i], s.z[k]))
		}
	}
	var chol mat.Cholesky
	weighted := s.stated && chol.Factorize(w) && chol.Cond() < 1e12
	if !weighted {
		// Equal weights: nothing is stated, or some combination of the
		// readings is stated as exact. The covariance is then carried
		// through H all the same.
		one := mat.NewSymDense(n, nil)
		for i := range n {
			one.SetSym(i, i, 1)
		}
		chol.Factorize(one)
	}
	var wj, jwj, h, d mat.Dense
	if err := chol.SolveTo(&wj, j); err != nil {
		return [2]float64{}, fmt.Errorf("covariance of the readings: %w", err)
	}
	jwj.Mul(j.T(), &wj)
	if err := h.Solve(&jwj, wj.T()); err != nil {
		return [2]float64{}, fmt.Errorf("the temperatures do not tell gain and coefficient apart: %w", err)
	}
	s.h, s.j, s.w = &h, j, w
	d.Mul(&h, e)
	var inverse mat.Dense
	if err := inverse.Inverse(&jwj); err != nil {
		return [2]float64{}, fmt.Errorf("the temperatures do not tell gain and coefficient apart: %w", err)
	}
	s.normal = mat.NewSymDense(2, []float64{inverse.At(0, 0), inverse.At(0, 1), inverse.At(0, 1), inverse.At(1, 1)})
	s.chi2 = nil
	if weighted && n > 2 {
		var q mat.VecDense
		if err := chol.SolveVecTo(&q, e); err != nil {
			return [2]float64{}, fmt.Errorf("covariance of the readings: %w", err)
		}
		chi2 := mat.Dot(e, &q)
		s.chi2 = &chi2
	}
	return [2]float64{d.At(0, 0), d.At(1, 0)}, nil
}

// values returns ln G and α with their sources.
func (s *solution) values(id string) (lnG, alpha uncert.Value, err error) {
	z := s.z
	if !s.stated {
		z = scatter.SharedOnly(z)
	}
	terms := make([][]uncert.Term, 2)
	for i := range z {
		for k := range terms {
			terms[k] = append(terms[k], uncert.Term{Value: z[i], Slope: s.h.At(k, i)})
		}
	}
	if !s.stated {
		var cov mat.SymDense
		cov.ScaleSym(s.scatter(), s.normal)
		own, err := uncert.FromCovariance([]float64{0, 0}, &cov, id, "scatter of the readings")
		if err != nil {
			return lnG, alpha, err
		}
		for k := range terms {
			terms[k] = append(terms[k], uncert.Term{Value: own[k], Slope: 1})
		}
	}
	if lnG, err = uncert.Combine(s.lnG, terms[0]...); err != nil {
		return lnG, alpha, err
	}
	alpha, err = uncert.Combine(s.alpha, terms[1]...)
	return lnG, alpha, err
}

// scatter is the variance of one residual as the residuals show it, and not
// less than the display's step lets it be.
func (s *solution) scatter() float64 {
	var rss float64
	for _, v := range s.z {
		rss += v.Nominal() * v.Nominal()
	}
	return math.Max(rss/float64(len(s.z)-2), s.floor*s.floor)
}

// residuals returns reading over fit, minus 1.
func (s *solution) residuals() []float64 {
	out := make([]float64, 0, len(s.z))
	for _, z := range s.z {
		out = append(out, math.Expm1(z.Nominal()))
	}
	return out
}
