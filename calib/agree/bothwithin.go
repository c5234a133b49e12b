package agree

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// distribution is what bothWithin needs of a standard normal or Student's t.
type distribution interface {
	CDF(x float64) float64
	Quantile(p float64) float64
}

// standard is Student's t with dof degrees of freedom, the normal for +Inf.
func standard(dof float64) distribution {
	if math.IsInf(dof, 1) || dof > 1e7 {
		return distuv.UnitNormal
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}
}

// bothWithin is the probability that two values with means m, standard
// uncertainties u and correlation corr both lie within ±1, where they follow a
// bivariate Student's t with dof degrees of freedom (normal for +Inf).
//
// It integrates over the first value, in steps of equal probability. Given the
// first, at t = (x − m)/u, the second is a t with dof + 1 degrees of freedom
// about m' + corr·u'·t, with u'√((1 − corr²)(dof + t²)/(dof + 1)) (S. Kotz, S.
// Nadarajah, Multivariate t Distributions and Their Applications, 2004, 1.11).
func bothWithin(m, u [2]float64, corr, dof float64) float64 {
	if u[0] == 0 || u[1] == 0 {
		return oneWithin(m[0], u[0], dof) * oneWithin(m[1], u[1], dof)
	}
	marginal, conditional := standard(dof), standard(dof+1)
	rest := math.Sqrt(max(0, 1-corr*corr))
	given := func(t float64) float64 {
		centre, width := m[1]+corr*u[1]*t, u[1]*rest
		if !math.IsInf(dof, 1) {
			width *= math.Sqrt((dof + t*t) / (dof + 1))
		}
		if width == 0 {
			if math.Abs(centre) <= 1 {
				return 1
			}
			return 0
		}
		return conditional.CDF((1-centre)/width) - conditional.CDF((-1-centre)/width)
	}
	low, high := (-1-m[0])/u[0], (1-m[0])/u[0]
	ends := []float64{marginal.CDF(low), marginal.CDF(high)}
	// Where the second value passes a limit the integrand bends: break there.
	if corr != 0 {
		for _, limit := range []float64{-1, 1} {
			bend := (limit - m[1]) / (corr * u[1])
			for _, off := range []float64{-4, -1, 0, 1, 4} {
				if t := bend + off*rest/math.Abs(corr); t > low && t < high {
					ends = append(ends, marginal.CDF(t))
				}
			}
		}
	}
	slices.Sort(ends)
	const points = 24
	sum := 0.0
	for i := range len(ends) - 1 {
		if ends[i+1] > ends[i] {
			sum += quad.Fixed(func(p float64) float64 { return given(marginal.Quantile(p)) }, ends[i], ends[i+1], points, quad.Legendre{}, 0)
		}
	}
	return max(0, min(1, sum))
}

// oneWithin is the probability that one value lies within ±1.
func oneWithin(m, u, dof float64) float64 {
	if u == 0 {
		if math.Abs(m) <= 1 {
			return 1
		}
		return 0
	}
	d := standard(dof)
	return d.CDF((1-m)/u) - d.CDF((-1-m)/u)
}
