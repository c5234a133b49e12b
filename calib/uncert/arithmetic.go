package uncert

import (
	"errors"
	"fmt"
	"math"
)

// ErrUndefined reports an operation that has no value or no derivative at its
// arguments, such as a division by zero.
var ErrUndefined = errors.New("undefined at these arguments")

// Term is one argument of a function: its value and the partial derivative of
// the function there (a sensitivity coefficient, JCGM 100:2008 5.1.3).
type Term struct {
	Value Value
	Slope float64
}

// Combine returns y with the uncertainty that follows from the terms,
// u-contributions Slope_i · c(i): the law of propagation with all covariances,
// since shared sources meet before they are squared. y and the slopes must be
// finite.
func Combine(y float64, terms ...Term) (Value, error) {
	if !isFinite(y) {
		return Value{}, fmt.Errorf("result %v: %w", y, ErrNotFinite)
	}
	for _, t := range terms {
		if !isFinite(t.Slope) {
			return Value{}, fmt.Errorf("sensitivity %v: %w", t.Slope, ErrNotFinite)
		}
	}
	return combine(y, terms...), nil
}

func combine(y float64, terms ...Term) Value {
	var parts []Contribution
	for _, t := range terms {
		parts = mergeParts(parts, t.Value.parts, t.Slope)
	}
	kept := parts[:0]
	for _, p := range parts {
		if !p.Stated || p.Size != 0 {
			kept = append(kept, p)
		}
	}
	return Value{nominal: y, parts: kept}
}

// mergeParts returns acc + slope·add as a new slice sorted by source ID. A
// source that is unstated on either side stays unstated in the sum. A slope of
// exactly 0 drops the argument, its unstated sources included.
func mergeParts(acc, add []Contribution, slope float64) []Contribution {
	if slope == 0 {
		return acc
	}
	out := make([]Contribution, 0, len(acc)+len(add))
	i, j := 0, 0
	for i < len(acc) || j < len(add) {
		switch {
		case j == len(add) || (i < len(acc) && acc[i].Source.ID < add[j].Source.ID):
			out = append(out, acc[i])
			i++
		case i == len(acc) || add[j].Source.ID < acc[i].Source.ID:
			p := add[j]
			p.Size *= slope
			out = append(out, p)
			j++
		default:
			p := acc[i]
			p.Stated = p.Stated && add[j].Stated
			if p.Stated {
				p.Size += slope * add[j].Size
			} else {
				p.Size = 0
			}
			out = append(out, p)
			i++
			j++
		}
	}
	return out
}

// Add returns v + w.
func (v Value) Add(w Value) Value {
	return combine(v.nominal+w.nominal, Term{v, 1}, Term{w, 1})
}

// Sub returns v − w. Sources that both have cancel as far as they are equal.
func (v Value) Sub(w Value) Value {
	return combine(v.nominal-w.nominal, Term{v, 1}, Term{w, -1})
}

// Mul returns the product of v and w.
func (v Value) Mul(w Value) Value {
	return combine(v.nominal*w.nominal, Term{v, w.nominal}, Term{w, v.nominal})
}

// Scale returns k·v for an exact k.
func (v Value) Scale(k float64) Value { return combine(k*v.nominal, Term{v, k}) }

// Shift returns v + k for an exact k.
func (v Value) Shift(k float64) Value { return combine(v.nominal+k, Term{v, 1}) }

// Neg returns −v.
func (v Value) Neg() Value { return v.Scale(-1) }

// Div returns v / w, or an error wrapping [ErrUndefined] if w is 0.
func (v Value) Div(w Value) (Value, error) {
	if w.nominal == 0 {
		return Value{}, fmt.Errorf("division by zero: %w", ErrUndefined)
	}
	y := v.nominal / w.nominal
	return Combine(y, Term{v, 1 / w.nominal}, Term{w, -y / w.nominal})
}

// Pow returns v raised to the exact power p, or an error wrapping
// [ErrUndefined] where the power or its derivative does not exist (0 to a
// negative power, a negative number to a broken power).
func (v Value) Pow(p float64) (Value, error) {
	y, slope := math.Pow(v.nominal, p), p*math.Pow(v.nominal, p-1)
	if p == 0 {
		slope = 0
	}
	if !isFinite(y) || !isFinite(slope) {
		return Value{}, fmt.Errorf("%v to the power %v: %w", v.nominal, p, ErrUndefined)
	}
	return combine(y, Term{v, slope}), nil
}

// Map returns y = f(v) given y and the derivative of f at v. Both must be
// finite.
func (v Value) Map(y, slope float64) (Value, error) { return Combine(y, Term{v, slope}) }
