package drift

import "math"

// EWMAPoint is one point of an EWMA chart.
type EWMAPoint struct {
	Value     float64
	Low, High float64 // control limits
	Out       bool
}

// EWMA is the exponentially weighted moving average chart of x:
//
//	value(i) = lambda x(i) + (1-lambda) value(i-1),  value(0) = target
//
// with the limits target ± width·sigma·sqrt(lambda/(2-lambda)·f), f = 1 for the
// asymptotic limits of the handbook's example (NIST/SEMATECH e-Handbook of
// Statistical Methods, 6.3.2.4) and 1-(1-lambda)^(2i) for exact ones.
func EWMA(x []float64, target, sigma, lambda, width float64, asymptotic bool) []EWMAPoint {
	out := make([]EWMAPoint, len(x))
	value, left := target, 1.0
	for i, xi := range x {
		value = lambda*xi + (1-lambda)*value
		left *= (1 - lambda) * (1 - lambda)
		f := 1 - left
		if asymptotic {
			f = 1
		}
		half := width * sigma * math.Sqrt(lambda/(2-lambda)*f)
		out[i] = EWMAPoint{Value: value, Low: target - half, High: target + half, Out: math.Abs(value-target) > half}
	}
	return out
}
