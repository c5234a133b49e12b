package uncert

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// ErrNotFinite reports a value or an uncertainty that is not a finite number.
var ErrNotFinite = errors.New("not a finite number")

// ErrNegative reports a negative standard uncertainty.
var ErrNegative = errors.New("a standard uncertainty cannot be negative")

// Value is a number with named sources of uncertainty. The zero Value is an
// exact 0. Values are immutable: every operation returns a new one.
type Value struct {
	nominal float64
	parts   []Contribution // stated ones have Size != 0; sorted by Source.ID
}

// Exact returns x without any uncertainty. Use it for defined numbers only.
func Exact(x float64) Value { return Value{nominal: x} }

// New returns x with standard uncertainty u (k = 1, in the unit of x) from
// source s. u = 0 means exact. It is an error if x or u is not finite, u is
// negative, s has no ID or its degrees of freedom are negative.
func New(x, u float64, s Source) (Value, error) { return Exact(x).With(u, s) }

// Must returns v and panics if err is not nil. It is for tests and for
// constants written in the source code.
func Must(v Value, err error) Value {
	if err != nil {
		panic(err)
	}
	return v
}

// Unstated returns x with a source whose size nobody stated. The source is
// left out of U and listed by [Value.Unstated].
func Unstated(x float64, s Source) Value {
	return Value{nominal: x, parts: []Contribution{{Source: s}}}
}

// With returns v with one more source of standard uncertainty u (in the unit
// of v). If v already has that source the contributions add, being the same
// error. Errors as for [New].
func (v Value) With(u float64, s Source) (Value, error) {
	switch {
	case !isFinite(v.nominal):
		return Value{}, fmt.Errorf("value %v: %w", v.nominal, ErrNotFinite)
	case !isFinite(u):
		return Value{}, fmt.Errorf("standard uncertainty %v of %q: %w", u, s.Label, ErrNotFinite)
	case u < 0:
		return Value{}, fmt.Errorf("standard uncertainty %v of %q: %w", u, s.Label, ErrNegative)
	}
	if err := checkSource(s); err != nil {
		return Value{}, err
	}
	if u == 0 {
		return v, nil
	}
	return v.Add(Value{parts: []Contribution{{Source: s, Size: u, Stated: true}}}), nil
}

func checkSource(s Source) error {
	if s.ID == "" {
		return errors.New("an uncertainty source needs an identifier")
	}
	if s.DoF < 0 || math.IsNaN(s.DoF) {
		return fmt.Errorf("source %q: %v degrees of freedom; want a number above 0, or 0 for not stated", s.ID, s.DoF)
	}
	return nil
}

// Nominal returns the value itself.
func (v Value) Nominal() float64 { return v.nominal }

// U returns the standard uncertainty (k = 1) from all stated sources, in the
// unit of the value. Sources listed by [Value.Unstated] are not in it.
func (v Value) U() float64 {
	// Hypot-style scaling is not needed: contributions of one value are of
	// comparable, moderate size. The plain sum keeps u(x−x) exactly 0.
	return math.Sqrt(Cov(v, v))
}

// RelU returns U divided by the magnitude of the value; NaN for a value of 0.
func (v Value) RelU() float64 {
	if v.nominal == 0 {
		return math.NaN()
	}
	return v.U() / math.Abs(v.nominal)
}

// Unstated returns the sources whose size nobody stated, sorted by ID.
func (v Value) Unstated() []Source {
	var out []Source
	for _, p := range v.parts {
		if !p.Stated {
			out = append(out, p.Source)
		}
	}
	return out
}

// Part returns the signed contribution of the source with this ID, in the
// unit of the value; 0 if the value does not have it or its size is unstated.
func (v Value) Part(id string) float64 {
	i, ok := slices.BinarySearchFunc(v.parts, id, func(p Contribution, id string) int {
		return cmp.Compare(p.Source.ID, id)
	})
	if !ok || !v.parts[i].Stated {
		return 0
	}
	return v.parts[i].Size
}

// Budget returns the stated sources by falling contribution; ties are in the
// order of their IDs. It is empty for an exact value.
func (v Value) Budget() []Share {
	total := Cov(v, v)
	var out []Share
	for _, p := range v.parts {
		if p.Stated {
			out = append(out, Share{Source: p.Source, Size: math.Abs(p.Size), Fraction: p.Size * p.Size / total})
		}
	}
	slices.SortStableFunc(out, func(a, b Share) int { return cmp.Compare(b.Size, a.Size) })
	return out
}

// Parts returns all contributions, sorted by source ID: what has to be stored
// so that [FromParts] brings back the same value with the same covariances.
func (v Value) Parts() []Contribution { return slices.Clone(v.parts) }

// FromParts rebuilds a value from its nominal value and contributions. A
// source that appears twice is an error, as are the errors of [New]; the sign
// of a contribution is free.
func FromParts(x float64, parts []Contribution) (Value, error) {
	if !isFinite(x) {
		return Value{}, fmt.Errorf("value %v: %w", x, ErrNotFinite)
	}
	kept := make([]Contribution, 0, len(parts))
	for _, p := range parts {
		if err := checkSource(p.Source); err != nil {
			return Value{}, err
		}
		if p.Stated && !isFinite(p.Size) {
			return Value{}, fmt.Errorf("contribution %v of %q: %w", p.Size, p.Source.ID, ErrNotFinite)
		}
		if !p.Stated {
			p.Size = 0
		}
		if !p.Stated || p.Size != 0 {
			kept = append(kept, p)
		}
	}
	slices.SortFunc(kept, func(a, b Contribution) int { return cmp.Compare(a.Source.ID, b.Source.ID) })
	for i := 1; i < len(kept); i++ {
		if kept[i].Source.ID == kept[i-1].Source.ID {
			return Value{}, fmt.Errorf("source %q appears twice in one value", kept[i].Source.ID)
		}
	}
	return Value{nominal: x, parts: kept}, nil
}

// Cov returns the covariance of two values, Σ c_i(a) c_i(b) over the stated
// sources they share (JCGM 100:2008 F.1.2.3).
func Cov(a, b Value) float64 {
	sum := 0.0
	i, j := 0, 0
	for i < len(a.parts) && j < len(b.parts) {
		p, q := a.parts[i], b.parts[j]
		switch c := cmp.Compare(p.Source.ID, q.Source.ID); {
		case c < 0:
			i++
		case c > 0:
			j++
		default:
			if p.Stated && q.Stated {
				sum += p.Size * q.Size
			}
			i++
			j++
		}
	}
	return sum
}

// Corr returns the correlation coefficient of two values; NaN if either has
// no stated uncertainty.
func Corr(a, b Value) float64 {
	va, vb := Cov(a, a), Cov(b, b)
	if va == 0 || vb == 0 {
		return math.NaN()
	}
	return max(-1, min(1, Cov(a, b)/math.Sqrt(va*vb)))
}

func isFinite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
