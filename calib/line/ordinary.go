package line

import (
	"fmt"
	"math"
)

// Ordinary fits by ordinary least squares of Y on X, every point alike:
//
//	slope     = Sxy/Sxx
//	intercept = mean(Y) - slope*mean(X)
//	s^2       = sum of squared residuals/(n-2)
//	u(slope)  = s/sqrt(Sxx);  u(intercept) = s*sqrt(1/n + mean(X)^2/Sxx)
//
// Covariances, if given, are not used: the uncertainties rest on the scatter, with n - 2 degrees
// of freedom (GUM, JCGM 100:2008, H.3). Three points are the least that leave any; with two the
// line passes through both and Basis is NoBasis.
func Ordinary(p Points) (*Fit, error) {
	if err := p.check(2); err != nil {
		return nil, err
	}
	if err := p.checkSpread(); err != nil {
		return nil, err
	}
	f := newFit(MethodOrdinary, p, 2)
	n := float64(f.N)
	x0, y0 := mean(p.X), mean(p.Y)
	var sxx, sxy float64
	for i := range p.X {
		dx, dy := p.X[i]-x0, p.Y[i]-y0
		sxx += dx * dx
		sxy += dx * dy
	}
	slope := sxy / sxx
	// One refinement by the residuals' own slope restores digits the sums lost.
	var rest float64
	for i := range p.X {
		dx := p.X[i] - x0
		rest += dx * ((p.Y[i] - y0) - slope*dx)
	}
	f.setLine(p, x0, y0, slope+rest/sxx)
	for i, x := range p.X {
		f.Leverage[i] = 1/n + (x-x0)*(x-x0)/sxx
	}
	if f.DoF == 0 {
		f.noCovariance()
		return f.whole()
	}
	f.judgeByScatter(centred{x0: x0, value: y0, va: 1 / n, vb: 1 / sxx})
	f.standardiseByScatter()
	return f.whole()
}

// Gain fits corrected = slope*reading by least squares through zero:
//
//	slope = sum(X*Y)/sum(X^2)
//
// The estimate is the same whether uncertainties are stated or not; their interval is not. Where
// CovY is given (and CovX, if known), the stated covariance V = CovY + slope^2*CovX is carried
// through the estimate, var(slope) = x'Vx/(x'x)^2, and the interval is normal. Otherwise the
// scatter decides, with n - 1 degrees of freedom; one point alone then has no basis.
func Gain(p Points) (*Fit, error) {
	if err := p.check(1); err != nil {
		return nil, err
	}
	f := newFit(MethodGain, p, 1)
	var sxx, sxy float64
	for i := range p.X {
		sxx += p.X[i] * p.X[i]
		sxy += p.X[i] * p.Y[i]
	}
	if sxx == 0 {
		return nil, fmt.Errorf("%w: a gain needs a reading that is not zero", ErrZeroReading)
	}
	slope := sxy / sxx
	var rest float64
	for i := range p.X {
		rest += p.X[i] * math.FMA(-slope, p.X[i], p.Y[i])
	}
	f.setLine(p, 0, 0, slope+rest/sxx)
	if f.N == 1 {
		f.setLine(p, 0, 0, p.Y[0]/p.X[0])
		f.Residuals[0] = 0
	}
	for i, x := range p.X {
		f.Leverage[i] = x * x / sxx
	}
	switch {
	case p.CovY != nil:
		f.Basis = FromStated
		v := combined(p, f.Slope)
		var s float64
		for i := range p.X {
			for j := range p.X {
				s += p.X[i] * v.At(i, j) * p.X[j]
			}
		}
		f.setCovariance(centred{vb: math.Max(0, s) / (sxx * sxx)})
		if w, err := whiten(v); err == nil {
			f.Chi2 = w.square(f.Residuals)
		}
		f.standardiseGain(p.X, sxx, v)
	case f.DoF > 0:
		f.judgeByScatter(centred{vb: 1 / sxx})
		f.standardiseByScatter()
	default:
		f.noCovariance()
	}
	return f.whole()
}

// mean is the arithmetic mean, refined once so that large offsets cost no digits.
func mean(v []float64) float64 {
	var s float64
	for _, x := range v {
		s += x
	}
	m := s / float64(len(v))
	var rest float64
	for _, x := range v {
		rest += x - m
	}
	return m + rest/float64(len(v))
}
