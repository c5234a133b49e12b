package agree

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/brinemark/brinemark/calib/uncert"
)

// level is the coverage of every interval in this package, and of the limits
// of agreement themselves.
const level = 0.95

// Limits are the limits of agreement of two meters: about 95 % of the
// differences between one reading of each lie between Low and High. Everything
// is in the unit of the differences.
type Limits struct {
	N    int     // samples
	Bias float64 // mean difference
	SD   float64 // standard deviation of the difference of two single readings
	// MeansSD is the standard deviation of the per-sample mean differences.
	// It equals SD where nothing was read more than once.
	MeansSD float64
	Low     float64 // Bias − 1.96 SD
	High    float64 // Bias + 1.96 SD
	// LowInterval and HighInterval cover the true limits with 95 %.
	LowInterval, HighInterval [2]float64
}

// LimitsOfAgreement returns the limits of agreement of paired differences, one
// per sample, in the form of J.M. Bland and D.G. Altman, Lancet i (1986) 307:
// bias ± z s, with z the normal quantile 1.960 and s with n − 1 degrees of
// freedom. It is an error if there are fewer than two differences or one is not
// finite.
//
// The intervals of the limits are those of [LimitsOfReplicates]; for the
// large-sample standard error of the 1986 paper see [Limits.ApproximateSE].
func LimitsOfAgreement(d []float64) (Limits, error) {
	zero := make([][]float64, len(d))
	b := make([][]float64, len(d))
	for i, x := range d {
		zero[i], b[i] = []float64{0}, []float64{x}
	}
	return LimitsOfReplicates(zero, b)
}

// LimitsOfReplicates returns the limits of agreement of b − a for single
// readings where samples were read more than once: a[i] and b[i] are the
// readings of sample i. Averaging hides part of the scatter of one reading, so
// the variance within samples is put back (J.M. Bland, D.G. Altman, Stat.
// Methods Med. Res. 8 (1999) 135, section 5):
//
//	s² = s²(mean differences) + (1 − mean 1/m_a) s²_a + (1 − mean 1/m_b) s²_b
//
// A limit is a quantile of the differences. Without replicates its interval is
// exact, by the noncentral t distribution. With them the intervals of the bias
// and of the variances are combined (G.Y. Zou, Stat. Methods Med. Res. 22 (2013)
// 630), which covers a little more than it claims where samples are few. Neither
// is symmetric: a standard deviation is better bounded from below than from
// above.
//
// It is an error if there are fewer than two samples, the two lists differ in
// length, a sample has no reading, or a reading is not finite.
func LimitsOfReplicates(a, b [][]float64) (Limits, error) {
	d, err := meanDifferences(a, b)
	if err != nil {
		return Limits{}, err
	}
	n := len(d)
	if n < 2 {
		return Limits{}, fmt.Errorf("limits of agreement: %d sample; want 2 or more", n)
	}
	bias, between := stat.MeanVariance(d, nil)
	parts := []variancePart{{weight: 1, variance: between, dof: float64(n - 1)}}
	for _, cells := range [][][]float64{a, b} {
		if p, ok := withinPart(cells); ok {
			parts = append(parts, p)
		}
	}
	z := uncert.CoverageFactor(level, math.Inf(1))
	sd := math.Sqrt(sumOfVariances(parts))
	l := Limits{N: n, Bias: bias, SD: sd, MeansSD: math.Sqrt(between), Low: bias - z*sd, High: bias + z*sd}
	inner, outer := exactReach(n, sd)
	if len(parts) > 1 {
		inner, outer = recoveredReach(parts, math.Sqrt(between/float64(n)), float64(n-1))
	}
	l.LowInterval = [2]float64{bias - outer, bias - inner}
	l.HighInterval = [2]float64{bias + inner, bias + outer}
	return l, nil
}

// exactReach returns how far from the bias the interval of a limit begins and
// ends: (bias − limit) √n / s follows a noncentral t with noncentrality −z √n.
func exactReach(n int, sd float64) (inner, outer float64) {
	root := math.Sqrt(float64(n))
	t := noncentralT{Nu: float64(n - 1), Delta: -uncert.CoverageFactor(level, math.Inf(1)) * root}
	return -sd * t.quantile((1+level)/2) / root, -sd * t.quantile((1-level)/2) / root
}

