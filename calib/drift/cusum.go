package drift

import "math"

// CUSUMPoint is one point of a CUSUM chart.
type CUSUMPoint struct {
	High float64 // sum of what lies above target + slack
	Low  float64 // sum of what lies below target - slack
	Sum  float64 // of all deviations from the target
	Out  bool    // High or Low above the decision limit
}

// CUSUM is the tabular cumulative sum chart of x:
//
//	High(i) = max(0, High(i-1) + x(i) - target - slack)
//	Low(i)  = max(0, Low(i-1) + target - slack - x(i))
//
// and out of control where either exceeds limit (NIST/SEMATECH e-Handbook of
// Statistical Methods, 6.3.2.3). slack and limit are in the unit of x.
func CUSUM(x []float64, target, slack, limit float64) []CUSUMPoint {
	out := make([]CUSUMPoint, len(x))
	var p CUSUMPoint
	for i, xi := range x {
		p.High = math.Max(0, p.High+xi-target-slack)
		p.Low = math.Max(0, p.Low+target-slack-xi)
		p.Sum += xi - target
		p.Out = p.High > limit || p.Low > limit
		out[i] = p
	}
	return out
}
