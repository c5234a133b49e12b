package tempcomp

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Observation is one line of a bench sheet: what the meter showed, in the unit
// of its display, and what the thermometer showed, in C. Uncertainties are
// standard ones (k = 1); nil is unknown, 0 is exact.
type Observation struct {
	Reading  float64
	UReading *float64
	TempC    float64
	// UTempC is this temperature's own: reading the thermometer, stirring.
	UTempC *float64
}

// ThermometerID identifies the error that all temperatures of one thermometer
// share.
const ThermometerID = "thermometer"

// Observed turns a bench sheet into readings. uThermometer is the standard
// uncertainty (C) of the thermometer itself, one error in all lines; nil where
// nobody stated it apart. A temperature with neither of the two is an unstated
// one; so is a reading without its own. Errors: an uncertainty that is negative or not
// finite, as a [*ReadingError].
func Observed(sheet []Observation, uThermometer *float64) ([]Reading, error) {
	out := make([]Reading, len(sheet))
	for i, o := range sheet {
		shown, err := stateOrNot(uncert.Exact(o.Reading), o.UReading, uncert.Source{ID: fmt.Sprintf("reading:%d", i), Label: "reading"})
		if err != nil {
			return nil, &ReadingError{Index: i, Of: OfReading, Err: err}
		}
		temp := uncert.Exact(o.TempC)
		if o.UTempC != nil || uThermometer == nil {
			temp, err = stateOrNot(temp, o.UTempC, uncert.Source{ID: fmt.Sprintf("temperature:%d", i), Label: "temperature"})
		}
		if err == nil && uThermometer != nil {
			temp, err = stateOrNot(temp, uThermometer, uncert.Source{ID: ThermometerID, Label: "thermometer"})
		}
		if err != nil {
			return nil, &ReadingError{Index: i, Of: OfTemperature, Err: err}
		}
		out[i] = Reading{Shown: shown, TempC: temp}
	}
	return out, nil
}

// stateOrNot adds a source to v, unstated where u is nil.
func stateOrNot(v uncert.Value, u *float64, s uncert.Source) (uncert.Value, error) {
	if u == nil {
		return v.Add(uncert.Unstated(0, s)), nil
	}
	return v.With(*u, s)
}

// What a [ReadingError] is about.
const (
	OfReading     = "reading"
	OfTemperature = "temperature"
)

// ReadingError is a fault of one reading.
type ReadingError struct {
	Index int    // counts from 0
	Of    string // OfReading or OfTemperature: which of its two numbers
	Err   error
}

// Error names the reading, counted from 1.
func (e *ReadingError) Error() string { return fmt.Sprintf("reading %d: %v", e.Index+1, e.Err) }

// Unwrap returns the cause.
func (e *ReadingError) Unwrap() error { return e.Err }
