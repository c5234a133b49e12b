package reports

import (
	"encoding/json"
	"math"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/uncert"
)

// ReportCalibration is a calibration with its readings, the line with what it
// is worth, and what the command said of it then.
type ReportCalibration struct {
	CalibrationEntry
	Quantity    string              `json:"quantity"`
	UBasis      string              `json:"u_basis"` // scatter, stated or none
	ReadingLow  float64             `json:"reading_low"`
	ReadingHigh float64             `json:"reading_high"`
	At          List[CalibrateAt]   `json:"at"` // at both ends of the readings
	Readings    List[ReportReading] `json:"points"`
	Tolerance   Number              `json:"tolerance"`
	PWithin     Number              `json:"p_within"`
	Basis       *string             `json:"verdict_basis"`
	Why         *string             `json:"method_why"`
	Advice      List[string]        `json:"advice"`
	Remarks     List[string]        `json:"remarks"` // what was warned of then

	printed *Calibrate // what the command printed; nil where it cannot be read
}

// ReportReading is one reading of one reference. Error is reading - reference;
// its uncertainty is that of both together.
type ReportReading struct {
	Time      string  `json:"time"`
	Bottle    *string `json:"bottle"`
	BottleID  *string `json:"bottle_id"` // the version of a bottle on record
	RefSource *string `json:"ref_source"`
	Ref       float64 `json:"ref"`
	URef      Number  `json:"u_ref"` // own and shared parts together
	Reading   float64 `json:"reading"`
	UReading  Number  `json:"u_reading"`
	Error     float64 `json:"error"`
	UError    Number  `json:"u_error"`
	Corrected float64 `json:"corrected"`
	TempC     Number  `json:"temp_C"`
	MV        Number  `json:"mv"`
}

func newReportCalibration(c logbook.Calibration) ReportCalibration {
	out := ReportCalibration{
		CalibrationEntry: newCalibrationEntry(c), Quantity: c.Quantity, UBasis: c.UBasis,
		ReadingLow: c.ReadingLow, ReadingHigh: c.ReadingHigh,
	}
	for _, r := range c.Readings {
		out.Readings = append(out.Readings, newReportReading(c, r))
	}
	out.At = worthAt(c)
	var printed Calibrate
	if json.Unmarshal(c.Result, &printed) == nil && len(printed.Points) > 0 {
		out.printed = &printed
		out.Tolerance, out.PWithin = printed.Tolerance, printed.PWithin
		out.Basis, out.Why = printed.VerdictBasis, wordOrNull(printed.Fit.Why)
		out.Advice, out.Remarks = printed.Advice, List[string](printed.Warnings)
	}
	return out
}

// worthAt is what the line says at both ends of the readings; nothing where
// what is on record cannot have come from a fit.
func worthAt(c logbook.Calibration) List[CalibrateAt] {
	basis, err := line.ParseBasis(c.UBasis)
	if err != nil {
		return nil
	}
	fit, err := line.Restore(line.Parameters{
		Method: line.Method(c.Method), N: c.N, DoF: c.DoF, Intercept: c.Intercept, Slope: c.Slope,
		UIntercept: orNaN(optional(c.UIntercept)), USlope: orNaN(optional(c.USlope)), Covariance: orNaN(optional(c.Cov)), Basis: basis,
		ReadingLow: c.ReadingLow, ReadingHigh: c.ReadingHigh,
	})
	if err != nil {
		return nil
	}
	var out List[CalibrateAt]
	for i, at := range []float64{c.ReadingLow, c.ReadingHigh} {
		if i > 0 && at == c.ReadingLow {
			break
		}
		e, err := fit.At(at, line.Level)
		if err != nil {
			return nil
		}
		out = append(out, CalibrateAt{e.Reading, e.Corrected, finite(e.U), finite(e.Low), finite(e.High), e.Outside})
	}
	return out
}

