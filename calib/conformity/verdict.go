package conformity

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Verdict is one of Pass, Fail and Undecided.
type Verdict string

// The three answers.
const (
	Pass      Verdict = "pass"
	Fail      Verdict = "fail"
	Undecided Verdict = "undecided"
)

// Rule says from which probability on the verdict is Pass, and up to which it is Fail. JCGM
// 106:2012 leaves both to the parties; Default is common practice.
type Rule struct{ PassAt, FailAt float64 }

// Default passes at 95 % and fails at 5 %.
var Default = Rule{PassAt: 0.95, FailAt: 0.05}

// Decide applies the rule to a probability. A probability that is not known (NaN) is Undecided.
func (r Rule) Decide(p float64) Verdict {
	switch {
	case p >= r.PassAt:
		return Pass
	case p <= r.FailAt:
		return Fail
	}
	return Undecided
}

// Limits are the tolerance limits of one value, both included; an infinite one does not limit.
type Limits struct{ Low, High float64 }

// Around makes limits of the same width to both sides of zero, as for an error.
func Around(tolerance float64) Limits { return Limits{Low: -tolerance, High: tolerance} }

// ErrLimits is wrapped by errors about limits that make no sense.
var ErrLimits = errors.New("tolerance limits")

func (l Limits) check() error {
	if math.IsNaN(l.Low) || math.IsNaN(l.High) || l.Low > l.High {
		return fmt.Errorf("%w: low %g, high %g", ErrLimits, l.Low, l.High)
	}
	return nil
}

// Probability is the chance that the true value lies within the limits: value y, standard
// uncertainty u >= 0 with dof degrees of freedom (+Inf for a normal one). With u = 0 it is 1 or 0.
func Probability(y, u, dof float64, l Limits) (float64, error) {
	if err := l.check(); err != nil {
		return 0, err
	}
	if math.IsNaN(y) || math.IsInf(y, 0) || math.IsNaN(u) || math.IsInf(u, 0) || u < 0 || !(dof > 0) {
		return 0, fmt.Errorf("value %g, standard uncertainty %g, degrees of freedom %g: no probability follows", y, u, dof)
	}
	if u == 0 {
		if y >= l.Low && y <= l.High {
			return 1, nil
		}
		return 0, nil
	}
	if math.IsInf(dof, 1) {
		return between((l.Low-y)/u, (l.High-y)/u), nil
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}
	a, b := (l.Low-y)/u, (l.High-y)/u
	if a > 0 { // take both on the side where the distribution function is small and exact
		a, b = -b, -a
	}
	return math.Max(0, cdf(t, b)-cdf(t, a)), nil
}

func cdf(t distuv.StudentsT, x float64) float64 {
	switch {
	case math.IsInf(x, -1):
		return 0
	case math.IsInf(x, 1):
		return 1
	}
	return t.CDF(x)
}

// between is the normal probability from a to b, without loss in the tails.
func between(a, b float64) float64 {
	if a > 0 {
		a, b = -b, -a
	}
	return math.Max(0, phi(b)-phi(a))
}

func phi(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }
