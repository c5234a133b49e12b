package series

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/readings"
)

// calibrationFile are the parts of a calibration's JSON that matter here.
type calibrationFile struct {
	Meter    *string     `json:"meter"`
	Quantity *string     `json:"quantity"`
	Unit     *string     `json:"unit"`
	Time     *string     `json:"time"`
	State    *string     `json:"state"`
	Fit      *fileFit    `json:"fit"`
	Points   []FilePoint `json:"points"`
	// AsLeft is a second calibration in the same file, after an adjustment.
	AsLeft *calibrationFile `json:"as_left"`
}

type fileFit struct {
	Method      string   `json:"method"`
	Intercept   *float64 `json:"intercept"`
	Slope       *float64 `json:"slope"`
	UIntercept  *float64 `json:"u_intercept"`
	USlope      *float64 `json:"u_slope"`
	Cov         *float64 `json:"cov"`
	Basis       string   `json:"u_basis"`
	DoF         *int     `json:"dof"`
	ReadingLow  *float64 `json:"reading_low"`
	ReadingHigh *float64 `json:"reading_high"`
}

// FilePoint is a reading of a reference in a calibration's file; a figure that
// is nil is not stated there.
type FilePoint struct {
	Ref        *float64 `json:"ref"`
	Reading    *float64 `json:"reading"`
	URef       *float64 `json:"u_ref"`
	RefSource  *string  `json:"ref_source"`
	URefShared *float64 `json:"u_ref_shared"`
	UReading   *float64 `json:"u_reading"`
	Bottle     *string  `json:"bottle"`
}

// Filed is a calibration read from a file, and what the file says of the meter.
type Filed struct {
	Calibration
	Meter  string     // "" where it does not say
	Kind   check.Kind // "" where it does not say
	Unit   string     // "" where it does not say
	Points []FilePoint
	// DoF are the degrees of freedom behind the line's uncertainties where these
	// rest on the scatter of its points; 0 where they do not.
	DoF int
}

// ReadCalibration reads what the calibrate command prints as JSON: one
// calibration or, of a meter read before and after an adjustment, two. name is
// what errors call the file, zone where a time without one was written. Errors
// say which key is missing or wrong.
func ReadCalibration(data []byte, name string, zone *time.Location) ([]Filed, error) {
	data = bytes.TrimPrefix(data, []byte("\uFEFF"))
	var f calibrationFile
	if err := json.Unmarshal(data, &f); err != nil {
		return nil, fmt.Errorf("%s: found no JSON of a calibration (%w); want what calibrate --json prints", name, err)
	}
	first, err := f.read(name, zone)
	if err != nil {
		return nil, err
	}
	filed := []Filed{first}
	if f.AsLeft != nil {
		if f.AsLeft.Time == nil {
			f.AsLeft.Time = f.Time
		}
		left, err := f.AsLeft.read(name+", as_left", zone)
		if err != nil {
			return nil, err
		}
		filed = append(filed, left)
	}
	return filed, nil
}

// keyError is a key of a calibration's file that is missing or wrong.
func keyError(name, key, found, want string) error {
	return fmt.Errorf("%s, key %s: found %s; want %s", name, key, found, want)
}

func (f *calibrationFile) read(name string, zone *time.Location) (Filed, error) {
	switch {
	case f.Fit == nil:
		return Filed{}, keyError(name, "fit", "nothing", "the line of a calibration, as calibrate --json prints it")
	case f.Fit.Intercept == nil:
		return Filed{}, keyError(name, "fit.intercept", "nothing", "a number")
	case f.Fit.Slope == nil:
		return Filed{}, keyError(name, "fit.slope", "nothing", "a number")
	case f.Time == nil || *f.Time == "":
		return Filed{}, keyError(name, "time", "nothing", "when the calibration was made, such as 2026-03-01T08:30:00Z: give calibrate --time")
	}
	filed := Filed{Meter: text(f.Meter), Kind: check.Kind(text(f.Quantity)), Unit: text(f.Unit), Points: f.Points}
	filed.Name = name
	if filed.Kind != "" && !isKind(filed.Kind) {
		return filed, keyError(name, "quantity", fmt.Sprintf("%.40q", string(filed.Kind)), "one of "+strings.Join(kindWords(), ", "))
	}
	switch filed.State = State(text(f.State)); filed.State {
	case "":
		filed.State = AsFound
	case AsFound, AsLeft:
	default:
		return filed, keyError(name, "state", fmt.Sprintf("%.40q", string(filed.State)), "as-found or as-left")
	}
	at, err := readings.ParseTime(*f.Time, zone)
	if err != nil {
		return filed, fmt.Errorf("%s, key time: %w", name, err)
	}
	if at.Year() < firstYear || at.Year() > lastYear {
		return filed, keyError(name, "time", *f.Time, fmt.Sprintf("a year from %d to %d", firstYear, lastYear))
	}
	filed.Time = at
	if filed.Line, err = f.line(name); err != nil {
		return filed, err
	}
	filed.DoF = f.Fit.scattered()
	return filed, nil
}

