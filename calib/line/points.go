package line

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Causes a fit can be refused for. Errors of this package wrap one of them, so that a caller can
// put its own row and column in front.
var (
	ErrTooFew       = errors.New("too few points")
	ErrTooMany      = errors.New("too many points")
	ErrLength       = errors.New("lengths differ")
	ErrNotFinite    = errors.New("not a finite number")
	ErrConstantX    = errors.New("the readings are all equal")
	ErrConstantY    = errors.New("the references are all equal")
	ErrZeroReading  = errors.New("every reading is zero")
	ErrNotStated    = errors.New("uncertainty not stated")
	ErrAllExact     = errors.New("every uncertainty is zero")
	ErrNotPositive  = errors.New("covariance is not positive definite")
	ErrNoConverge   = errors.New("the fit did not settle")
	ErrNotAvailable = errors.New("not available")
)

// Points are the pairs a line is fitted to: X what the meter showed, Y what was true, in one unit
// or in two (the slope then carries the conversion).
//
// CovX and CovY are the covariance matrices of their errors, in those units squared. nil means
// not known, which is not zero: a matrix of zeros says exact.
type Points struct {
	X, Y       []float64
	CovX, CovY mat.Symmetric
}

// PointError says which point a fit was refused for. Index counts from 0.
type PointError struct {
	Index int
	Cause error
	Found float64
}

func (e *PointError) Error() string {
	return fmt.Sprintf("point %d: %v (%g)", e.Index+1, e.Cause, e.Found)
}

// Unwrap returns the cause.
func (e *PointError) Unwrap() error { return e.Cause }

// check refuses what no method can use: unequal lengths, numbers that are not finite, fewer than
// least points, covariances of the wrong size or with a negative eigenvalue.
func (p Points) check(least int) error {
	n := len(p.X)
	if len(p.Y) != n {
		return fmt.Errorf("%w: %d readings, %d references", ErrLength, n, len(p.Y))
	}
	for i := range n {
		for _, v := range []float64{p.X[i], p.Y[i]} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return &PointError{Index: i, Cause: ErrNotFinite, Found: v}
			}
		}
	}
	if n < least {
		return fmt.Errorf("%w: the fit needs %d, there are %d", ErrTooFew, least, n)
	}
	for _, c := range []mat.Symmetric{p.CovX, p.CovY} {
		if err := checkCovariance(c, n); err != nil {
			return err
		}
	}
	return nil
}

// checkSpread refuses points that cannot carry a slope and an intercept: readings or references
// that are all equal.
func (p Points) checkSpread() error {
	if constant(p.X) {
		return fmt.Errorf("%w (%g): a line needs readings that differ", ErrConstantX, p.X[0])
	}
	if constant(p.Y) {
		return fmt.Errorf("%w (%g): a line needs at least two different references", ErrConstantY, p.Y[0])
	}
	return nil
}

func constant(v []float64) bool {
	for _, x := range v[1:] {
		if x != v[0] {
			return false
		}
	}
	return true
}

// allZero reports whether a stated covariance says exact throughout.
func allZero(c mat.Symmetric) bool {
	n := c.SymmetricDim()
	for i := range n {
		if c.At(i, i) != 0 {
			return false
		}
	}
	return true
}
