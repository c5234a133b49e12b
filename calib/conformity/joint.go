package conformity

import (
	"fmt"
	"math"
	"slices"
)

// Joint is several values that must all lie within their limits at once. Value i errs by
//
//	Own[i]*z_i + sum over k of Shared[k][i]*f_k + W*(Scatter[i]*z'_i + sum over k of SharedScatter[k][i]*f'_k)
//
// with independent standard normal z, z', f, f', and W = 1/sqrt(chi-squared/DoF) the doubt about a
// scatter that was itself estimated, the same for all values: then the joint distribution is
// Student's. Signs of Shared count: errors that move two values the same way fail together.
type Joint struct {
	Value  []float64
	Limits []Limits
	Own    []float64   // standard uncertainty of each value alone, perfectly known; nil for none
	Shared [][]float64 // one row per common error
	// Scatter is the part of each value's own standard uncertainty that was estimated from DoF
	// degrees of freedom; nil for none.
	Scatter []float64
	// SharedScatter are common errors whose size was estimated with the scatter, such as those of a
	// fitted line's parameters.
	SharedScatter [][]float64
	DoF           float64
}

// Probability is the chance that every true value lies within its limits. It is exact to about
// 1e-9 without common errors, 1e-7 with one (or with one or two values), and 5e-4 with more (lattice rule, fixed points, so
// the figure is the same each time). No values is an error.
func (j Joint) Probability() (float64, error) {
	if err := j.check(); err != nil {
		return 0, err
	}
	shared, estimated := active(j.Shared), active(j.SharedScatter)
	many := len(shared) + len(estimated)
	if len(j.Value) <= 2 { // whatever they have in common is one error, see pair
		many = min(many, 1)
	}
	if !anyPositive(j.Scatter) && len(estimated) == 0 {
		return clamp(j.given(0, shared, nil, latticeNormals(many, lattice))), nil
	}
	points := latticeNormals(many, lattice/4)
	// The scale of the scatter is integrated in q = sqrt(chi2/nu) = 1/w with its own density,
	// 2 (nu/2)^(nu/2)/Gamma(nu/2) q^(nu-1) exp(-nu q^2/2). Above far lies less than exp(-36)
	// (B. Laurent and P. Massart, Ann. Statist. 28 (2000) 1302, lemma 1).
	nu := j.DoF
	logGamma, _ := math.Lgamma(nu / 2)
	scale := math.Ln2 + nu/2*math.Log(nu/2) - logGamma
	far := math.Sqrt((nu + 2*math.Sqrt(36*nu) + 72) / nu)
	density := func(q float64) float64 { return math.Exp(scale + (nu-1)*math.Log(q) - nu*q*q/2) }
	tolerance := [...]float64{1e-9, 1e-6, 1e-4}[min(many, 2)]
	p := integrate(func(q float64) float64 {
		if q == 0 { // an infinite scatter keeps nothing within limits
			return 0
		}
		return density(q) * j.given(1/q, shared, estimated, points)
	}, []float64{0, 0.25, 0.5, 0.75, 1, 1.5, 2, far}, tolerance)
	return clamp(p), nil
}

func (j Joint) check() error {
	n := len(j.Value)
	if n == 0 {
		return fmt.Errorf("no values to judge")
	}
	if len(j.Limits) != n || (j.Own != nil && len(j.Own) != n) || (j.Scatter != nil && len(j.Scatter) != n) {
		return fmt.Errorf("%d values, but %d limits, %d uncertainties, %d scatters", n, len(j.Limits), len(j.Own), len(j.Scatter))
	}
	if (j.Scatter != nil || j.SharedScatter != nil) && !(j.DoF > 0) {
		return fmt.Errorf("a scatter from %g degrees of freedom: must be above 0", j.DoF)
	}
	for i := range n {
		if err := j.Limits[i].check(); err != nil {
			return fmt.Errorf("value %d: %w", i+1, err)
		}
		figures := []float64{j.Value[i], at(j.Own, i), at(j.Scatter, i)}
		for _, s := range slices.Concat(j.Shared, j.SharedScatter) {
			if len(s) != n {
				return fmt.Errorf("a common error has %d figures for %d values", len(s), n)
			}
			figures = append(figures, math.Abs(s[i]))
		}
		for k, v := range figures {
			if math.IsNaN(v) || math.IsInf(v, 0) || (k > 0 && v < 0) {
				return fmt.Errorf("value %d: %g is no uncertainty", i+1, v)
			}
		}
	}
	return nil
}

// at reads an optional slice.
func at(v []float64, i int) float64 {
	if v == nil {
		return 0
	}
	return v[i]
}

func anyPositive(v []float64) bool {
	for _, x := range v {
		if x > 0 {
			return true
		}
	}
	return false
}

// active drops common errors of no size. Those that reach one value only stay: they cost an
// integration, so callers do better to put them into Own or Scatter.
func active(shared [][]float64) [][]float64 {
	var list [][]float64
	for _, s := range shared {
		if slices.ContainsFunc(s, func(v float64) bool { return v != 0 }) {
			list = append(list, s)
		}
	}
	return list
}

// given is the probability for a known scale w of the scatter.
func (j Joint) given(w float64, shared, estimated, points [][]float64) float64 {
	sd := make([]float64, len(j.Value))
	for i := range sd {
		sd[i] = math.Hypot(at(j.Own, i), w*at(j.Scatter, i))
	}
	for _, s := range estimated {
		scaled := make([]float64, len(s))
		for i := range s {
			scaled[i] = w * s[i]
		}
		shared = append(shared[:len(shared):len(shared)], scaled)
	}
	if len(sd) <= 2 && len(shared) > 1 {
		shared = pair(sd, shared)
	}
	switch len(shared) {
	case 0:
		return j.product(sd, nil, nil)
	case 1:
		tolerance := 1e-10
		if w > 0 { // one of many, which are integrated over w to 1e-6
			tolerance = 1e-8
		}
		return j.oneShared(sd, shared[0], tolerance)
	}
	return j.manyShared(sd, shared, points)
}

// product is the chance of all values given the common errors f: then they are independent.
func (j Joint) product(sd []float64, shared [][]float64, f []float64) float64 {
	p := 1.0
	for i, y := range j.Value {
		for k, s := range shared {
			y += s[i] * f[k]
		}
		l := j.Limits[i]
		switch {
		case sd[i] > 0:
			p *= between((l.Low-y)/sd[i], (l.High-y)/sd[i])
		case y < l.Low || y > l.High:
			return 0
		}
		if p == 0 {
			return 0
		}
	}
	return p
}

// pair makes one common error of all that one or two values have in common, and adds to sd what is
// left of it to the second (Cholesky).
func pair(sd []float64, shared [][]float64) [][]float64 {
	var v [2][2]float64
	for _, s := range shared {
		for a := range s {
			for b := range s {
				v[a][b] += s[a] * s[b]
			}
		}
	}
	if len(sd) == 1 {
		sd[0] = math.Hypot(sd[0], math.Sqrt(v[0][0]))
		return nil
	}
	first, second := math.Sqrt(v[0][0]), 0.0
	if first > 0 {
		second = v[0][1] / first
	}
	sd[1] = math.Hypot(sd[1], math.Sqrt(math.Max(0, v[1][1]-second*second)))
	return [][]float64{{first, second}}
}

func clamp(p float64) float64 { return math.Min(1, math.Max(0, p)) }
