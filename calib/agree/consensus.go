package agree

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Consensus is the weighted mean of several independent values of one thing
// and the test of whether they are consistent (M.G. Cox, Metrologia 39 (2002)
// 589, procedure A).
type Consensus struct {
	Mean, UMean float64 // unit of the values
	Chi2        float64 // Σ ((x_i − Mean)/u_i)²
	DoF         int     // n − 1
	// P is the probability of a larger Chi2 if all values and uncertainties
	// are right; below 0.05 they are called inconsistent.
	P float64
	// Birge is √(Chi2/DoF): the factor by which the uncertainties would have
	// to grow.
	Birge float64
	// Deviations are x_i − Mean, and En their size in units of twice their
	// standard uncertainty, √(u_i² − UMean²), as x_i is part of the mean.
	Deviations, En []float64
}

// Consistent says whether the values agree within their uncertainties at the
// 5 % level.
func (c Consensus) Consistent() bool { return c.P >= 0.05 }

// ConsensusOf returns the consensus of two or more values x with standard
// uncertainties u. A consistent set does not show that the values are right:
// what they share is invisible to it. It is an error if the lists differ in
// length, there are fewer than two values, a number is not finite or a u is not
// above 0.
func ConsensusOf(x, u []float64) (Consensus, error) {
	if len(x) != len(u) {
		return Consensus{}, fmt.Errorf("consensus: %d values beside %d uncertainties; want as many of each", len(x), len(u))
	}
	if len(x) < 2 {
		return Consensus{}, fmt.Errorf("consensus: %d value; want 2 or more", len(x))
	}
	var weights, sum float64
	w := make([]float64, len(x))
	for i := range x {
		if !finite(x[i]) || !finite(u[i]) || u[i] <= 0 {
			return Consensus{}, fmt.Errorf("consensus: value %d is %v with uncertainty %v; want a finite number and an uncertainty above 0", i+1, x[i], u[i])
		}
		w[i] = 1 / (u[i] * u[i])
		weights += w[i]
		sum += w[i] * x[i]
	}
	c := Consensus{Mean: sum / weights, UMean: 1 / math.Sqrt(weights), DoF: len(x) - 1}
	for i := range x {
		d := x[i] - c.Mean
		c.Chi2 += d / u[i] * d / u[i]
		c.Deviations = append(c.Deviations, d)
		c.En = append(c.En, d/(2*u[i]*math.Sqrt(1-w[i]/weights)))
	}
	c.P = distuv.ChiSquared{K: float64(c.DoF)}.Survival(c.Chi2)
	c.Birge = math.Sqrt(c.Chi2 / float64(c.DoF))
	return c, nil
}
