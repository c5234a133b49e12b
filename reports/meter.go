package reports

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
)

// MeterEntry is a meter on record, in one version. Figures are in its unit.
type MeterEntry struct {
	ID                string  `json:"id"` // of this version
	Meter             string  `json:"meter"`
	Quantity          string  `json:"quantity"`
	Unit              *string `json:"unit"`
	PPMFactor         Number  `json:"ppm_factor"`
	Resolution        Number  `json:"resolution"`
	RangeLow          Number  `json:"range_low"`
	RangeHigh         Number  `json:"range_high"`
	Compensation      *string `json:"compensation"`
	Alpha             Number  `json:"alpha_per_C"`
	RefTempC          Number  `json:"ref_temp_C"`
	Tolerance         Number  `json:"tolerance"`
	ToleranceRelative bool    `json:"tolerance_relative"`
	Note              *string `json:"note"`
	RetiredAt         *string `json:"retired_at"`
	RecordedAt        string  `json:"recorded_at"`
	Supersedes        *string `json:"supersedes"`
}

func newMeterEntry(m logbook.Meter) MeterEntry {
	return MeterEntry{
		ID: m.ID, Meter: m.Name, Quantity: m.Quantity, Unit: wordOrNull(m.Unit),
		PPMFactor: optional(m.PPMFactor), Resolution: optional(m.Resolution),
		RangeLow: optional(m.RangeLow), RangeHigh: optional(m.RangeHigh),
		Compensation: wordOrNull(m.Compensation), Alpha: optional(m.Alpha), RefTempC: optional(m.RefTempC),
		Tolerance: optional(m.Tolerance), ToleranceRelative: m.ToleranceRelative,
		Note: wordOrNull(m.Note), RetiredAt: timeOrNull(m.RetiredAt), RecordedAt: m.RecordedAt.Format(time.RFC3339),
		Supersedes: wordOrNull(m.Supersedes),
	}
}

// timeOrNull is a time as RFC 3339, and null for the zero time.
func timeOrNull(t time.Time) *string {
	if t.IsZero() {
		return nil
	}
	return wordOrNull(t.Format(time.RFC3339))
}

// MeterAdded is a meter that was put on record, or a new version of it.
type MeterAdded struct {
	MeterEntry
	Warnings Warnings `json:"warnings"`
}

// NewMeterAdded makes the result.
func NewMeterAdded(m logbook.Meter, warnings []string) *MeterAdded {
	return &MeterAdded{newMeterEntry(m), warnings}
}

// WarningList gives the warnings.
func (r *MeterAdded) WarningList() []string { return r.Warnings }

// Table writes the meter for people.
func (r *MeterAdded) Table(w io.Writer, s Style) error { return r.write(w, s) }

func (e MeterEntry) write(w io.Writer, s Style) error {
	var f Fields
	f.Add("meter", e.Meter)
	f.Add("measures", e.Quantity+", shown in "+e.unitText())
	if x, ok := e.Resolution.Get(); ok {
		f.Add("resolution", asTyped(x))
	}
	if text := e.rangeText(); text != "" {
		f.Add("range", text)
	}
	if e.Compensation != nil {
		f.Add("compensation", e.compensationText())
	}
	f.Add("tolerance", e.toleranceText())
	if e.RetiredAt != nil {
		f.Add("out of use", "since "+day(*e.RetiredAt))
	}
	if e.Note != nil {
		f.Add("note", *e.Note)
	}
	f.Add("on record", day(e.RecordedAt)+" as "+e.ID)
	return f.Write(w, s)
}

func (e MeterEntry) unitText() string {
	switch factor, ok := e.PPMFactor.Get(); {
	case ok:
		return fmt.Sprintf("ppm (%s for each uS/cm)", asTyped(factor))
	case e.Unit == nil:
		return "a unit nobody named"
	}
	return *e.Unit
}

func (e MeterEntry) rangeText() string {
	low, hasLow := e.RangeLow.Get()
	high, hasHigh := e.RangeHigh.Get()
	switch {
	case hasLow && hasHigh:
		return fmt.Sprintf("%s to %s", asTyped(low), asTyped(high))
	case hasHigh:
		return "up to " + asTyped(high)
	case hasLow:
		return "from " + asTyped(low)
	}
	return ""
}

func (e MeterEntry) compensationText() string {
	text := *e.Compensation
	if alpha, ok := e.Alpha.Get(); ok {
		ref, _ := e.RefTempC.Get()
		text += fmt.Sprintf(", %s %% for each C, to %s C", asTyped(100*alpha), asTyped(ref))
	}
	return text
}

func (e MeterEntry) toleranceText() string {
	x, ok := e.Tolerance.Get()
	switch {
	case !ok:
		return "none given"
	case e.ToleranceRelative:
		return asTyped(100*x) + " % of the reference"
	}
	return asTyped(x)
}