// scattered are the degrees of freedom of uncertainties from scatter. A file
// that does not say what they rest on has a method that does.
func (f *fileFit) scattered() int {
	byScatter := f.Basis == "scatter" || f.Basis == "" && (f.Method == "line" || f.Method == "gain" || f.Method == "theil-sen")
	if !byScatter || f.DoF == nil {
		return 0
	}
	return max(*f.DoF, 0)
}

func text(s *string) string {
	if s == nil {
		return ""
	}
	return strings.TrimSpace(*s)
}

func isKind(kind check.Kind) bool {
	for _, k := range check.Kinds() {
		if k == kind {
			return true
		}
	}
	return false
}

func kindWords() []string {
	var words []string
	for _, k := range check.Kinds() {
		words = append(words, string(k))
	}
	return words
}

// covered are the readings that the line covers, without ends where the file
// does not say.
func (f *calibrationFile) covered() (low, high float64) {
	if f.Fit.ReadingLow != nil && f.Fit.ReadingHigh != nil {
		return *f.Fit.ReadingLow, *f.Fit.ReadingHigh
	}
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range f.Points {
		if p.Reading != nil {
			low, high = min(low, *p.Reading), max(high, *p.Reading)
		}
	}
	if low > high {
		return math.Inf(-1), math.Inf(1)
	}
	return low, high
}

// line is the line of the file with the readings it covers: as the fit says,
// or else as the points do. A line through zero covers all below its points.
func (f *calibrationFile) line(name string) (Line, error) {
	low, high := f.covered()
	if f.Fit.Method == "gain" {
		low = min(low, 0)
	}
	line := Line{Intercept: *f.Fit.Intercept, Slope: *f.Fit.Slope, Low: low, High: high}
	for key, u := range map[string]*float64{"fit.u_intercept": f.Fit.UIntercept, "fit.u_slope": f.Fit.USlope} {
		if u != nil && *u < 0 {
			return line, keyError(name, key, fmt.Sprint(*u), "0 or more, or null where it is not known")
		}
	}
	uIntercept := f.Fit.UIntercept
	if uIntercept == nil && f.Fit.Method == "gain" && line.Intercept == 0 {
		uIntercept = new(float64) // a line through zero has no other
	}
	line.SetUncertainty(uIntercept, f.Fit.USlope, f.Fit.Cov)
	if err := line.check(); err != nil {
		return line, fmt.Errorf("%s, key fit: %w", name, err)
	}
	return line, nil
}

// SetUncertainty takes the standard uncertainties of intercept and slope and
// their covariance, nil where nobody knows them. A missing covariance beside
// uncertainties that are there is taken as the one that makes corrected values
// least certain, for readings above zero. One that is too large by a little, as
// rounded figures are, is taken as the largest there can be.
func (l *Line) SetUncertainty(uIntercept, uSlope, cov *float64) {
	l.VarIntercept, l.VarSlope, l.Cov = math.NaN(), math.NaN(), math.NaN()
	if uIntercept == nil || uSlope == nil {
		return
	}
	l.VarIntercept, l.VarSlope = *uIntercept**uIntercept, *uSlope**uSlope
	most := *uIntercept * *uSlope
	switch l.Cov = most; {
	case cov == nil:
	case math.Abs(*cov) > most && math.Abs(*cov) <= most*(1+writtenShort):
		l.Cov = math.Copysign(most, *cov)
	default:
		l.Cov = *cov
	}
}

// writtenShort is how far off a figure is that somebody wrote with two digits.
const writtenShort = 0.05
