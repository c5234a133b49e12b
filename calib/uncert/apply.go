package uncert

import (
	"fmt"
	"math"
)

// Apply returns f(xs...) with first-order propagation, the partial derivatives
// taken numerically: a central difference over one standard uncertainty of the
// argument to each side (JCGM 100:2008 5.1.3 note 2), or over 1e-5 of its
// magnitude where the argument has no stated uncertainty but unstated sources.
// Exact arguments are not varied. If f refuses one of the two points, as at
// the edge of its range, the one-sided difference is used; if it refuses both,
// its error is returned.
func Apply(f func(x ...float64) (float64, error), xs ...Value) (Value, error) {
	at := make([]float64, len(xs))
	for i, x := range xs {
		at[i] = x.nominal
	}
	y, err := f(at...)
	if err != nil {
		return Value{}, err
	}
	if !isFinite(y) {
		return Value{}, fmt.Errorf("result %v: %w", y, ErrNotFinite)
	}
	terms := make([]Term, 0, len(xs))
	for i, x := range xs {
		if len(x.parts) == 0 {
			continue
		}
		slope, err := partial(f, at, i, step(x), y)
		if err != nil {
			return Value{}, err
		}
		terms = append(terms, Term{x, slope})
	}
	return Combine(y, terms...)
}

func step(x Value) float64 {
	if u := x.U(); u > 0 {
		return u
	}
	if x.nominal != 0 {
		return 1e-5 * math.Abs(x.nominal)
	}
	return 1e-5
}

func partial(f func(x ...float64) (float64, error), at []float64, i int, h, y float64) (float64, error) {
	x := at[i]
	defer func() { at[i] = x }()
	at[i] = x + h
	up := at[i]
	yUp, errUp := f(at...)
	at[i] = x - h
	down := at[i]
	yDown, errDown := f(at...)
	switch {
	case errUp == nil && errDown == nil:
		return (yUp - yDown) / (up - down), nil
	case errUp == nil:
		return (yUp - y) / (up - x), nil
	case errDown == nil:
		return (y - yDown) / (x - down), nil
	default:
		return 0, errUp
	}
}
