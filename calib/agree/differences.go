package agree

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"github.com/brinemark/brinemark/calib/quantity"
)

// differences are what two meters showed in the samples both read, one figure
// for each sample.
type differences struct {
	samples []string
	a, b    []float64 // mean readings
	ua, ub  []float64 // their stated standard uncertainties; NaN where not stated
	fa, fb  []float64 // the least they can be, by what is stated and the last digit
	allowed []float64 // the tolerance in the sample
	// partly says that any reading has a stated uncertainty.
	partly bool
}

func (s *Set) differences(a, b string, tolerance quantity.Tolerance) differences {
	d := differences{samples: s.shared(a, b)}
	stepA, stepB := s.step(a), s.step(b)
	for _, sample := range d.samples {
		ca, cb := s.cell(a, sample), s.cell(b, sample)
		ua, _ := ca.u()
		ub, _ := cb.u()
		d.a, d.b = append(d.a, ca.mean()), append(d.b, cb.mean())
		d.ua, d.ub = append(d.ua, ua), append(d.ub, ub)
		d.fa, d.fb = append(d.fa, ca.leastU(stepA)), append(d.fb, cb.leastU(stepB))
		d.partly = d.partly || ca.partlyStated() || cb.partlyStated()
		d.allowed = append(d.allowed, tolerance.At(basisOf(ca, cb)))
	}
	return d
}

// basisOf is what a relative tolerance is a fraction of in one sample: the
// reference, where there is one, else the mean of the two meters.
func basisOf(a, b *cell) float64 {
	x, okX := a.ref()
	y, okY := b.ref()
	switch {
	case okX && okY:
		return (x + y) / 2
	case okX:
		return x
	case okY:
		return y
	}
	return (a.mean() + b.mean()) / 2
}

// over estimates the mean of (b − a)/unit over the samples.
func (d differences) over(unit []float64) Estimate {
	n := len(d.samples)
	x, u, least := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range x {
		x[i] = (d.b[i] - d.a[i]) / unit[i]
		u[i] = math.Hypot(d.ua[i], d.ub[i]) / unit[i]
		least[i] = math.Hypot(d.fa[i], d.fb[i]) / unit[i]
	}
	return estimate(x, u, least, d.partly)
}

// bias estimates the mean of b − a, in the unit of the readings.
func (d differences) bias() Estimate {
	ones := make([]float64, len(d.samples))
	for i := range ones {
		ones[i] = 1
	}
	return d.over(ones)
}

// inTolerance estimates the mean of (b − a) / tolerance over the samples in
// which the tolerance allows anything; ok is false without any.
func (d differences) inTolerance() (e Estimate, ok bool) {
	kept := differences{partly: d.partly}
	for i, allowed := range d.allowed {
		if allowed > 0 {
			kept.samples = append(kept.samples, d.samples[i])
			kept.a, kept.b = append(kept.a, d.a[i]), append(kept.b, d.b[i])
			kept.ua, kept.ub = append(kept.ua, d.ua[i]), append(kept.ub, d.ub[i])
			kept.fa, kept.fb = append(kept.fa, d.fa[i]), append(kept.fb, d.fb[i])
			kept.allowed = append(kept.allowed, allowed)
		}
	}
	if len(kept.samples) == 0 {
		return unknownEstimate(0), false
	}
	return kept.over(kept.allowed), true
}

// positive says whether every mean reading is above 0.
func (d differences) positive() bool {
	for i := range d.samples {
		if !(d.a[i] > 0 && d.b[i] > 0) {
			return false
		}
	}
	return true
}

// logRatio estimates the mean of ln(b/a); unknown unless positive.
func (d differences) logRatio() Estimate {
	n := len(d.samples)
	if !d.positive() {
		return unknownEstimate(n)
	}
	x, u, least := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range x {
		x[i] = math.Log(d.b[i] / d.a[i])
		u[i] = math.Hypot(d.ua[i]/d.a[i], d.ub[i]/d.b[i])
		least[i] = math.Hypot(d.fa[i]/d.a[i], d.fb[i]/d.b[i])
	}
	return estimate(x, u, least, d.partly)
}

// form compares two descriptions of the differences d at means m, each with two
// parameters: d ~ N(µ, σ) and d/m ~ N(ρ, τ). The second is chosen where its
// likelihood is at least ten times larger, which takes four samples of clearly
// different strength, all above 0.
func (d differences) form() Form {
	const least, tenfold = 4, math.Ln10
	n := len(d.samples)
	if n < least || !d.positive() {
		return Absolute
	}
	diff, relative := make([]float64, n), make([]float64, n)
	logs := 0.0
	for i := range diff {
		m := (d.a[i] + d.b[i]) / 2
		diff[i] = d.b[i] - d.a[i]
		relative[i] = diff[i] / m
		logs += math.Log(m)
	}
	sigma, tau := stat.StdDev(diff, nil), stat.StdDev(relative, nil)
	switch {
	case sigma == 0:
		return Absolute
	case tau == 0:
		return Proportional
	}
	if float64(n)*math.Log(sigma/tau)-logs >= tenfold {
		return Proportional
	}
	return Absolute
}
