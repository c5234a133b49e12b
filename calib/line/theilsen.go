package line

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// TheilSen fits the median of the slopes of all pairs of points with different readings, and the
// median of Y - slope*X as the intercept (P.K. Sen, JASA 63 (1968) 1379). One wild point in four
// or so leaves it unmoved, which makes it a look at outliers rather than a calibration: it gives
// limits for the slope (SlopeLow, SlopeHigh) but no interval about the line, and Basis is NoBasis.
func TheilSen(p Points) (*Fit, error) {
	if err := p.check(3); err != nil {
		return nil, err
	}
	if err := p.checkSpread(); err != nil {
		return nil, err
	}
	slopes := pairSlopes(p)
	f := newFit(MethodTheilSen, p, 2)
	slope := median(slopes)
	rest := make([]float64, f.N)
	for i := range rest {
		rest[i] = (p.Y[i] - p.Y[0]) - slope*(p.X[i]-p.X[0])
	}
	f.setLine(p, p.X[0], p.Y[0]+median(rest), slope)
	f.noCovariance()
	f.SlopeLow, f.SlopeHigh, _ = senLimits(slopes, f.N, Level)
	f.standardiseRobustly()
	return f.whole()
}

// SenLimits bounds the slope at (at least) the given level by the order statistics of the pairwise
// slopes, from the null distribution of Kendall's S: exact up to 30 points without equal readings,
// normal beyond. The reached level is returned; with few points none below 1 may exist, which is
// an error.
func SenLimits(p Points, level float64) (low, high, reached float64, err error) {
	if err := p.check(3); err != nil {
		return 0, 0, 0, err
	}
	if err := p.checkSpread(); err != nil {
		return 0, 0, 0, err
	}
	if !(level > 0 && level < 1) {
		return 0, 0, 0, fmt.Errorf("coverage level %g: must lie between 0 and 1", level)
	}
	low, high, reached = senLimits(pairSlopes(p), len(p.X), level)
	if math.IsNaN(low) {
		return low, high, reached, fmt.Errorf("%w: %d points cannot bound a slope at %g %%", ErrTooFew, len(p.X), 100*level)
	}
	return low, high, reached, nil
}

func pairSlopes(p Points) []float64 {
	var slopes []float64
	for i := range p.X {
		for j := i + 1; j < len(p.X); j++ {
			if p.X[i] != p.X[j] {
				slopes = append(slopes, (p.Y[j]-p.Y[i])/(p.X[j]-p.X[i]))
			}
		}
	}
	slices.Sort(slopes)
	return slopes
}

// exactKendall is the largest number of points for which Kendall's distribution is counted out.
const exactKendall = 30

// senLimits takes the widest-ranked symmetric pair of order statistics whose level is at least as
// asked: with N slopes, the M-th from each end covers P(M <= Q <= N-M), Q the number of slopes
// below the true one.
func senLimits(sorted []float64, n int, level float64) (low, high, reached float64) {
	total := len(sorted)
	if n > exactKendall || total != n*(n-1)/2 {
		// Normal approximation: var(S) = n(n-1)(2n+5)/18, S = N - 2Q.
		sd := math.Sqrt(float64(n*(n-1)*(2*n+5)) / 18)
		m := int(math.Floor((float64(total) - distuv.UnitNormal.Quantile((1+level)/2)*sd) / 2))
		if m < 1 {
			return math.NaN(), math.NaN(), math.NaN()
		}
		return sorted[m-1], sorted[total-m], level
	}
	count := inversions(n)
	var all, tail float64
	for _, c := range count {
		all += c
	}
	low, high, reached = math.NaN(), math.NaN(), math.NaN()
	for m := 1; 2*m <= total; m++ {
		tail += count[m-1] // Q <= m-1
		got := 1 - 2*tail/all
		if got < level {
			break
		}
		low, high, reached = sorted[m-1], sorted[total-m], got
	}
	return low, high, reached
}

// inversions counts the permutations of n things by their number of inversions.
func inversions(n int) []float64 {
	count := []float64{1}
	for k := 2; k <= n; k++ {
		next := make([]float64, len(count)+k-1)
		for i, c := range count {
			for j := range k {
				next[i+j] += c
			}
		}
		count = next
	}
	return count
}
