package line

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Weighted fits by generalised least squares with the covariance of Y known and X taken as exact
// (ISO/TS 28037:2010, clauses 6 and 9): it minimises r'V^-1 r with V = CovY and r the residuals.
// With a diagonal V that is the weighted line, weights 1/u^2. The parameters' covariance is
// (J'V^-1 J)^-1 with J = [1, X], not scaled by chi-squared. CovX, if given, is not used.
func Weighted(p Points) (*Fit, error) {
	if err := p.check(2); err != nil {
		return nil, err
	}
	if err := p.checkSpread(); err != nil {
		return nil, err
	}
	if p.CovY == nil {
		return nil, fmt.Errorf("%w: a weighted line needs the references' uncertainty", ErrNotStated)
	}
	if allZero(p.CovY) {
		return nil, fmt.Errorf("%w: nothing is measured exactly; leave the figures out to let the scatter decide", ErrAllExact)
	}
	w, err := whiten(p.CovY)
	if err != nil {
		return nil, err
	}
	f := newFit(MethodWeighted, p, 2)
	s := w.step(p.X, p.X, p.Y)
	f.setLine(p, s.x0, s.value, s.slope)
	f.Basis = FromStated
	f.setCovariance(centred{x0: s.x0, value: s.value, va: s.va, vb: s.vb})
	f.Chi2 = w.square(f.Residuals)
	f.standardiseByStated(p.X, p.CovY, w)
	return f.whole()
}

// TwoPoint is the line through two points. With CovY stated, and CovX where it is known, the
// uncertainties are carried through it exactly to first order; without CovY there is no basis for
// an interval, and none is given.
func TwoPoint(p Points) (*Fit, error) {
	if err := p.check(2); err != nil {
		return nil, err
	}
	if n := len(p.X); n > 2 {
		return nil, fmt.Errorf("%w: two-point takes two, there are %d; use line", ErrTooMany, n)
	}
	if err := p.checkSpread(); err != nil {
		return nil, err
	}
	f := newFit(MethodTwoPoint, p, 2)
	slope := (p.Y[1] - p.Y[0]) / (p.X[1] - p.X[0])
	f.setLine(p, p.X[0], p.Y[0], slope)
	f.Residuals[0], f.Residuals[1] = 0, 0
	f.Leverage[0], f.Leverage[1] = 1, 1
	if p.CovY == nil {
		f.noCovariance()
		return f.whole()
	}
	// Height and slope at the first point: d = [1 0; -1/h 1/h] applied to the errors of Y - slope*X.
	v := combined(p, slope)
	h := p.X[1] - p.X[0]
	v00, v01, v11 := v.At(0, 0), v.At(0, 1), v.At(1, 1)
	f.Basis = FromStated
	f.Chi2 = 0
	c := f.centre
	c.va = v00
	c.vb = math.Max(0, v00-2*v01+v11) / (h * h)
	c.cab = (v01 - v00) / h
	f.setCovariance(c)
	return f.whole()
}

// combined is the covariance of Y - slope*X: CovY + slope^2 CovX, a part not stated left out.
func combined(p Points, slope float64) *mat.SymDense {
	n := len(p.X)
	v := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			var s float64
			if p.CovY != nil {
				s = p.CovY.At(i, j)
			}
			if p.CovX != nil {
				s += slope * slope * p.CovX.At(i, j)
			}
			v.SetSym(i, j, s)
		}
	}
	return v
}
