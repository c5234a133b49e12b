package series

import (
	"fmt"
	"math"
	"time"
)

// Line is what a calibration found: corrected = Intercept + Slope · reading,
// both in the unit of the readings.
type Line struct {
	Intercept, Slope float64
	// Variances and covariance of the two; NaN where nobody knows them.
	VarIntercept, VarSlope, Cov float64
	// The references were read from Low to High.
	Low, High float64
}

// Exact returns a line known without uncertainty, for readings from low to
// high.
func Exact(intercept, slope, low, high float64) Line {
	return Line{Intercept: intercept, Slope: slope, Low: low, High: high}
}

// check tells what is wrong with a line.
func (l Line) check() error {
	finite := func(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
	switch {
	case !finite(l.Intercept):
		return fmt.Errorf("its intercept is %v; want a finite number", l.Intercept)
	case !finite(l.Slope):
		return fmt.Errorf("its slope is %v; want a finite number", l.Slope)
	case l.Slope == 0:
		return fmt.Errorf("its slope is 0, so no reading tells anything")
	case l.VarIntercept < 0 || l.VarSlope < 0 || math.IsInf(l.VarIntercept+l.VarSlope, 0):
		return fmt.Errorf("its variances are %v and %v; want 0 or more", l.VarIntercept, l.VarSlope)
	case l.Cov*l.Cov > l.VarIntercept*l.VarSlope*(1+rounding):
		return fmt.Errorf("the covariance %v of intercept and slope is larger than their uncertainties allow, %.4g", l.Cov, math.Sqrt(l.VarIntercept*l.VarSlope))
	case !(l.Low <= l.High):
		return fmt.Errorf("its readings run from %v to %v; want the lower end first", l.Low, l.High)
	}
	return nil
}

// rounding is less than any figure of a line means.
const rounding = 1e-9

// State is what a calibration saw: the meter as it came, or as it was left
// after an adjustment.
type State string

// The states there are.
const (
	AsFound State = "as-found"
	AsLeft  State = "as-left"
)

// Calibration is the line of a meter at one time.
type Calibration struct {
	Time  time.Time
	State State
	Line  Line
	Name  string // for messages: a file, or an identity on record
}

// Break is something done to a meter after which no earlier line applies: an
// adjustment, or a new electrode or cell.
type Break struct {
	Time time.Time
	Name string // for messages
}
