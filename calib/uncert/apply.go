package uncert

import (
	"errors"
	"fmt"
	"math"
)

// ErrTooWide reports an argument whose uncertainty reaches outside the range
// of the function on both sides, however small a part of it is tried.
var ErrTooWide = errors.New("the uncertainty reaches outside the range on both sides")

// mostHalvings is how often the step of a numerical derivative is halved: to a
// sixty-fourth of the standard uncertainty.
const mostHalvings = 6

// Apply returns f(xs...) with first-order propagation, the partial derivatives
// taken numerically: a central difference over one standard uncertainty of the
// argument to each side (JCGM 100:2008 5.1.3 note 2), or over 1e-5 of its
// magnitude where the argument has no stated uncertainty but unstated sources.
// Exact arguments are not varied. If f refuses one of the two points, as at
// the edge of its range, the one-sided difference is used; if it refuses both,
// the step is halved up to six times; if it refuses both even then, the error
// wraps [ErrTooWide] and names the source.
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
		slope, ok := partial(f, at, i, step(x), y)
		if !ok {
			return Value{}, fmt.Errorf("%s: standard uncertainty %.4g of %.4g: %w", x.parts[0].Source.Label, x.U(), x.nominal, ErrTooWide)
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

// partial is the slope of f along argument i, from steps of h or a part of it
// to each side; false where f refuses all of them.
func partial(f func(x ...float64) (float64, error), at []float64, i int, h, y float64) (slope float64, ok bool) {
	x := at[i]
	defer func() { at[i] = x }()
	for range mostHalvings + 1 {
		at[i] = x + h
		up := at[i]
		yUp, errUp := f(at...)
		at[i] = x - h
		down := at[i]
		yDown, errDown := f(at...)
		switch {
		case errUp == nil && errDown == nil:
			return (yUp - yDown) / (up - down), true
		case errUp == nil:
			return (yUp - y) / (up - x), true
		case errDown == nil:
			return (y - yDown) / (x - down), true
		}
		h /= 2
	}
	return 0, false
}
