package electrode

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/scatter"
	"github.com/brinemark/brinemark/calib/uncert"
)

// Causes a calibration can be refused for. Errors of this package wrap one of
// them, or the error of a range.
var (
	ErrNoPoints      = errors.New("no buffer was read")
	ErrNotFinite     = errors.New("not a finite number")
	ErrSameBuffer    = errors.New("the points are one buffer")
	ErrWrongSign     = errors.New("the slope has the wrong sign")
	ErrWrongUnit     = errors.New("the potentials look like volts")
	ErrWrongBasis    = errors.New("the calibration has no such readings")
	ErrNotDetermined = errors.New("the calibration has no slope that could be used")
	ErrNoOwnErrors   = errors.New("no point has an uncertainty of its own")
)

// MinSpanPH is the smallest distance between two buffers from which a slope is
// computed (common practice, no source): below it the points are one buffer.
const MinSpanPH = 0.5

// Point is one buffer read in millivolts.
//
// The values carry their own uncertainty: use [uncert.New] for a stated one,
// [uncert.Exact] for an exact number and [uncert.Unstated] where nobody said.
type Point struct {
	// PH is the buffer's pH at the temperature of the reading, from its table
	// and not from the 25 C label.
	PH uncert.Value
	MV uncert.Value
	// TempC is the temperature of buffer and electrode; nil where it was not
	// recorded, which is taken as 25 C with a warning.
	TempC *uncert.Value
}

// DisplayPoint is one buffer read on a meter that shows pH only. Fields as for
// [Point].
type DisplayPoint struct {
	PH      uncert.Value
	Reading uncert.Value // pH on the display
	TempC   *uncert.Value
}

// assumedTempC is used where no temperature was recorded.
const assumedTempC = 25.0

// row is a point of either kind, ready for the fit y = a + b·x, with x in the
// unit of the reading.
type row struct {
	ph, reading uncert.Value
	tempC       float64
	temp        uncert.Value // tempC with the sources of the thermometer
	hasTemp     bool
	unjudged    bool    // its uncertainty was not stated
	perPH       float64 // change of x for one pH
	x, y        uncert.Value
}

// newRow checks one point; i counts from 0.
func newRow(i int, ph, reading uncert.Value, tempC *uncert.Value) (row, error) {
	r := row{ph: ph, reading: reading, tempC: assumedTempC, temp: uncert.Exact(assumedTempC)}
	what := fmt.Sprintf("point %d", i+1)
	for _, v := range []float64{ph.Nominal(), reading.Nominal()} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return r, fmt.Errorf("%s: %v is no measurement: %w", what, v, ErrNotFinite)
		}
	}
	if err := PHRange().Check(what, ph.Nominal()); err != nil {
		return r, err
	}
	if tempC != nil {
		r.tempC, r.hasTemp = tempC.Nominal(), true
		if err := TemperatureRange().Check(what, r.tempC); err != nil {
			return r, err
		}
		// A thermometer that nobody judged is taken as good, with a warning.
		r.unjudged = len(tempC.Unstated()) > 0
		r.temp = scatter.StatedOnly(*tempC)
	}
	return r, nil
}

// unstated reports whether some part of the point's uncertainty is unknown.
func (r row) unstated() bool {
	return len(r.ph.Unstated()) > 0 || len(r.reading.Unstated()) > 0
}

// span returns the lowest and the highest buffer.
func span(rows []row) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, r := range rows {
		low, high = math.Min(low, r.ph.Nominal()), math.Max(high, r.ph.Nominal())
	}
	return low, high
}

// meanTemp returns the mean temperature of the points and their spread.
func meanTemp(rows []row) (mean uncert.Value, spread float64) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range rows {
		mean = mean.Add(r.temp)
		low, high = math.Min(low, r.tempC), math.Max(high, r.tempC)
	}
	return mean.Scale(1 / float64(len(rows))), high - low
}

// widestGap returns the largest distance between neighbouring buffers.
func widestGap(rows []row) float64 {
	ph := make([]float64, 0, len(rows))
	for _, r := range rows {
		ph = append(ph, r.ph.Nominal())
	}
	slices.Sort(ph)
	gap := 0.0
	for i := 1; i < len(ph); i++ {
		gap = math.Max(gap, ph[i]-ph[i-1])
	}
	return gap
}
