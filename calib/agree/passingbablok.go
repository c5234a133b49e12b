package agree

import (
	"fmt"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/uncert"
)

// PassingBablok is the distribution-free line y = Intercept + Slope·x with its
// 95 % intervals.
type PassingBablok struct {
	N                                int
	Slope, Intercept                 float64
	SlopeInterval, InterceptInterval [2]float64
	// Slopes is the number of slopes between two points that count, Shift the
	// number of them below −1.
	Slopes, Shift int
}

// FitPassingBablok fits the line of H. Passing and W. Bablok, J. Clin. Chem.
// Clin. Biochem. 21 (1983) 709. The slope is the median of all slopes between
// two points, moved up by the number of slopes below −1, so that the line does
// not depend on which meter is called x. Points that coincide have no slope and
// a slope of exactly −1 does not count; points of equal x have an infinite
// one. The intercept is the median of y − slope·x. The interval of the slope
// takes the ranks
//
//	M1 = round((N − C)/2), M2 = N − M1 + 1, C = z √(n(n−1)(2n+5)/18)
//
// and the interval of the intercept the opposite limits of the slope.
//
// A limit whose rank lies outside the slopes is infinite: so few points bound
// nothing on that side. It is an error if there are fewer than three points,
// the lists differ in length, a number is not finite, or the points define no
// finite slope.
//
// The method assumes that the two meters are positively related, the relation
// is straight, and the ratio of their error variances is the square of the
// slope.
func FitPassingBablok(x, y []float64) (PassingBablok, error) {
	if err := checkPoints("Passing-Bablok regression", x, y, 3); err != nil {
		return PassingBablok{}, err
	}
	slopes := pairSlopes(x, y)
	shift := 0
	for _, s := range slopes {
		if s < -1 {
			shift++
		}
	}
	n, count := len(x), len(slopes)
	slope := math.NaN()
	if count > 0 {
		slope = (rank(slopes, (count-1)/2+shift) + rank(slopes, count/2+shift)) / 2
	}
	if !finite(slope) {
		return PassingBablok{}, fmt.Errorf("Passing-Bablok regression: %w", ErrNoSpread)
	}
	points := float64(n)
	c := uncert.CoverageFactor(level, math.Inf(1)) * math.Sqrt(points*(points-1)*(2*points+5)/18)
	m1 := int(math.Round((float64(count) - c) / 2))
	m2 := count - m1 + 1
	low, high := rank(slopes, m1+shift-1), rank(slopes, m2+shift-1)
	return PassingBablok{
		N: n, Slope: slope, Intercept: medianIntercept(x, y, slope),
		SlopeInterval:     [2]float64{low, high},
		InterceptInterval: [2]float64{interceptLimit(x, y, high, -1), interceptLimit(x, y, low, 1)},
		Slopes:            count, Shift: shift,
	}, nil
}

// pairSlopes returns the sorted slopes between every two points.
func pairSlopes(x, y []float64) []float64 {
	var out []float64
	for i := range x {
		for j := i + 1; j < len(x); j++ {
			dx, dy := x[j]-x[i], y[j]-y[i]
			switch {
			case dx == 0 && dy == 0, dy == -dx:
				continue
			case dx == 0:
				out = append(out, math.Inf(int(math.Copysign(1, dy))))
			default:
				out = append(out, dy/dx)
			}
		}
	}
	slices.Sort(out)
	return out
}

// rank returns the slope at index i; infinite outside the list.
func rank(sorted []float64, i int) float64 {
	switch {
	case i < 0:
		return math.Inf(-1)
	case i >= len(sorted):
		return math.Inf(1)
	}
	return sorted[i]
}

func medianIntercept(x, y []float64, slope float64) float64 {
	r := make([]float64, len(x))
	for i := range x {
		r[i] = y[i] - slope*x[i]
	}
	return median(r)
}

// interceptLimit is the intercept that belongs to a limit of the slope;
// infinite, with the given sign, where that limit is.
func interceptLimit(x, y []float64, slope float64, sign int) float64 {
	if !finite(slope) {
		return math.Inf(sign)
	}
	return medianIntercept(x, y, slope)
}

func median(values []float64) float64 {
	s := slices.Clone(values)
	slices.Sort(s)
	n := len(s)
	if n == 0 {
		return math.NaN()
	}
	return (s[(n-1)/2] + s[n/2]) / 2
}