// day is the date of a time as RFC 3339.
func day(text string) string { return text[:len(time.DateOnly)] }

// MeterList is the meters on record.
type MeterList struct {
	Meters   List[MeterLine] `json:"meters"`
	Warnings Warnings        `json:"warnings"`
}

// MeterLine is a meter with its last check.
type MeterLine struct {
	MeterEntry
	LastCheck *CalibrationEntry `json:"last_check"`
}

// NewMeterList makes the result of the meters and the last calibration of each.
func NewMeterList(meters []logbook.Meter, last []logbook.Calibration) *MeterList {
	out := &MeterList{}
	by := map[string]CalibrationEntry{}
	for _, c := range last {
		by[c.Meter] = newCalibrationEntry(c)
	}
	for _, m := range meters {
		line := MeterLine{MeterEntry: newMeterEntry(m)}
		if c, ok := by[m.Name]; ok {
			line.LastCheck = &c
		}
		out.Meters = append(out.Meters, line)
	}
	return out
}

// WarningList gives the warnings.
func (r *MeterList) WarningList() []string { return r.Warnings }

// Table writes the list for people.
func (r *MeterList) Table(w io.Writer, s Style) error {
	if len(r.Meters) == 0 {
		_, err := io.WriteString(w, "There is no meter on record yet; \"meter add\" puts one there.\n")
		return err
	}
	t := NewTable(Column{Name: "meter", Text: true}, Column{Name: "measures", Text: true}, Column{Name: "unit", Text: true}, Column{Name: "tolerance"},
		Column{Name: "last check"}, Column{Name: "state", Text: true}, Column{Name: "verdict", Text: true}, Column{Name: "note", Text: true})
	versions := map[string]int{}
	for _, m := range r.Meters {
		versions[m.Meter]++
	}
	for _, m := range r.Meters {
		checked, state, verdict := "never", "", ""
		if c := m.LastCheck; c != nil {
			checked, state, verdict = day(c.Time), c.State, s.Verdict(wordOrEmpty(c.Verdict))
		}
		note := listNote(m.Note)
		if m.RetiredAt != nil {
			note = joined("out of use since "+day(*m.RetiredAt), note)
		}
		if versions[m.Meter] > 1 {
			note = joined("version "+m.ID, note)
		}
		tolerance := strings.TrimSuffix(m.toleranceText(), " of the reference")
		if !m.Tolerance.IsKnown() {
			tolerance = ""
		}
		t.Row(m.Meter, m.Quantity, wordOrEmpty(m.Unit), tolerance, checked, state, verdict, note)
	}
	return t.Write(w, s)
}

func joined(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

// CalibrationEntry is a calibration on record.
type CalibrationEntry struct {
	ID         string  `json:"id"`
	Time       string  `json:"time"`
	State      string  `json:"state"`
	Unit       *string `json:"unit"` // of the readings, and of what is said of them
	Method     string  `json:"method"`
	N          int     `json:"readings"`
	Slope      float64 `json:"slope"`
	USlope     Number  `json:"u_slope"`
	Intercept  float64 `json:"intercept"`
	UIntercept Number  `json:"u_intercept"`
	WorstError Number  `json:"worst_error"` // a fraction where the tolerance is one
	Relative   bool    `json:"tolerance_relative"`
	Verdict    *string `json:"verdict"`
	Note       *string `json:"note"`
	Supersedes *string `json:"supersedes"`
	Superseded bool    `json:"superseded"`
}

func newCalibrationEntry(c logbook.Calibration) CalibrationEntry {
	e := CalibrationEntry{
		ID: c.ID, Time: c.Time.Format(time.RFC3339), State: c.State, Unit: wordOrNull(c.Unit), Method: c.Method, N: len(c.Readings),
		Slope: c.Slope, USlope: optional(c.USlope), Intercept: c.Intercept, UIntercept: optional(c.UIntercept),
		Verdict: wordOrNull(c.Verdict), Note: wordOrNull(c.Note), Supersedes: wordOrNull(c.Supersedes),
	}
	// What the command printed then; a result without these keys has none.
	var printed struct {
		WorstError Number `json:"worst_error"`
		Relative   bool   `json:"tolerance_relative"`
	}
	if json.Unmarshal(c.Result, &printed) == nil {
		e.WorstError, e.Relative = printed.WorstError, printed.Relative
	}
	return e
}

func (e CalibrationEntry) worstText() string { return errorText(e.WorstError, e.Relative) }

// errorText writes a signed error, a fraction in percent; "" where none is known.
func errorText(error Number, relative bool) string {
	x, ok := error.Get()
	switch {
	case !ok:
		return ""
	case relative:
		return fmt.Sprintf("%+.2f %%", 100*x)
	}
	return fmt.Sprintf("%+.3g", x)
}
