package conformity

import (
	"fmt"
	"math"
)

// Joint is several values that must all lie within their limits at once. Value i errs by
//
//	Own[i]*z_i  +  W*Scatter[i]*z'_i  +  sum over k of Shared[k][i]*f_k
//
// with independent standard normal z, z', f, and W = 1/sqrt(chi-squared/DoF) the doubt about a
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
	DoF     float64
}

// Probability is the chance that every true value lies within its limits. It is exact to about
// 1e-9 without common errors, 1e-7 with one, and 5e-4 with more (lattice rule, fixed points, so
// the figure is the same each time). No values is an error.
func (j Joint) Probability() (float64, error) {
	if err := j.check(); err != nil {
		return 0, err
	}
	shared := j.activeShared()
	if j.Scatter == nil || !anyPositive(j.Scatter) {
		return clamp(j.given(0, shared, latticeNormals(len(shared), lattice))), nil
	}
	points := latticeNormals(len(shared), lattice/4)
	// The scale of the scatter is integrated in q = sqrt(chi2/nu) = 1/w with its own density,
	// 2 (nu/2)^(nu/2)/Gamma(nu/2) q^(nu-1) exp(-nu q^2/2). Above far lies less than exp(-36)
	// (B. Laurent and P. Massart, Ann. Statist. 28 (2000) 1302, lemma 1).
	nu := j.DoF
	logGamma, _ := math.Lgamma(nu / 2)
	scale := math.Ln2 + nu/2*math.Log(nu/2) - logGamma
	far := math.Sqrt((nu + 2*math.Sqrt(36*nu) + 72) / nu)
	density := func(q float64) float64 { return math.Exp(scale + (nu-1)*math.Log(q) - nu*q*q/2) }
	tolerance := [...]float64{1e-9, 1e-6, 1e-4}[min(len(shared), 2)]
	p := integrate(func(q float64) float64 {
		if q == 0 { // an infinite scatter keeps nothing within limits
			return 0
		}
		return density(q) * j.given(1/q, shared, points)
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
	if j.Scatter != nil && !(j.DoF > 0) {
		return fmt.Errorf("a scatter from %g degrees of freedom: must be above 0", j.DoF)
	}
	for i := range n {
		if err := j.Limits[i].check(); err != nil {
			return fmt.Errorf("value %d: %w", i+1, err)
		}
		figures := []float64{j.Value[i], at(j.Own, i), at(j.Scatter, i)}
		for _, s := range j.Shared {
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

// activeShared drops common errors of no size. Those that reach one value only stay: they cost an
// integration, so callers do better to put them into Own.
func (j Joint) activeShared() [][]float64 {
	var active [][]float64
	for _, s := range j.Shared {
		for _, v := range s {
			if v != 0 {
				active = append(active, s)
				break
			}
		}
	}
	return active
}

// given is the probability for a known scale w of the scatter.
func (j Joint) given(w float64, shared, points [][]float64) float64 {
	sd := make([]float64, len(j.Value))
	for i := range sd {
		sd[i] = math.Hypot(at(j.Own, i), w*at(j.Scatter, i))
	}
	switch len(shared) {
	case 0:
		return j.product(sd, nil, nil)
	case 1:
		return j.oneShared(sd, shared[0])
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

func clamp(p float64) float64 { return math.Min(1, math.Max(0, p)) }
