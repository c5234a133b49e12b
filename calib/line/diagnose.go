package line

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/brinemark/brinemark/calib/uncert"
)

// flagRisk is the chance, for a whole set of sound points, that any is flagged. It is shared among
// the points (Bonferroni), so that one point in twenty is not flagged as a matter of course.
const flagRisk = 0.05

// robustFlag is the modified z-score beyond which a point of a robust line is flagged (Iglewicz and
// Hoaglin, How to Detect and Handle Outliers, 1993; from memory).
const robustFlag = 3.5

// madScale makes the median absolute deviation estimate a normal standard deviation: 1/Phi^-1(3/4).
const madScale = 1.482602218505602

// standardiseByScatter divides each residual by s*sqrt(1-h) (internal studentising). For flagging,
// the point is judged against a scatter estimated without it (external studentising), t with
// DoF - 1 degrees of freedom; with DoF 1 there is nothing left to judge by and nothing is flagged.
func (f *Fit) standardiseByScatter() {
	nu, limit := float64(f.DoF), math.Inf(1)
	if f.DoF >= 2 {
		limit = uncert.CoverageFactor(1-flagRisk/float64(f.N), nu-1)
	}
	for i, r := range f.Residuals {
		rest := 1 - f.Leverage[i]
		if f.Exact() || rest < 1e-12 {
			continue
		}
		z := r / (f.ResidualSD * math.Sqrt(rest))
		f.Standardised[i] = z
		if f.DoF < 2 {
			continue
		}
		left := nu - z*z
		if left <= 0 {
			f.Flagged[i] = true // all the scatter is this point
			continue
		}
		t := z * math.Sqrt((nu-1)/left)
		f.Flagged[i] = math.Abs(t) > limit
	}
}

// standardiseByStated divides each residual by its standard deviation under the stated
// covariance, diag(V - J C J'), and flags against the normal distribution. xi are the (adjusted)
// readings of the design, w the factor of v.
func (f *Fit) standardiseByStated(xi []float64, v mat.Symmetric, w whitener) {
	n := f.N
	one, g := make([]float64, n), make([]float64, n)
	for i := range n {
		one[i], g[i] = 1, xi[i]-f.centre.x0
	}
	vOne, vG := w.solve(one), w.solve(g)
	for i := range n {
		fitted := f.centre.va + g[i]*g[i]*f.centre.vb
		f.Leverage[i] = f.centre.va*vOne[i] + f.centre.vb*g[i]*vG[i]
		f.judge(i, v.At(i, i), fitted)
	}
}

// standardiseGain does the same for a line through zero fitted by plain least squares, whose
// residuals have the covariance (1-H)V(1-H).
func (f *Fit) standardiseGain(x []float64, sxx float64, v mat.Symmetric) {
	n := f.N
	vx := make([]float64, n)
	var xvx float64
	for i := range n {
		for j := range n {
			vx[i] += v.At(i, j) * x[j]
		}
	}
	xvx = dot(x, vx)
	for i := range n {
		f.judge(i, v.At(i, i), 2*x[i]*vx[i]/sxx-x[i]*x[i]*xvx/(sxx*sxx))
	}
}

// judge standardises residual i by the variance total - fitted and flags it.
func (f *Fit) judge(i int, total, fitted float64) {
	if f.DoF == 0 {
		return
	}
	if rest := total - fitted; rest > 1e-12*total {
		f.Standardised[i] = f.Residuals[i] / math.Sqrt(rest)
		f.Flagged[i] = math.Abs(f.Standardised[i]) > distuv.UnitNormal.Quantile(1-flagRisk/(2*float64(f.N)))
	}
}

// standardiseRobustly uses the median absolute deviation of the residuals.
func (f *Fit) standardiseRobustly() {
	dev := make([]float64, f.N)
	for i, r := range f.Residuals {
		dev[i] = math.Abs(r)
	}
	scale := madScale * median(dev)
	for i, r := range f.Residuals {
		if scale > exactScatter*f.size {
			f.Standardised[i] = r / scale
			f.Flagged[i] = math.Abs(f.Standardised[i]) > robustFlag
		}
	}
}

// Consistent tells whether the points scatter no more than their stated uncertainties explain:
// chi-squared at or below the 95 % quantile for its degrees of freedom (ISO/TS 28037:2010, clause
// 6.3). ok is false where there is no chi-squared or no degree of freedom to judge by.
func (f *Fit) Consistent() (consistent bool, limit float64, ok bool) {
	if math.IsNaN(f.Chi2) || f.DoF < 1 {
		return false, math.NaN(), false
	}
	limit = distuv.ChiSquared{K: float64(f.DoF)}.Quantile(0.95)
	return f.Chi2 <= limit, limit, true
}

// median returns the middle value, the mean of the two middle ones for an even count.
func median(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return s[n/2-1] + (s[n/2]-s[n/2-1])/2
}