func newReportReading(c logbook.Calibration, r logbook.Reading) ReportReading {
	at := r.Time
	if at.IsZero() {
		at = c.Time
	}
	out := ReportReading{
		Time: at.Format(time.RFC3339), Bottle: wordOrNull(r.Bottle), BottleID: wordOrNull(r.BottleID), RefSource: wordOrNull(r.RefSource),
		Ref: r.Ref, Reading: r.Reading, UReading: optional(r.UReading), Error: r.Reading - r.Ref,
		Corrected: c.Intercept + c.Slope*r.Reading, TempC: optional(r.TempC), MV: optional(r.MV),
	}
	ref, err := referenceOf(r)
	if err != nil {
		return out
	}
	known := len(ref.Unstated()) == 0
	out.URef = Maybe(ref.U(), known)
	reading := uncert.Unstated(r.Reading, readingSource)
	if r.UReading != nil {
		if reading, err = uncert.New(r.Reading, *r.UReading, readingSource); err != nil {
			return out
		}
	}
	out.UError = Maybe(reading.Sub(ref).U(), known && r.UReading != nil)
	return out
}

// Sources of a reading on record.
var (
	readingSource = uncert.Source{ID: "reading", Label: "reading"}
	ownSource     = uncert.Source{ID: "reference", Label: "reference"}
	sharedSource  = uncert.Source{ID: "reference, shared", Label: "what references share"}
)

// referenceOf is a reference as it was read, with all of its uncertainty.
func referenceOf(r logbook.Reading) (uncert.Value, error) {
	if len(r.RefParts) > 0 {
		return uncert.FromParts(r.Ref, r.RefParts)
	}
	if r.URef == nil {
		return uncert.Unstated(r.Ref, ownSource), nil
	}
	ref, err := uncert.New(r.Ref, *r.URef, ownSource)
	if err != nil || r.URefShared == nil {
		return ref, err
	}
	return ref.With(*r.URefShared, sharedSource)
}

// worstSeen writes the largest error, rounded by the uncertainty of the reading it
// comes from, and with it where that is asked for.
func (c ReportCalibration) worstSeen(with bool) string {
	worst, known := c.WorstError.Get()
	if !known {
		return ""
	}
	u, nearest := Unknown(), math.Inf(1)
	for _, p := range c.Readings {
		error, size := p.Error, p.UError
		if c.Relative {
			if p.Ref == 0 {
				continue
			}
			error, size = p.relative()
		}
		if far := math.Abs(error - worst); far < nearest {
			u, nearest = size, far
		}
	}
	size, stated := u.Get()
	if !stated || size == 0 {
		return c.worstText()
	}
	unit := ""
	if c.Relative {
		worst, size, unit = 100*worst, 100*size, " %"
	}
	text := plusMinus(worst, size)
	if !with {
		text, _, _ = strings.Cut(text, " ")
	}
	return text + unit
}

// ReportAdjustment is the meter before and after something was done to it.
type ReportAdjustment struct {
	Time    string       `json:"time"` // of the calibration as left
	Before  *string      `json:"before"`
	After   string       `json:"after"`
	Events  List[string] `json:"events"`
	Found   Number       `json:"worst_error_before"`
	FoundIs *string      `json:"verdict_before"`
	Left    Number       `json:"worst_error_after"`
	LeftIs  *string      `json:"verdict_after"`
	found   ReportCalibration
	left    ReportCalibration
}

// adjustments pairs each calibration as left with the last one as found before
// it, and names what was done between.
func (r *Report) adjustments() List[ReportAdjustment] {
	var out List[ReportAdjustment]
	var found *ReportCalibration
	left := "" // the time of the last one as left
	for i := range r.Calibrations {
		c := &r.Calibrations[i]
		if c.State != "as-left" {
			found = c
			continue
		}
		a := ReportAdjustment{Time: c.Time, After: c.ID, Left: c.WorstError, LeftIs: c.Verdict, left: *c}
		from := ""
		if found != nil {
			a.Before, a.Found, a.FoundIs, a.found = &found.ID, found.WorstError, found.Verdict, *found
			from = found.Time
		}
		for _, e := range r.Events {
			if e.Event != "note" && from <= e.Time && left < e.Time && e.Time <= c.Time {
				a.Events = append(a.Events, e.Event)
			}
		}
		out = append(out, a)
		found, left = nil, c.Time
	}
	return out
}
