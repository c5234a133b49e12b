package line

import (
	"fmt"
	"math"
)

const (
	// maxIterations bounds one run of the errors-in-both iteration; Pearson's data take about ten.
	maxIterations = 500
	// settled is the relative change of the slope at which the iteration ends.
	settled = 1e-14
)

// ErrorsInBoth fits with the covariances of readings and references both known (generalised
// distance regression, ISO/TS 28037:2010, clauses 7 and 10). It minimises over the line and the
// true readings xi
//
//	(X-xi)'CovX^-1(X-xi) + (Y-eta)'CovY^-1(Y-eta),   eta = intercept + slope*xi
//
// which, for a given slope b, equals r'W^-1 r with r = Y - a - b X and W = CovY + b^2 CovX. At the
// minimum the residuals are orthogonal, in W^-1, to a constant and to the adjusted readings
// xi = X + b CovX W^-1 r; solving those two equations for the line and repeating is the iteration
// of York (1966, 2004) carried over to full covariances. Neither CovX nor CovY need be regular by
// itself, only W.
//
// The parameters' covariance is (J'W^-1 J)^-1 with J = [1, xi] at the adjusted points (D. York et
// al., Am. J. Phys. 72 (2004) 367; the same as Gauss-Newton), not scaled by chi-squared.
//
// An iteration begun far off can settle on another stationary point: it is started from ordinary
// least squares of Y on X and again of X on Y, and the smaller minimum is kept.
func ErrorsInBoth(p Points) (*Fit, error) {
	if err := p.check(2); err != nil {
		return nil, err
	}
	if err := p.checkSpread(); err != nil {
		return nil, err
	}
	switch {
	case p.CovY == nil:
		return nil, fmt.Errorf("%w: errors in both needs the references' uncertainty", ErrNotStated)
	case p.CovX == nil:
		return nil, fmt.Errorf("%w: errors in both needs the readings' uncertainty", ErrNotStated)
	case allZero(p.CovX) && allZero(p.CovY):
		return nil, fmt.Errorf("%w: nothing is measured exactly; leave the figures out to let the scatter decide", ErrAllExact)
	}
	first, second := startingSlopes(p)
	best, err := iterate(p, first)
	if second != first && !math.IsInf(second, 0) {
		if other, otherErr := iterate(p, second); otherErr == nil && (err != nil || other.chi2 < best.chi2*(1-1e-9)) {
			best, err = other, nil
		}
	}
	if err != nil {
		return nil, err
	}
	f := newFit(MethodErrorsInBoth, p, 2)
	f.Iterations = best.iterations
	// The line passes through (x0, value) of the last step; its covariance is centred there too.
	f.setLine(p, best.x0, best.value, best.slope)
	f.Basis = FromStated
	f.setCovariance(centred{x0: best.x0, value: best.value, va: best.va, vb: best.vb})
	f.Chi2 = best.chi2
	f.standardiseByStated(best.xi, combined(p, best.slope), best.w)
	return f.whole()
}

// minimum is where one run of the iteration ended.
type minimum struct {
	glsStep
	chi2       float64
	xi         []float64
	w          whitener
	iterations int
}

// startingSlopes are ordinary least squares both ways round.
func startingSlopes(p Points) (yOnX, xOnY float64) {
	x0, y0 := mean(p.X), mean(p.Y)
	var sxx, sxy, syy float64
	for i := range p.X {
		dx, dy := p.X[i]-x0, p.Y[i]-y0
		sxx, sxy, syy = sxx+dx*dx, sxy+dx*dy, syy+dy*dy
	}
	return sxy / sxx, syy / sxy
}

// iterate runs York's iteration from a slope until it no longer moves. A step that would raise
// chi-squared is halved.
func iterate(p Points, slope float64) (minimum, error) {
	here, err := profile(p, slope)
	if err != nil {
		return here, err
	}
	for k := 1; k <= maxIterations; k++ {
		here.iterations = k
		s := here.w.step(here.xi, p.X, p.Y)
		target := s.slope
		if math.IsNaN(target) || math.IsInf(target, 0) {
			return here, fmt.Errorf("%w: the points do not define a slope", ErrNoConverge)
		}
		change := target - here.slope
		if math.Abs(change) <= settled*math.Abs(target) {
			s.slope = target
			here.glsStep = s
			return here, nil
		}
		next, err := profile(p, target)
		for half := 0; half < 40 && (err != nil || next.chi2 > here.chi2*(1+1e-12)+1e-300); half++ {
			change /= 2
			next, err = profile(p, here.slope+change)
		}
		if err != nil {
			return here, err
		}
		if next.slope == here.slope || (next.chi2 >= here.chi2 && math.Abs(change) <= 1e-11*math.Abs(here.slope)) {
			// Rounding has the last word: the minimum is flat to the last digits.
			here.glsStep = here.w.step(here.xi, p.X, p.Y)
			return here, nil
		}
		here = next
	}
	return here, fmt.Errorf("%w after %d steps: the uncertainties are too large beside the spread of the points", ErrNoConverge, maxIterations)
}

// profile finds, for a given slope, the best intercept, chi-squared and the adjusted readings.
func profile(p Points, slope float64) (minimum, error) {
	m := minimum{glsStep: glsStep{slope: slope}}
	w, err := whiten(combined(p, slope))
	if err != nil {
		return m, err
	}
	m.w = w
	n := len(p.X)
	weight := w.solve(filled(n, 1))
	var total, height float64
	// Residuals of Y - slope*X about its weighted mean, formed about the first point to keep digits.
	d := make([]float64, n)
	for i := range p.X {
		d[i] = (p.Y[i] - p.Y[0]) - slope*(p.X[i]-p.X[0])
		total += weight[i]
		height += weight[i] * d[i]
	}
	height /= total
	for i := range d {
		d[i] -= height
	}
	q := w.solve(d)
	m.chi2 = dot(d, q)
	m.xi = make([]float64, n)
	for i := range n {
		var s float64
		for j := range n {
			s += p.CovX.At(i, j) * q[j]
		}
		m.xi[i] = p.X[i] + slope*s
	}
	return m, nil
}
