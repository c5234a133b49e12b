package tempcomp

import (
	"fmt"
	"math"
	"strings"

	"github.com/brinemark/brinemark/solutions"
)

// Rule is a meter's temperature compensation: the meter divides the
// conductivity κ(t) that it measures by F(t).
type Rule interface {
	// Factor returns F(t) for a liquid at tempC. A temperature outside the
	// rule's range, or an F that cannot be divided by, is an error that wraps
	// [ErrOutOfRange].
	Factor(tempC float64) (float64, error)
	// TempRange returns the liquid temperatures of the rule, in C.
	TempRange() solutions.Range
	// Slope returns dF/dt in 1/C at tempC, with the errors of Factor.
	Slope(tempC float64) (float64, error)
	// Name returns the rule's name as [ParseRule] takes it.
	Name() string
	// Caution returns what a user of the rule should know, or "".
	Caution() string
}

// Names of the rules, as [ParseRule] takes them.
const (
	LinearName       = "linear"
	NoneName         = "none"
	NaturalWaterName = "natural-water"
)

// RuleNames returns the names that [ParseRule] knows.
func RuleNames() []string { return []string{LinearName, NoneName, NaturalWaterName} }

// Linear is straight compensation, F(t) = 1 + α (t − t_ref): what most pens
// do, with α of 1.9 to 2.1 %/C and t_ref of 25 C (common practice, no source).
type Linear struct {
	Alpha    float64 // 1/C; 2 %/C is 0.02
	RefTempC float64
}

// NewLinear returns the rule after checking both numbers against [AlphaRange]
// and [RefTemperatureRange].
func NewLinear(alpha, refTempC float64) (Linear, error) {
	r := Linear{Alpha: alpha, RefTempC: refTempC}
	return r, r.check()
}

func (r Linear) check() error {
	if err := checkAlpha(r.Alpha); err != nil {
		return err
	}
	return RefTemperatureRange().Check(linearSubject, r.RefTempC)
}

// TempRange returns the part of [TemperatureRange] in which F(t) lies in
// [DivisorRange], to the next hundredth of a degree inside.
func (r Linear) TempRange() solutions.Range {
	limits, divisor := TemperatureRange(), DivisorRange()
	if r.Alpha > 0 {
		limits.Low = math.Max(limits.Low, math.Ceil(100*(r.RefTempC+(divisor.Low-1)/r.Alpha)-1e-9)/100)
		limits.High = math.Min(limits.High, math.Floor(100*(r.RefTempC+(divisor.High-1)/r.Alpha)+1e-9)/100)
	}
	return limits
}

// Factor returns 1 + α (t − t_ref). Temperatures outside [Linear.TempRange] are
// errors.
func (r Linear) Factor(tempC float64) (float64, error) {
	if err := r.check(); err != nil {
		return 0, err
	}
	if err := r.TempRange().Check("compensation "+r.String(), tempC); err != nil {
		return 0, err
	}
	return 1 + r.Alpha*(tempC-r.RefTempC), nil
}

// Slope returns α.
func (r Linear) Slope(tempC float64) (float64, error) {
	_, err := r.Factor(tempC)
	return r.Alpha, err
}

// Name returns "linear".
func (Linear) Name() string { return LinearName }

// Caution returns "": what a straight rule does to a salt is in the numbers.
func (Linear) Caution() string { return "" }

// String returns the rule in words.
func (r Linear) String() string {
	return fmt.Sprintf("linear, %.4g %%/C to %g C", 100*r.Alpha, r.RefTempC)
}

// None is a meter without compensation: it shows κ(t).
type None struct{}

// TempRange returns [TemperatureRange].
func (None) TempRange() solutions.Range { return TemperatureRange() }

// Factor returns 1. Temperatures outside [TemperatureRange] are errors.
func (None) Factor(tempC float64) (float64, error) {
	return 1, TemperatureRange().Check("no compensation", tempC)
}

// Slope returns 0.
func (None) Slope(tempC float64) (float64, error) {
	return 0, TemperatureRange().Check("no compensation", tempC)
}

// Name returns "none".
func (None) Name() string { return NoneName }

// Caution says that readings move with temperature.
func (None) Caution() string {
	return "without compensation a reading rises by about 2 % for each degree: compare readings at one temperature only"
}

// String returns the rule in words.
func (None) String() string { return "no compensation" }

// ParseRule returns the rule with this name (see [RuleNames], any case). alpha
// (1/C) and refTempC are checked and used by the linear rule alone, except
// that natural-water compensation exists for 25 C only: with another refTempC
// it is an error.
func ParseRule(name string, alpha, refTempC float64) (Rule, error) {
	switch strings.ToLower(strings.TrimSpace(name)) {
	case LinearName:
		r, err := NewLinear(alpha, refTempC)
		if err != nil {
			return nil, err
		}
		return r, nil
	case NoneName:
		return None{}, nil
	case NaturalWaterName:
		if refTempC != NaturalWaterRefTempC {
			return nil, fmt.Errorf("reference temperature is %g C; natural-water compensation exists for %g C only: %w", refTempC, float64(NaturalWaterRefTempC), ErrOutOfRange)
		}
		return NaturalWater{}, nil
	}
	return nil, fmt.Errorf("compensation %q is not known; want one of %s", name, strings.Join(RuleNames(), ", "))
}
