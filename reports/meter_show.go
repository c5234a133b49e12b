package reports

import (
	"io"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
)

// MeterHistory is what is on record of one meter.
type MeterHistory struct {
	Meter        logbook.Meter
	Versions     []logbook.Meter // empty unless they are asked for
	Calibrations []logbook.Calibration
	Comparisons  []logbook.Comparison // in which the meter took part
	Events       []logbook.Event
}

// MeterShown is one meter with its history.
type MeterShown struct {
	MeterEntry
	Versions     List[MeterEntry]       `json:"versions"`
	Calibrations List[CalibrationEntry] `json:"calibrations"`
	Comparisons  List[ComparisonEntry]  `json:"comparisons"`
	Events       List[EventEntry]       `json:"events"`
	Warnings     Warnings               `json:"warnings"`
}

// NewMeterShown makes the result.
func NewMeterShown(h MeterHistory) *MeterShown {
	out := &MeterShown{MeterEntry: newMeterEntry(h.Meter)}
	for _, m := range h.Versions {
		out.Versions = append(out.Versions, newMeterEntry(m))
	}
	for _, c := range h.Calibrations {
		e := newCalibrationEntry(c)
		e.Superseded = slices.ContainsFunc(h.Calibrations, func(later logbook.Calibration) bool { return later.Supersedes == c.ID })
		out.Calibrations = append(out.Calibrations, e)
	}
	for _, c := range h.Comparisons {
		out.Comparisons = append(out.Comparisons, newComparisonEntry(c, h.Meter.Name))
	}
	for _, v := range h.Events {
		e := newEventEntry(v)
		e.Superseded = slices.ContainsFunc(h.Events, func(later logbook.Event) bool { return later.Supersedes == v.ID })
		out.Events = append(out.Events, e)
	}
	return out
}

// WarningList gives the warnings.
func (r *MeterShown) WarningList() []string { return r.Warnings }

// Table writes the meter and its history for people, by time.
func (r *MeterShown) Table(w io.Writer, s Style) error {
	if err := r.write(w, s); err != nil {
		return err
	}
	if len(r.Versions) > 1 {
		if err := r.writeVersions(w, s); err != nil {
			return err
		}
	}
	if err := Heading(w, s, "History"); err != nil {
		return err
	}
	if len(r.Calibrations)+len(r.Comparisons)+len(r.Events) == 0 {
		_, err := io.WriteString(w, "nothing yet; \"calibrate … --meter ID --save\" keeps a check, \"event add\" an event\n")
		return err
	}
	t := NewTable(Column{Name: "time"}, Column{Name: "what", Text: true}, Column{Name: "slope"}, Column{Name: "intercept", Unit: wordOrEmpty(r.Unit)},
		Column{Name: "worst error"}, Column{Name: "verdict", Text: true}, Column{Name: "note", Text: true})
	type row struct {
		time  string
		cells []string
	}
	var rows []row
	for _, c := range r.Calibrations {
		note := wordOrEmpty(c.Note)
		if c.Superseded {
			note = joined("superseded", note)
		}
		slope, _ := Round(c.Slope, c.USlope)
		intercept, _ := Round(c.Intercept, c.UIntercept)
		if c.Method == "gain" {
			intercept = ""
		}
		rows = append(rows, row{c.Time, []string{minute(c.Time), c.State, slope, intercept, c.worstText(), s.Verdict(wordOrEmpty(c.Verdict)), note}})
	}
	for _, c := range r.Comparisons {
		note := joined("with "+strings.Join(c.With, ", "), wordOrEmpty(c.Note))
		rows = append(rows, row{c.Time, []string{minute(c.Time), "compared", "", "", errorText(c.WorstError, c.Relative), s.Verdict(wordOrEmpty(c.Verdict)), note}})
	}
	for _, e := range r.Events {
		note := wordOrEmpty(e.Note)
		if e.Superseded {
			note = joined("superseded", note)
		}
		rows = append(rows, row{e.Time, []string{minute(e.Time), e.Event, "", "", "", "", note}})
	}
	slices.SortStableFunc(rows, func(a, b row) int { return compareText(a.time, b.time) })
	for _, line := range rows {
		t.Row(line.cells...)
	}
	return t.Write(w, s)
}

func (r *MeterShown) writeVersions(w io.Writer, s Style) error {
	if err := Heading(w, s, "Versions"); err != nil {
		return err
	}
	t := NewTable(Column{Name: "version", Text: true}, Column{Name: "on record"}, Column{Name: "unit", Text: true}, Column{Name: "tolerance"}, Column{Name: "note", Text: true})
	for _, v := range r.Versions {
		note := wordOrEmpty(v.Note)
		if v.RetiredAt != nil {
			note = joined("out of use since "+day(*v.RetiredAt), note)
		}
		t.Row(v.ID, day(v.RecordedAt), v.unitText(), v.toleranceText(), note)
	}
	return t.Write(w, s)
}

func compareText(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// minute is a time as RFC 3339 for a table, in UTC as it is kept.
func minute(text string) string {
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return text
	}
	return t.UTC().Format("2006-01-02 15:04")
}
