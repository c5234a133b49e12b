package line

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Level is the coverage probability of intervals, unless another is asked for.
const Level = 0.95

// Estimate is what the line says at one reading.
type Estimate struct {
	Reading   float64
	Corrected float64
	U         float64 // standard uncertainty; NaN where there is no basis
	Low, High float64 // bound Level; NaN where there is no basis
	K         float64 // coverage factor used
	DoF       float64 // of the line's own part; +Inf for a normal interval
	Outside   bool    // the reading lies outside the range of the points
}

// At is what the line says at a reading taken as exact: the corrected value, its standard
// uncertainty and the interval of the given level (0 < level < 1). The interval is about the line:
// it holds no scatter of a further reading.
func (f *Fit) At(reading, level float64) (Estimate, error) { return f.AtU(reading, 0, level) }

// AtU is At for a reading with a standard uncertainty uReading of its own, perfectly known and
// independent of the calibration: u^2 = var(line) + slope^2*uReading^2. Where the line rests on
// scatter, the interval is that of the sum of a Student's t and a normal error.
func (f *Fit) AtU(reading, uReading, level float64) (Estimate, error) {
	e := Estimate{Reading: reading, U: math.NaN(), Low: math.NaN(), High: math.NaN(), K: math.NaN(), DoF: math.NaN()}
	if err := checkReading(reading, uReading, level); err != nil {
		return e, err
	}
	e.Corrected = f.Corrected(reading)
	e.Outside = reading < f.xLow || reading > f.xHigh
	if f.Basis == NoBasis {
		return e, nil
	}
	vLine, vOwn := f.variance(reading), f.Slope*f.Slope*uReading*uReading
	e.U = math.Sqrt(vLine + vOwn)
	e.DoF = f.intervalDoF()
	e.K = f.factor(level, vLine, vOwn)
	e.Low, e.High = e.Corrected-e.K*e.U, e.Corrected+e.K*e.U
	return e, nil
}

// intervalDoF is the degrees of freedom behind the line's own uncertainty.
func (f *Fit) intervalDoF() float64 {
	if f.Basis == FromScatter {
		return float64(f.DoF)
	}
	return math.Inf(1)
}

func checkReading(reading, u, level float64) error {
	switch {
	case math.IsNaN(reading) || math.IsInf(reading, 0):
		return fmt.Errorf("reading %g: %w", reading, ErrNotFinite)
	case math.IsNaN(u) || math.IsInf(u, 0) || u < 0:
		return fmt.Errorf("standard uncertainty %g: must be 0 or more and finite", u)
	case !(level > 0 && level < 1):
		return fmt.Errorf("coverage level %g: must lie between 0 and 1", level)
	}
	return nil
}

// ReadingRange is the lowest and the highest reading of the points.
func (f *Fit) ReadingRange() (low, high float64) { return f.xLow, f.xHigh }

// ParameterLimits bounds slope and intercept, each by itself, at the given level; NaN where there
// is no basis. A robust line's slope has Sen's limits, whatever the level.
func (f *Fit) ParameterLimits(level float64) (slopeLow, slopeHigh, interceptLow, interceptHigh float64) {
	nan := math.NaN()
	if f.Method == MethodTheilSen {
		return f.SlopeLow, f.SlopeHigh, nan, nan
	}
	if f.Basis == NoBasis {
		return nan, nan, nan, nan
	}
	k := uncert.CoverageFactor(level, f.intervalDoF())
	return f.Slope - k*f.USlope, f.Slope + k*f.USlope, f.Intercept - k*f.UIntercept, f.Intercept + k*f.UIntercept
}