// recoveredReach is the same from the confidence limits of the bias (standard
// uncertainty u, dof degrees of freedom) and of each variance.
func recoveredReach(parts []variancePart, u, dof float64) (inner, outer float64) {
	z := uncert.CoverageFactor(level, math.Inf(1))
	half := uncert.CoverageFactor(level, dof) * u
	var down, up float64
	for _, p := range parts {
		chi := distuv.ChiSquared{K: p.dof}
		x := p.weight * p.variance
		down += math.Pow(x-x*p.dof/chi.Quantile((1+level)/2), 2)
		up += math.Pow(x*p.dof/chi.Quantile((1-level)/2)-x, 2)
	}
	sum := sumOfVariances(parts)
	sd := math.Sqrt(sum)
	sdLow, sdHigh := math.Sqrt(max(0, sum-math.Sqrt(down))), math.Sqrt(sum+math.Sqrt(up))
	return z*sd - math.Hypot(half, z*(sd-sdLow)), z*sd + math.Hypot(half, z*(sdHigh-sd))
}

// withSD are limits about the same bias for a larger standard deviation, known
// from as many samples.
func (l Limits) withSD(sd float64) Limits {
	z := uncert.CoverageFactor(level, math.Inf(1))
	inner, outer := exactReach(l.N, sd)
	l.SD, l.Low, l.High = sd, l.Bias-z*sd, l.Bias+z*sd
	l.LowInterval, l.HighInterval = [2]float64{l.Bias - outer, l.Bias - inner}, [2]float64{l.Bias + inner, l.Bias + outer}
	return l
}

// ApproximateSE returns the large-sample standard error of either limit,
// √(3 s²/n), as printed in the 1986 paper.
func (l Limits) ApproximateSE() float64 { return math.Sqrt(3*l.SD*l.SD) / math.Sqrt(float64(l.N)) }

// meanDifferences returns the mean of b[i] minus the mean of a[i].
func meanDifferences(a, b [][]float64) ([]float64, error) {
	if len(a) != len(b) {
		return nil, fmt.Errorf("%d samples of one meter beside %d of the other; want as many of each", len(a), len(b))
	}
	d := make([]float64, len(a))
	for i := range a {
		if len(a[i]) == 0 || len(b[i]) == 0 {
			return nil, fmt.Errorf("sample %d: no reading of one of the meters", i+1)
		}
		d[i] = stat.Mean(b[i], nil) - stat.Mean(a[i], nil)
		if !finite(d[i]) {
			return nil, fmt.Errorf("sample %d: a reading is not a finite number", i+1)
		}
	}
	return d, nil
}

// variancePart is one term of a sum of variances, each estimated on its own.
type variancePart struct{ weight, variance, dof float64 }

// withinPart is what averaging took out of the variance of one reading; false
// where nothing was averaged.
func withinPart(cells [][]float64) (variancePart, bool) {
	inverse := 0.0
	for _, c := range cells {
		inverse += 1 / float64(len(c))
	}
	variance, dof := pooledVariance(cells)
	weight := 1 - inverse/float64(len(cells))
	return variancePart{weight: weight, variance: variance, dof: dof}, dof > 0
}

// pooledVariance is the variance of one reading about the mean of its sample,
// pooled over samples, with its degrees of freedom (0 without replicates).
func pooledVariance(cells [][]float64) (variance, dof float64) {
	sum := 0.0
	for _, c := range cells {
		if len(c) > 1 {
			sum += stat.Variance(c, nil) * float64(len(c)-1)
			dof += float64(len(c) - 1)
		}
	}
	if dof == 0 {
		return 0, 0
	}
	return sum / dof, dof
}

// sumOfVariances returns Σ w s².
func sumOfVariances(parts []variancePart) float64 {
	sum := 0.0
	for _, p := range parts {
		sum += p.weight * p.variance
	}
	return sum
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
