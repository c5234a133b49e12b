package electrode

import (
	"errors"
	"fmt"
	"hash/fnv"
	"math"

	"gonum.org/v1/gonum/mat"

	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/scatter"
	"github.com/brinemark/brinemark/calib/uncert"
)

// level is the coverage probability of every interval of this package.
const level = 0.95

// fitRows fits y = a + b·x: through two points exactly, by generalised
// distance regression where every uncertainty is stated, by ordinary least
// squares where some is not.
func fitRows(rows []row) (fitted, []string, error) {
	var warnings []string
	p, stated := points(rows)
	if constant(p.Y) {
		// No fit is needed to see it, and none has anything to work on.
		unknown := uncert.Source{ID: identity(rows), Label: "buffers and readings"}
		return fitted{a: uncert.Unstated(p.Y[0], unknown), b: uncert.Unstated(0, unknown), basis: line.NoBasis, dof: math.Inf(1), id: unknown.ID, still: true},
			[]string{"the reading is the same in every buffer"}, nil
	}
	var (
		f   *line.Fit
		err error
	)
	switch exact := stated && zero(p.CovX) && zero(p.CovY); {
	case len(rows) == 2:
		f, err = line.TwoPoint(p)
	case !stated:
		f, err = line.Ordinary(p)
	case exact:
		warnings = append(warnings, "every point is stated as exact; the intervals rest on the scatter instead")
		f, err = line.Ordinary(p)
	default:
		f, err = line.ErrorsInBoth(p)
		if errors.Is(err, line.ErrNotPositive) {
			return fitted{}, nil, fmt.Errorf("%w beside what all points share; give each reading the uncertainty of its display or repeatability: %w", ErrNoOwnErrors, err)
		}
	}
	if err != nil {
		return fitted{}, nil, err
	}
	out, err := fromLine(rows, f)
	return out, warnings, err
}

// points turns the rows into numbers and covariances; the latter are nil where
// some part is not stated.
func points(rows []row) (p line.Points, stated bool) {
	n := len(rows)
	covX, covY := mat.NewSymDense(n, nil), mat.NewSymDense(n, nil)
	stated = true
	for i, r := range rows {
		p.X, p.Y = append(p.X, r.x.Nominal()), append(p.Y, r.y.Nominal())
		stated = stated && !r.unstated()
		for j := range i + 1 {
			covX.SetSym(i, j, uncert.Cov(r.x, rows[j].x))
			covY.SetSym(i, j, uncert.Cov(r.y, rows[j].y))
		}
	}
	if stated {
		p.CovX, p.CovY = covX, covY
	}
	return p, stated
}

func constant(x []float64) bool {
	for _, v := range x {
		if v != x[0] {
			return false
		}
	}
	return true
}

func zero(c mat.Symmetric) bool {
	for i := range c.SymmetricDim() {
		if c.At(i, i) != 0 {
			return false
		}
	}
	return true
}

// fromLine keeps intercept and slope as a correlated pair of values. Their
// sensitivities to the points are the rows of H = (J'W⁻¹J)⁻¹ J'W⁻¹ with
// J = [1, x] (x adjusted where both err) and W the covariance of z = y − b x (for an ordinary line W is the
// identity, for two points H is J⁻¹), so that the sources of buffers, readings
// and thermometer stay named and meet those of a later reading.
func fromLine(rows []row, f *line.Fit) (fitted, error) {
	out := fitted{basis: f.Basis, dof: math.Inf(1), id: identity(rows)}
	if f.Basis == line.NoBasis {
		unknown := uncert.Source{ID: out.id, Label: "buffers and readings"}
		out.a, out.b = uncert.Unstated(f.Intercept, unknown), uncert.Unstated(f.Slope, unknown)
		return out, nil
	}
	z := make([]uncert.Value, len(rows))
	for i, r := range rows {
		z[i] = r.y.Sub(r.x.Scale(f.Slope))
	}
	if f.Basis == line.FromScatter {
		// What is a point's own shows in the scatter already.
		z = scatter.SharedOnly(z)
	}
	h, err := sensitivities(rows, z, f)
	if err != nil {
		return out, err
	}
	terms := make([][]uncert.Term, 2)
	for i := range z {
		for k := range terms {
			terms[k] = append(terms[k], uncert.Term{Value: z[i], Slope: h.At(k, i)})
		}
	}
	switch {
	case f.Basis == line.FromScatter:
		out.dof = float64(f.DoF)
		cov := mat.NewSymDense(2, []float64{
			f.UIntercept * f.UIntercept, f.Covariance,
			f.Covariance, f.USlope * f.USlope,
		})
		own, err := uncert.FromCovariance([]float64{0, 0}, cov, out.id, "scatter of the points")
		if err != nil {
			return out, err
		}
		for k := range terms {
			terms[k] = append(terms[k], uncert.Term{Value: own[k], Slope: 1})
		}
	case f.DoF > 0:
		chi2 := f.Chi2
		out.chi2 = &chi2
	}
	if out.a, err = uncert.Combine(f.Intercept, terms[0]...); err != nil {
		return out, err
	}
	out.b, err = uncert.Combine(f.Slope, terms[1]...)
	return out, err
}

// sensitivities is H of [fromLine].
func sensitivities(rows []row, z []uncert.Value, f *line.Fit) (*mat.Dense, error) {
	n := len(rows)
	w := mat.NewSymDense(n, nil)
	for i := range rows {
		w.SetSym(i, i, 1)
		for k := 0; f.Method == line.MethodErrorsInBoth && k <= i; k++ {
			w.SetSym(i, k, uncert.Cov(z[i], z[k]))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(w) {
		return nil, ErrNoOwnErrors
	}
	j := mat.NewDense(n, 2, nil)
	for i, x := range adjusted(rows, f, &chol) {
		j.SetRow(i, []float64{1, x})
	}
	var wj, jwj, h mat.Dense
	if err := chol.SolveTo(&wj, j); err != nil {
		return nil, fmt.Errorf("covariance of the points: %w", err)
	}
	jwj.Mul(j.T(), &wj)
	if err := h.Solve(&jwj, wj.T()); err != nil {
		return nil, fmt.Errorf("buffers do not define a line: %w", err)
	}
	return &h, nil
}

// adjusted are the x of the points moved onto the line as their uncertainties ask, xi = x + b CovX
// W⁻¹ r (D. York et al., Am. J. Phys. 72 (2004) 367), where the fit took errors in both; else x.
func adjusted(rows []row, f *line.Fit, w *mat.Cholesky) []float64 {
	xi := make([]float64, len(rows))
	for i, r := range rows {
		xi[i] = r.x.Nominal()
	}
	var q mat.VecDense
	if f.Method != line.MethodErrorsInBoth || w.SolveVecTo(&q, mat.NewVecDense(len(rows), f.Residuals)) != nil {
		return xi
	}
	for i := range rows {
		for k := range rows {
			xi[i] += f.Slope * uncert.Cov(rows[i].x, rows[k].x) * q.AtVec(k)
		}
	}
	return xi
}

// identity names the errors of one calibration, so that those of two
// calibrations are not taken for the same.
func identity(rows []row) string {
	h := fnv.New64a()
	for _, r := range rows {
		fmt.Fprintf(h, "%v %v %v;", r.ph.Nominal(), r.reading.Nominal(), r.tempC)
	}
	return fmt.Sprintf("electrode:%016x", h.Sum64())
}

// estimate turns a value computed from the line into a figure with its
// interval.
func (f fitted) estimate(v uncert.Value) Estimate {
	return scatter.Fit{ID: f.id, DoF: f.dof}.Estimate(v, level)
}
