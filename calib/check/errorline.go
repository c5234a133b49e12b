package check

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/quantity"
)

// errorLine takes the meter's error for what a meter has: a zero error and a gain error,
//
//	error = a + b ref
//
// fitted to the errors found by generalised least squares with all that is known of them, the shared
// parts included. What many references say together is then better known than what each says by
// itself, and another reference never makes the verdict less sure. With as many references as
// parameters it is the errors themselves.
type errorLine struct {
	refs        []float64
	centre      float64
	solve       *mat.Dense // parameters from errors: (J'V^-1 J)^-1 J'V^-1
	chi2, limit float64    // limit bounds 95 % of sound lines
}

// contradiction is the chance that a sound line is taken for a bent one.
const contradiction = 0.05

// exactPart, as a part of the tolerance, stands for no uncertainty of its own: it keeps the covariance
// regular where a point is stated to be exact.
const exactPart = 1e-6

// errorLineOf fits the line; nil where there are no more errors than parameters, or they define none.
func errorLineOf(j conformity.Joint, refs []float64) *errorLine {
	n, parameters := len(refs), min(2, distinct(refs))
	if n <= parameters {
		return nil
	}
	e := &errorLine{refs: refs}
	sd := make([]float64, n)
	for i := range sd {
		sd[i] = math.Hypot(math.Hypot(orZero(j.Own, i), orZero(j.Scatter, i)), exactPart*j.Limits[i].High)
		e.centre += refs[i] / float64(n)
	}
	v, err := line.Covariance(sd, j.Shared...)
	if err != nil {
		return nil
	}
	var chol mat.Cholesky
	if !chol.Factorize(v) {
		return nil
	}
	design := e.design(refs, parameters)
	var vj, information, residual, weighted mat.Dense
	if chol.SolveTo(&vj, design) != nil {
		return nil
	}
	information.Mul(design.T(), &vj)
	e.solve = new(mat.Dense)
	if e.solve.Solve(&information, vj.T()) != nil {
		return nil
	}
	y := mat.NewDense(n, 1, append([]float64(nil), j.Value...))
	var beta mat.Dense
	beta.Mul(e.solve, y)
	residual.Mul(design, &beta)
	residual.Sub(y, &residual)
	if chol.SolveTo(&weighted, &residual) != nil {
		return nil
	}
	for i := range n {
		e.chi2 += residual.At(i, 0) * weighted.At(i, 0)
	}
	spare := float64(n - parameters)
	e.limit = distuv.ChiSquared{K: spare}.Quantile(1 - contradiction)
	if j.Scatter != nil {
		e.limit = spare * distuv.F{D1: spare, D2: j.DoF}.Quantile(1-contradiction)
	}
	return e
}

// design has a row for each reference.
func (e *errorLine) design(refs []float64, parameters int) *mat.Dense {
	d := mat.NewDense(len(refs), parameters, nil)
	for i, ref := range refs {
		d.Set(i, 0, 1)
		if parameters > 1 {
			d.Set(i, 1, ref-e.centre)
		}
	}
	return d
}

// contradicted tells that the errors lie off the line by more than their doubt explains.
func (e *errorLine) contradicted() bool { return e != nil && !(e.chi2 <= e.limit) }

// judged are the references that decide, and the weights of the errors found in the errors there. A
// tolerance and the error are both straight in the reference, so that the outermost decide for all
// between them, unless a tolerance in percent has its zero there.
func (e *errorLine) judged(t *quantity.Tolerance) (at []float64, weights *mat.Dense) {
	low, high := e.refs[0], e.refs[0]
	for _, ref := range e.refs {
		low, high = math.Min(low, ref), math.Max(high, ref)
	}
	at = []float64{low, high}
	switch {
	case low == high:
		at = at[:1]
	case t.Relative && low < 0 && high > 0:
		at = slices.Compact(slices.Sorted(slices.Values(e.refs)))
	}
	parameters, _ := e.solve.Dims()
	weights = new(mat.Dense)
	weights.Mul(e.design(at, parameters), e.solve)
	return at, weights
}

// joint is the errors of the line at some references, from those found.
func (e *errorLine) joint(found conformity.Joint, at []float64, weights *mat.Dense, t *quantity.Tolerance) conformity.Joint {
	j := conformity.Joint{DoF: found.DoF}
	for i, ref := range at {
		var v float64
		for k, y := range found.Value {
			v += weights.At(i, k) * y
		}
		j.Value = append(j.Value, v)
		j.Limits = append(j.Limits, conformity.Around(t.At(ref)))
	}
	j.Own, j.Shared = carry(at, weights, found.Own, found.Shared)
	if found.Scatter != nil {
		j.Scatter, j.SharedScatter = carry(at, weights, found.Scatter, nil)
	}
	return j
}

// carry brings errors to the line: as what the values have in common, and what is left to each.
func carry(at []float64, weights *mat.Dense, own []float64, shared [][]float64) (rest []float64, common [][]float64) {
	m, n := weights.Dims()
	var rows [][]float64 // one for each independent error: what it does to each value
	for k := range n {
		rows = append(rows, scaledColumn(weights, k, orZero(own, k)))
	}
	for _, s := range shared {
		row := make([]float64, m)
		for i := range m {
			for k := range n {
				row[i] += weights.At(i, k) * s[k]
			}
		}
		rows = append(rows, row)
	}
	cov := func(a, b int) float64 {
		var sum float64
		for _, row := range rows {
			sum += row[a] * row[b]
		}
		return sum
	}
	// The values are a line's: its first and last hold all there is.
	last := m - 1
	first, add := commonAndRest(cov(0, 0), cov(0, last), cov(last, last))
	rest = make([]float64, m)
	switch m {
	case 1:
		rest[0] = math.Sqrt(cov(0, 0))
		return rest, nil
	case 2:
		rest[1] = add
		return rest, [][]float64{first}
	}
	common = [][]float64{make([]float64, m), make([]float64, m)}
	for i := range m {
		part := (at[i] - at[0]) / (at[last] - at[0])
		common[0][i] = first[0]*(1-part) + first[1]*part
		common[1][i] = add * part
	}
	return rest, common
}

func scaledColumn(m *mat.Dense, k int, by float64) []float64 {
	rows, _ := m.Dims()
	out := make([]float64, rows)
	for i := range out {
		out[i] = by * m.At(i, k)
	}
	return out
}

// commonAndRest splits the covariance of two values (Cholesky): an error that both have, and what the
// second adds.
func commonAndRest(v00, v01, v11 float64) (common []float64, rest float64) {
	first, second := math.Sqrt(v00), 0.0
	if first > 0 {
		second = v01 / first
	}
	return []float64{first, second}, math.Sqrt(math.Max(0, v11-second*second))
}
