package series

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/readings"
)

// calibrationFile are the parts of a calibration's JSON that matter here.
type calibrationFile struct {
	Quantity check.Kind `json:"quantity"`
	Unit     *string    `json:"unit"`
	Time     *string    `json:"time"`
	State    State      `json:"state"`
	Fit      *struct {
		Method      string   `json:"method"`
		Intercept   *float64 `json:"intercept"`
		Slope       *float64 `json:"slope"`
		UIntercept  *float64 `json:"u_intercept"`
		USlope      *float64 `json:"u_slope"`
		Cov         *float64 `json:"cov"`
		ReadingLow  *float64 `json:"reading_low"`
		ReadingHigh *float64 `json:"reading_high"`
	} `json:"fit"`
	Points []struct {
		Reading *float64 `json:"reading"`
	} `json:"points"`
}

// Filed is a calibration read from a file, and what the file says of the meter.
type Filed struct {
	Calibration
	Kind check.Kind // "" where it does not say
	Unit string     // "" where it does not say
}

// ReadCalibration reads what the calibrate command prints as JSON. name is what
// errors call the file, zone where a time without one was written. Errors say
// which key is missing or wrong.
func ReadCalibration(data []byte, name string, zone *time.Location) (Filed, error) {
	wrong := func(key, found, want string) (Filed, error) {
		return Filed{}, fmt.Errorf("%s, key %s: found %s; want %s", name, key, found, want)
	}
	data = bytes.TrimPrefix(data, []byte("\uFEFF"))
	var f calibrationFile
	if err := json.Unmarshal(data, &f); err != nil {
		return Filed{}, fmt.Errorf("%s: %w; want the JSON that calibrate --json prints", name, err)
	}
	switch {
	case f.Fit == nil:
		return wrong("fit", "nothing", "the line of a calibration, as calibrate --json prints it")
	case f.Fit.Intercept == nil:
		return wrong("fit.intercept", "nothing", "a number")
	case f.Fit.Slope == nil:
		return wrong("fit.slope", "nothing", "a number")
	case f.Time == nil || *f.Time == "":
		return wrong("time", "nothing", "when the calibration was made, such as 2026-03-01T08:30:00Z: give calibrate --time")
	}
	switch f.State {
	case "":
		f.State = AsFound
	case AsFound, AsLeft:
	default:
		return wrong("state", fmt.Sprintf("%.40q", string(f.State)), "as-found or as-left")
	}
	at, err := readings.ParseTime(*f.Time, zone)
	if err != nil {
		return Filed{}, fmt.Errorf("%s, key time: %w", name, err)
	}
	if at.Year() < firstYear || at.Year() > lastYear {
		return wrong("time", *f.Time, fmt.Sprintf("a year from %d to %d", firstYear, lastYear))
	}
	line, err := f.line()
	if err != nil {
		return Filed{}, fmt.Errorf("%s: %w", name, err)
	}
	filed := Filed{Calibration: Calibration{Time: at, State: f.State, Line: line, Name: name}, Kind: f.Quantity}
	if f.Unit != nil {
		filed.Unit = *f.Unit
	}
	return filed, nil
}

// line is the line of the file with the readings it covers: as the fit says,
// or else as the points do. A line through zero covers all below its points.
func (f *calibrationFile) line() (Line, error) {
	low, high := math.Inf(1), math.Inf(-1)
	if f.Fit.ReadingLow != nil && f.Fit.ReadingHigh != nil {
		low, high = *f.Fit.ReadingLow, *f.Fit.ReadingHigh
	} else {
		for _, p := range f.Points {
			if p.Reading != nil {
				low, high = min(low, *p.Reading), max(high, *p.Reading)
			}
		}
	}
	if low > high {
		low, high = math.Inf(-1), math.Inf(1)
	}
	if f.Fit.Method == "gain" {
		low = min(low, 0)
	}
	line := Line{Intercept: *f.Fit.Intercept, Slope: *f.Fit.Slope, Low: low, High: high}
	line.SetUncertainty(f.Fit.UIntercept, f.Fit.USlope, f.Fit.Cov)
	return line, line.check()
}

// SetUncertainty takes the standard uncertainties of intercept and slope and
// their covariance, nil where nobody knows them. A missing covariance beside an
// uncertainty that is there is taken as the one that makes corrected values least
// certain, for readings above zero.
func (l *Line) SetUncertainty(uIntercept, uSlope, cov *float64) {
	l.VarIntercept, l.VarSlope, l.Cov = math.NaN(), math.NaN(), math.NaN()
	if uIntercept == nil || uSlope == nil {
		return
	}
	l.VarIntercept, l.VarSlope = *uIntercept**uIntercept, *uSlope**uSlope
	l.Cov = *uIntercept * *uSlope
	if cov != nil {
		l.Cov = *cov
	}
}
