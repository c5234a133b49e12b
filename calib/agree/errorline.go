package agree

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/uncert"
)

// errorLine is a meter's error along the range of its references, in units of
// the tolerance: 1 is an error exactly as large as allowed. A meter's error is
// taken as a zero error plus a gain error,
//
//	error = a + b·ref,   y = error/tolerance(ref) = a/T + b·ref/T
//
// so that it lies within tolerance at every reference exactly when it does at
// the two ends: both the error and its limits are straight in ref.
//
// The points err by their own stated variances, by errors that references of
// one source share, and by a further variance tau2, the same for all in units
// of the tolerance, that covers what nobody stated. Its size makes the weighted
// squares about the line equal to their degrees of freedom (R.C. Paule, J.
// Mandel, J. Res. NBS 87 (1982) 377); it is 0 where the stated ones suffice. A
// rough reference therefore weighs what its uncertainty allows, and no more.
type errorLine struct {
	x      *mat.Dense // rows: points; columns: parameters
	ends   *mat.Dense // the design at the lowest and the highest reference
	y      []float64
	own    []float64   // variance of each point alone
	least  []float64   // the part of it that the last digit leaves open
	shared [][]float64 // one row for each source

	// known says that own holds everything a point's own error comes from, so
	// that no scatter is needed.
	known bool
	// scatterOnly says that nothing of it is: own is least.
	scatterOnly bool
	// repeats is the part of the mean own variance that repetitions showed,
	// with repeatsDoF degrees of freedom.
	repeats, repeatsDoF float64
}

// solution is a fitted errorLine.
type solution struct {
	mean, u [2]float64 // at the two ends, in units of the tolerance
	corr    float64
	dof     float64
	tau2    float64
	chi2    float64
	fitted  []float64
}

var errSingular = errors.New("the references define no line")

// off is the sign of the error that is most significant, at either end; 0 where
// neither differs from none by more than its 95 % interval.
func (s solution) off() int {
	most, sign := uncert.CoverageFactor(level, s.dof), 0
	for i, mean := range s.mean {
		if t := math.Abs(mean) / s.u[i]; t > most {
			most, sign = t, 1
			if mean < 0 {
				sign = -1
			}
		}
	}
	return sign
}

// params is the number of parameters of the line.
func (e *errorLine) params() int { _, p := e.x.Dims(); return p }

// spare is the number of degrees of freedom of the scatter.
func (e *errorLine) spare() int { return len(e.y) - e.params() }

// target is the sum of weighted squares that the further variance is chosen
// for: its mean, the degrees of freedom, or, where a part of the points' own
// variance is unknown, its median, because a further variance of 0 would then
// claim that the unknown part is nothing. With either the 95 % intervals cover
// 94 to 96.5 % in simulation.
func (e *errorLine) target() float64 {
	if e.known || e.scatterOnly {
		return float64(e.spare())
	}
	return distuv.ChiSquared{K: float64(e.spare())}.Quantile(0.5)
}

// solve fits the line, with the further variance that the scatter asks for.
func (e *errorLine) solve() (solution, error) {
	s, err := e.fit(0)
	if err != nil || e.spare() <= 0 || s.chi2 <= e.target() {
		return s, err
	}
	// chi2 falls as tau2 grows: double until it is small enough, then halve in.
	low, high := 0.0, 1e-12
	for range 200 {
		if s, err = e.fit(high); err != nil || s.chi2 <= e.target() {
			break
		}
		low, high = high, 2*high
	}
	for range 60 {
		mid := (low + high) / 2
		if s, err = e.fit(mid); err != nil {
			return s, err
		}
		if s.chi2 > e.target() {
			low = mid
		} else {
			high = mid
		}
	}
	return s, err
}

// fit is generalised least squares with a given further variance.
func (e *errorLine) fit(tau2 float64) (solution, error) {
	n := len(e.y)
	sd := make([]float64, n)
	// Keeps the covariance regular where a point is stated to be exact: a
	// millionth of the tolerance.
	const exact = 1e-12
	for i := range sd {
		sd[i] = math.Sqrt(e.own[i] + tau2 + exact)
	}
	v, err := line.Covariance(sd, e.shared...)
	if err != nil {
		return solution{}, err
	}
	var chol, normal mat.Cholesky
	if !chol.Factorize(v) {
		return solution{}, errSingular
	}
	y := mat.NewVecDense(n, e.y)
	var vx mat.Dense // V⁻¹X
	if err := chol.SolveTo(&vx, e.x); err != nil {
		return solution{}, errSingular
	}
	var information mat.Dense
	information.Mul(e.x.T(), &vx)
	if !normal.Factorize(symmetric(&information)) {
		return solution{}, errSingular
	}
	var right, beta, fitted, residual, weighted mat.VecDense
	right.MulVec(vx.T(), y)
	if err := normal.SolveVecTo(&beta, &right); err != nil {
		return solution{}, errSingular
	}
	fitted.MulVec(e.x, &beta)
	residual.SubVec(y, &fitted)
	if err := chol.SolveVecTo(&weighted, &residual); err != nil {
		return solution{}, errSingular
	}
	s := solution{tau2: tau2, chi2: mat.Dot(&residual, &weighted), dof: e.dof(tau2), fitted: fitted.RawVector().Data}
	return s, e.toEnds(&s, &beta, &normal)
}

// toEnds fills in the error at the two ends.
func (e *errorLine) toEnds(s *solution, beta *mat.VecDense, normal *mat.Cholesky) error {
	var mean mat.VecDense
	mean.MulVec(e.ends, beta)
	var solved, cov mat.Dense
	if err := normal.SolveTo(&solved, e.ends.T()); err != nil {
		return errSingular
	}
	cov.Mul(e.ends, &solved)
	s.mean = [2]float64{mean.AtVec(0), mean.AtVec(1)}
	s.u = [2]float64{math.Sqrt(max(0, cov.At(0, 0))), math.Sqrt(max(0, cov.At(1, 1)))}
	s.corr = 1
	if s.u[0] > 0 && s.u[1] > 0 {
		s.corr = max(-1, min(1, cov.At(0, 1)/(s.u[0]*s.u[1])))
	}
	return nil
}

// dof combines the degrees of freedom of the parts of a point's variance
// (Welch–Satterthwaite): what is stated has infinitely many.
func (e *errorLine) dof(tau2 float64) float64 {
	mean := 0.0
	for _, v := range e.own {
		mean += v / float64(len(e.own))
	}
	estimated := tau2
	if e.scatterOnly {
		estimated += mean
	}
	sum := 0.0
	if estimated > 0 && e.spare() > 0 {
		sum += estimated * estimated / float64(e.spare())
	}
	if e.repeatsDoF > 0 {
		sum += e.repeats * e.repeats / e.repeatsDoF
	}
	if sum == 0 {
		return math.Inf(1)
	}
	return (mean + tau2) * (mean + tau2) / sum
}

// symmetric copies a matrix that is symmetric up to rounding.
func symmetric(m *mat.Dense) *mat.SymDense {
	n, _ := m.Dims()
	s := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s.SetSym(i, j, (m.At(i, j)+m.At(j, i))/2)
		}
	}
	return s
}
