package line

import (
	"fmt"
	"math"
)

// Parameters is what must be kept of a fit to use it later: enough for At, AtU and Inverse with an
// exact value or one of known uncertainty. Figures that are not known are NaN.
type Parameters struct {
	Method                         Method
	N, DoF                         int
	Intercept, Slope               float64
	UIntercept, USlope, Covariance float64
	Basis                          Basis
	ReadingLow, ReadingHigh        float64
}

// Kept returns what must be kept of the fit.
func (f *Fit) Kept() Parameters {
	return Parameters{
		Method: f.Method, N: f.N, DoF: f.DoF, Intercept: f.Intercept, Slope: f.Slope,
		UIntercept: f.UIntercept, USlope: f.USlope, Covariance: f.Covariance, Basis: f.Basis,
		ReadingLow: f.xLow, ReadingHigh: f.xHigh,
	}
}

// Restore makes a fit of kept parameters. It has no points: residuals and what follows from them are
// empty or NaN. Parameters that cannot have come from a fit are an error.
func Restore(p Parameters) (*Fit, error) {
	if _, err := ParseMethod(string(p.Method)); err != nil {
		return nil, err
	}
	for _, v := range []float64{p.Intercept, p.Slope} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("intercept %g, slope %g: %w", p.Intercept, p.Slope, ErrNotFinite)
		}
	}
	parameters := 2
	if p.Method == MethodGain || p.Method == MethodOffset {
		parameters = 1
	}
	f := newFit(p.Method, Points{}, parameters)
	f.N, f.DoF = p.N, p.DoF
	f.xLow, f.xHigh = p.ReadingLow, p.ReadingHigh
	f.Intercept, f.Slope = p.Intercept, p.Slope
	f.centre = centred{value: p.Intercept}
	if p.Basis == NoBasis {
		f.noCovariance()
		return f, nil
	}
	if !(p.UIntercept >= 0 && p.USlope >= 0 && math.Abs(p.Covariance) <= p.UIntercept*p.USlope*(1+1e-9)) ||
		math.IsInf(p.UIntercept+p.USlope, 0) {
		return nil, fmt.Errorf("u(intercept) %g, u(slope) %g, covariance %g: %w", p.UIntercept, p.USlope, p.Covariance, ErrNotPositive)
	}
	if p.Basis == FromScatter && p.DoF < 1 {
		return nil, fmt.Errorf("%d degrees of freedom: a line that rests on scatter has 1 or more", p.DoF)
	}
	f.Basis = p.Basis
	f.UIntercept, f.USlope, f.Covariance = p.UIntercept, p.USlope, p.Covariance
	// Centred where height and slope do not covary, as the fits themselves are.
	c := centred{value: p.Intercept, va: p.UIntercept * p.UIntercept, vb: p.USlope * p.USlope, cab: p.Covariance}
	if c.vb > 0 {
		c.x0 = -p.Covariance / c.vb
		c.value += p.Slope * c.x0
		c.va = math.Max(0, c.va-p.Covariance*p.Covariance/c.vb)
		c.cab = 0
	}
	f.centre = c
	return f, nil
}

// ParseBasis reads the name that Basis.String writes.
func ParseBasis(name string) (Basis, error) {
	for _, b := range []Basis{NoBasis, FromScatter, FromStated} {
		if b.String() == name {
			return b, nil
		}
	}
	return NoBasis, fmt.Errorf("no basis of an uncertainty is called %q; there are scatter, stated and none", name)
}
