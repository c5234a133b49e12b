package quantity

import (
	"fmt"
	"math"
	"strings"
)

// Tolerance is how large an error may be. With Relative it is a fraction of
// the reference; otherwise it is absolute, in the unit of the reading.
type Tolerance struct {
	Value    float64
	Relative bool
	Kind     Kind   // of an absolute tolerance typed with a unit, in that kind's base unit; 0 without a unit
	Text     string // as it was typed
}

// ParseTolerance reads "2%" (relative), "0.1" (absolute, in the reading's own
// unit) or, where kinds are allowed, a quantity of one of them such as "0.5C"
// (absolute). A tolerance is above zero: nothing measured has an error of
// exactly zero. The error is a [*ParseError].
func ParseTolerance(text string, allowed ...Kind) (Tolerance, error) {
	t := Tolerance{Text: clean(text)}
	n, rest := scanNumber(t.Text)
	want := "want a tolerance such as 2% or 0.1"
	switch {
	case n.digits != "" && rest == "":
		v, err := ParseNumber(t.Text)
		if err != nil {
			return Tolerance{}, err
		}
		t.Value = v
	case n.digits != "" && strings.TrimSpace(rest) == "%":
		v, err := n.value(-2)
		if err != nil {
			return Tolerance{}, &ParseError{Text: t.Text, Reason: "is " + err.Error(), Want: want, Err: ErrOutOfRange}
		}
		t.Value, t.Relative = v, true
	case n.digits == "" || len(allowed) == 0 && !strings.HasPrefix(rest, ","):
		return Tolerance{}, &ParseError{Text: t.Text, Reason: "is not a tolerance", Want: want, Err: ErrNotANumber}
	default:
		q, err := Parse(t.Text, allowed...)
		if err != nil {
			return Tolerance{}, err
		}
		t.Value, t.Kind = q.Value, q.Kind
	}
	if t.Value <= 0 {
		return Tolerance{}, &ParseError{Text: t.Text, Reason: "is not above zero", Want: want, Err: ErrOutOfRange}
	}
	return t, nil
}

// At is the largest error allowed at a reference, in the reference's unit.
func (t Tolerance) At(ref float64) float64 {
	if t.Relative {
		return t.Value * math.Abs(ref)
	}
	return t.Value
}

// String writes the tolerance as [ParseTolerance] reads it.
func (t Tolerance) String() string {
	switch {
	case t == (Tolerance{}):
		return ""
	case t.Relative:
		return shifted(t.Value, 2) + "%"
	case t.Kind != 0:
		return fmt.Sprint(Quantity{Value: t.Value, Kind: t.Kind})
	}
	return shifted(t.Value, 0)
}
