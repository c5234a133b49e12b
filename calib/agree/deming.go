package agree

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"

	"github.com/brinemark/brinemark/calib/uncert"
)

// ErrNoSpread reports samples that lie so close together that no line through
// them means anything.
var ErrNoSpread = errors.New("the samples do not spread: a line needs samples of different strength")

// Deming is a line y = Intercept + Slope·x fitted with errors in both
// variables.
type Deming struct {
	N                int
	Slope, Intercept float64
	// USlope and UIntercept are jackknife standard errors with N − 1 degrees
	// of freedom; NaN below four points, where leaving one out leaves no
	// scatter.
	USlope, UIntercept float64
}

// FitDeming fits the line of y on x where both carry errors and lambda is the
// ratio of their variances, var(error of y) / var(error of x); 1 for two meters
// of one kind. With S the mean squares about the means,
//
//	slope = (Syy − λSxx + √((Syy − λSxx)² + 4λSxy²)) / (2Sxy)
//
// (W.E. Deming, Statistical Adjustment of Data, 1943). Standard errors are by
// the jackknife (K. Linnet, Stat. Med. 9 (1990) 1463). It is an error if there
// are fewer than three points, the lists differ in length, lambda is not above
// 0, a number is not finite, or the points define no line.
func FitDeming(x, y []float64, lambda float64) (Deming, error) {
	if err := checkPoints("Deming regression", x, y, 3); err != nil {
		return Deming{}, err
	}
	if !(lambda > 0) || math.IsInf(lambda, 1) {
		return Deming{}, fmt.Errorf("Deming regression: ratio of error variances %v; want a number above 0", lambda)
	}
	slope, intercept, err := demingLine(x, y, lambda)
	if err != nil {
		return Deming{}, err
	}
	fit := Deming{N: len(x), Slope: slope, Intercept: intercept, USlope: math.NaN(), UIntercept: math.NaN()}
	if fit.N >= 4 {
		fit.jackknife(x, y, lambda)
	}
	return fit, nil
}

// Intervals returns the 95 % intervals of slope and intercept (Student's t,
// N − 1 degrees of freedom); NaN where there are no standard errors.
func (d Deming) Intervals() (slope, intercept [2]float64) {
	k := uncert.CoverageFactor(level, float64(d.N-1))
	return [2]float64{d.Slope - k*d.USlope, d.Slope + k*d.USlope},
		[2]float64{d.Intercept - k*d.UIntercept, d.Intercept + k*d.UIntercept}
}

func demingLine(x, y []float64, lambda float64) (slope, intercept float64, err error) {
	mx, sxx := stat.MeanVariance(x, nil)
	my, syy := stat.MeanVariance(y, nil)
	sxy := stat.Covariance(x, y, nil)
	// Below this relative size the products are rounding, not signal.
	const rounding = 1e-12
	if sxx == 0 || math.Abs(sxy) <= rounding*math.Sqrt(sxx*syy) {
		return 0, 0, fmt.Errorf("Deming regression: %w", ErrNoSpread)
	}
	diff := syy - lambda*sxx
	root := math.Hypot(diff, 2*math.Sqrt(lambda)*sxy)
	// Of the two forms of the root the one without cancellation.
	if diff >= 0 {
		slope = (diff + root) / (2 * sxy)
	} else {
		slope = 2 * lambda * sxy / (root - diff)
	}
	return slope, my - slope*mx, nil
}

// jackknife fills the standard errors from the pseudo-values
// n·θ − (n − 1)·θ(without i).
func (d *Deming) jackknife(x, y []float64, lambda float64) {
	n := float64(d.N)
	slopes, intercepts := make([]float64, d.N), make([]float64, d.N)
	for i := range x {
		s, a, err := demingLine(without(x, i), without(y, i), lambda)
		if err != nil {
			return
		}
		slopes[i], intercepts[i] = n*d.Slope-(n-1)*s, n*d.Intercept-(n-1)*a
	}
	d.USlope = stat.StdDev(slopes, nil) / math.Sqrt(n)
	d.UIntercept = stat.StdDev(intercepts, nil) / math.Sqrt(n)
}

func without(x []float64, i int) []float64 {
	out := make([]float64, 0, len(x)-1)
	return append(append(out, x[:i]...), x[i+1:]...)
}

// checkPoints refuses lists of points that no line can be fitted to.
func checkPoints(what string, x, y []float64, least int) error {
	if len(x) != len(y) {
		return fmt.Errorf("%s: %d values of x beside %d of y; want as many of each", what, len(x), len(y))
	}
	if len(x) < least {
		return fmt.Errorf("%s: %d points; want %d or more", what, len(x), least)
	}
	for i := range x {
		if !finite(x[i]) || !finite(y[i]) {
			return fmt.Errorf("%s: point %d is not a pair of finite numbers", what, i+1)
		}
	}
	return nil
}
