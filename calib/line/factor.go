package line

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/integrate/quad"

	"github.com/brinemark/brinemark/calib/uncert"
)

// factor is the coverage factor of a line's variance beside a perfectly known one. The sum of an
// error t*sqrt(vLine) and a normal one has no closed quantile; it is found on its distribution.
// (Welch-Satterthwaite takes the degrees of freedom of the sum from the very estimate that may be
// too small by chance: at one degree of freedom it covers 88 % for 95 %.)
func (f *Fit) factor(level, vLine, vKnown float64) float64 {
	dof := f.intervalDoF()
	switch {
	case math.IsInf(dof, 1) || vLine == 0:
		return uncert.CoverageFactor(level, math.Inf(1))
	case vKnown == 0:
		return uncert.CoverageFactor(level, dof)
	}
	return mixedFactor(level, dof, vLine/(vLine+vKnown))
}

// mixedFactor solves P(|sqrt(part)*t + sqrt(1-part)*z| <= k) = level for k, with t Student's with
// dof degrees of freedom and z normal. Given the scale q = sqrt(chi2/dof) of t the sum is normal
// with variance part/q^2 + 1 - part, so
//
//	P = integral of density(q) * erf(k/sqrt(2 (part/q^2 + 1 - part)))
func mixedFactor(level, dof, part float64) float64 {
	nodes, weights := chiRule(dof)
	sd := make([]float64, len(nodes))
	for i, q := range nodes {
		sd[i] = math.Sqrt(2 * (part/(q*q) + 1 - part))
	}
	excess := func(k float64) float64 {
		p := -level
		for i, w := range weights {
			p += w * math.Erf(k/sd[i])
		}
		return p
	}
	return falsePosition(excess, 0, 1.001*math.Max(uncert.CoverageFactor(level, dof), uncert.CoverageFactor(level, math.Inf(1))))
}

// chiNodes is the number of Gauss-Legendre nodes over the chi density; the factor is then right to
// 1e-7 for any degrees of freedom.
const chiNodes = 96

var legendre = sync.OnceValues(func() (x, w []float64) {
	x, w = make([]float64, chiNodes), make([]float64, chiNodes)
	quad.Legendre{}.FixedLocations(x, w, -1, 1)
	return x, w
})

// chiRule gives nodes of q = sqrt(chi2/dof) and weights that hold its density; they sum to 1.
func chiRule(dof float64) (nodes, weights []float64) {
	x, w := legendre()
	reach := 9 / math.Sqrt(2*dof)
	low, high := math.Max(0, 1-reach), 1+reach
	logGamma, _ := math.Lgamma(dof / 2)
	scale := math.Ln2 + dof/2*math.Log(dof/2) - logGamma
	nodes, weights = make([]float64, chiNodes), make([]float64, chiNodes)
	var total float64
	for i := range x {
		q := low + (high-low)*(1+x[i])/2
		nodes[i] = q
		weights[i] = w[i] * math.Exp(scale+(dof-1)*math.Log(q)-dof*q*q/2)
		total += weights[i]
	}
	for i := range weights {
		weights[i] /= total
	}
	return nodes, weights
}

// falsePosition finds where a rising function passes zero between low and high, to ten digits
// (Illinois variant).
func falsePosition(f func(float64) float64, low, high float64) float64 {
	fLow, fHigh := f(low), f(high)
	side := 0
	for range 200 {
		if high-low <= 1e-10*math.Abs(high) || fHigh == fLow {
			break
		}
		k := (low*fHigh - high*fLow) / (fHigh - fLow)
		v := f(k)
		switch {
		case v == 0:
			return k
		case v < 0:
			low, fLow = k, v
			if side < 0 {
				fHigh /= 2
			}
			side = -1
		default:
			high, fHigh = k, v
			if side > 0 {
				fLow /= 2
			}
			side = 1
		}
		if math.Abs(v) < 1e-12 {
			return k
		}
	}
	return (low + high) / 2
}
