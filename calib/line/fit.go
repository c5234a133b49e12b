package line

import (
	"fmt"
	"math"
)

// Method names a way of fitting. The text is what a person types and what results carry.
type Method string

// The methods of this package.
const (
	MethodGain         Method = "gain"
	MethodTwoPoint     Method = "two-point"
	MethodOrdinary     Method = "line"
	MethodWeighted     Method = "weighted"
	MethodErrorsInBoth Method = "errors-in-both"
	MethodTheilSen     Method = "theil-sen"
	MethodOffset       Method = "offset"
)

// Basis says what the uncertainty of a fit rests on.
type Basis int

const (
	// NoBasis: nothing was stated and the points leave no scatter to judge by.
	NoBasis Basis = iota
	// FromScatter: the residuals, with n - p degrees of freedom and Student's t.
	FromScatter
	// FromStated: the covariances given; normal, not scaled by chi-squared.
	FromStated
)

// String names the basis in the words of a report.
func (b Basis) String() string {
	switch b {
	case FromScatter:
		return "scatter"
	case FromStated:
		return "stated"
	}
	return "none"
}

// Fit is a straight line with what is known about it. Slices have one figure per point, in the
// order given. A figure that is not known is NaN.
type Fit struct {
	Method     Method
	N          int // points
	Parameters int // 1 of a gain or an offset, else 2

	Intercept, Slope float64
	// UIntercept, USlope are standard uncertainties (k = 1), Covariance that of the pair. NaN
	// where Basis is NoBasis.
	UIntercept, USlope, Covariance float64
	Basis                          Basis

	DoF        int     // N - Parameters
	ResidualSD float64 // square root of sum of squared residuals over DoF; NaN where DoF is 0
	// PointSD is the standard deviation of a point that the uncertainties of a fit FromScatter rest on:
	// ResidualSD, unless RaiseScatter raised it. Else NaN.
	PointSD float64
	Chi2    float64 // only where uncertainties were stated, else NaN

	Residuals    []float64 // Y - corrected X
	Leverage     []float64 // diagonal of the hat matrix; sums to Parameters
	Standardised []float64 // residual over its own standard deviation; see diagnose.go
	Flagged      []bool    // points that stand out; they stay in the fit

	// SlopeLow, SlopeHigh bound 95 % for a robust slope (Sen 1968), else NaN.
	SlopeLow, SlopeHigh float64

	// Iterations the fit took; 0 where it is closed.
	Iterations int

	xLow, xHigh float64 // range of the readings
	size        float64 // largest reference, by size
	centre      centred
	unit        centred // of a fit FromScatter: the covariance for a PointSD of 1
}

// centred holds the covariance of (value at x0, slope), where forming variances does not cancel.
type centred struct {
	x0, value   float64
	va, vb, cab float64
}

// setCovariance fills the public figures from the centred ones.
func (f *Fit) setCovariance(c centred) {
	f.centre = c
	f.USlope = math.Sqrt(c.vb)
	if f.Method == MethodGain {
		f.UIntercept, f.Covariance = 0, 0
		return
	}
	f.UIntercept = math.Sqrt(math.Max(0, c.va-2*c.x0*c.cab+c.x0*c.x0*c.vb))
	f.Covariance = c.cab - c.x0*c.vb
}

// noCovariance marks the parameters' uncertainty as not known.
func (f *Fit) noCovariance() {
	f.Basis, f.PointSD = NoBasis, math.NaN()
	f.UIntercept, f.USlope, f.Covariance = math.NaN(), math.NaN(), math.NaN()
	f.centre.va, f.centre.vb, f.centre.cab = math.NaN(), math.NaN(), math.NaN()
}

// Corrected returns intercept + slope*reading.
func (f *Fit) Corrected(reading float64) float64 {
	return f.centre.value + f.Slope*(reading-f.centre.x0)
}

// variance of the line's height at x.
func (f *Fit) variance(x float64) float64 {
	d := x - f.centre.x0
	return math.Max(0, f.centre.va+2*d*f.centre.cab+d*d*f.centre.vb)
}

// CovarianceAt is the covariance of the line's heights at two readings; NaN without a basis.
func (f *Fit) CovarianceAt(a, b float64) float64 {
	da, db := a-f.centre.x0, b-f.centre.x0
	return f.centre.va + (da+db)*f.centre.cab + da*db*f.centre.vb
}

// newFit makes the frame of a result with everything that is not known yet set to NaN.
func newFit(m Method, p Points, parameters int) *Fit {
	n := len(p.X)
	nan := math.NaN()
	f := &Fit{
		Method: m, N: n, Parameters: parameters, DoF: n - parameters,
		UIntercept: nan, USlope: nan, Covariance: nan, ResidualSD: nan, PointSD: nan, Chi2: nan,
		SlopeLow: nan, SlopeHigh: nan,
		Residuals: make([]float64, n), Leverage: filled(n, nan), Standardised: filled(n, nan), Flagged: make([]bool, n),
		xLow: math.Inf(1), xHigh: math.Inf(-1),
	}
	for _, x := range p.X {
		f.xLow, f.xHigh = math.Min(f.xLow, x), math.Max(f.xHigh, x)
	}
	for _, y := range p.Y {
		f.size = math.Max(f.size, math.Abs(y))
	}
	return f
}

// setLine fixes the parameters by the height at x0 and the slope, and computes the residuals.
func (f *Fit) setLine(p Points, x0, value, slope float64) {
	f.centre = centred{x0: x0, value: value}
	f.Slope = slope
	f.Intercept = math.FMA(-slope, x0, value)
	if f.Method == MethodGain {
		f.Intercept = 0
	}
	var rss float64
	for i := range p.X {
		f.Residuals[i] = (p.Y[i] - value) - slope*(p.X[i]-x0)
		rss += f.Residuals[i] * f.Residuals[i]
	}
	if f.DoF > 0 {
		f.ResidualSD = math.Sqrt(rss / float64(f.DoF))
	}
}

// whole returns the fit, or an error where the numbers given were so large or so close that the
// arithmetic left the range of a float64.
func (f *Fit) whole() (*Fit, error) {
	for _, v := range []float64{f.Slope, f.Intercept, f.centre.value} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("%w: the line came out as slope %g, intercept %g; the numbers are too large, or too close together, to compute with", ErrNotFinite, f.Slope, f.Intercept)
		}
	}
	if f.Basis != NoBasis && (math.IsNaN(f.UIntercept+f.USlope+f.Covariance) || math.IsInf(f.UIntercept+f.USlope+f.Covariance, 0)) {
		return nil, fmt.Errorf("%w: the uncertainties came out as %g and %g; the numbers are too large, or too close together, to compute with", ErrNotFinite, f.UIntercept, f.USlope)
	}
	return f, nil
}

func filled(n int, v float64) []float64 {
	s := make([]float64, n)
	for i := range s {
		s[i] = v
	}
	return s
}
