package reports

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
)

// ReportSource is what a report is made of.
type ReportSource struct {
	MeterHistory
	// Bottles are all versions of each bottle on record that a reading names,
	// each list the first version first.
	Bottles [][]logbook.Bottle
	// Drift is nil where it cannot be told; NoDrift then says why, "" where
	// nothing was ever checked.
	Drift   *Drift
	NoDrift string
	Now     time.Time
	// Later are the identities of what is left out, since it is of a later day.
	Later []string
	// What a person says about the report; "" for nothing.
	By, Place, For string
}

// Report is all that is known of one meter. Figures are in the unit of its
// readings unless their names end in another; uncertainties are standard ones
// (k = 1), low and high bound 95 %.
type Report struct {
	ID         string  `json:"report"` // the meter, the day and a part of the content's hash
	Issued     string  `json:"issued"` // a day
	Accredited bool    `json:"accredited"`
	Statement  string  `json:"statement"`
	By         *string `json:"by"`
	Place      *string `json:"place"`
	For        *string `json:"for"`

	Meter       string     `json:"meter"`
	Description MeterEntry `json:"description"`
	// State is pass, fail, undecided, no-tolerance, not-checked or out-of-use.
	State     string  `json:"state"`
	StateText string  `json:"state_text"` // one sentence
	Verdict   *string `json:"verdict"`    // of the meter today
	Due       *string `json:"due"`
	NextCheck *string `json:"next_check"`
	// OverdueSince is the day, before this one, from which on a check was due.
	OverdueSince *string      `json:"overdue_since"`
	LastSeen     *ReportSight `json:"last_seen"` // null where drift cannot be told

	Method       List[string]            `json:"method"`
	Calibrations List[ReportCalibration] `json:"calibrations"` // by time
	Adjustments  List[ReportAdjustment]  `json:"adjustments"`
	Comparisons  List[ComparisonEntry]   `json:"comparisons"`
	Events       List[EventEntry]        `json:"events"`
	Bottles      List[ReportBottle]      `json:"bottles"`
	Conditions   ReportConditions        `json:"conditions"`
	Traceability List[string]            `json:"traceability"`
	Drift        *Drift                  `json:"drift"`
	NoDrift      *string                 `json:"drift_not_told"`
	Exclusions   List[string]            `json:"exclusions"` // what the results leave out
	Warnings     Warnings                `json:"warnings"`

	later []string // identities of what is left out as later than its day
}

// ReportConditions are the circumstances on record under which references were
// read.
type ReportConditions struct {
	Readings     int    `json:"readings"`
	WithTemp     int    `json:"readings_with_temp"`
	TempLowC     Number `json:"temp_low_C"`
	TempHighC    Number `json:"temp_high_C"`
	Compensation string `json:"compensation"`
}

// NewReport makes the report.
func NewReport(from ReportSource) (*Report, error) {
	m := from.Meter
	out := &Report{
		Issued:    from.Now.Format(dayFormat),
		Statement: reportStatement,
		By:        wordOrNull(from.By), Place: wordOrNull(from.Place), For: wordOrNull(from.For),
		Meter: m.Name, Description: newMeterEntry(m), Drift: from.Drift, NoDrift: wordOrNull(from.NoDrift),
	}
	for _, c := range from.Calibrations {
		out.Calibrations = append(out.Calibrations, newReportCalibration(c))
	}
	for _, c := range from.Comparisons {
		out.Comparisons = append(out.Comparisons, newComparisonEntry(c, m.Name))
	}
	for _, e := range from.Events {
		out.Events = append(out.Events, newEventEntry(e))
	}
	if from.Drift != nil {
		out.Verdict, out.Due, out.NextCheck, out.OverdueSince = from.Drift.Verdict, from.Drift.Due, &from.Drift.NextCheck, from.Drift.OverdueSince
		out.Warnings = append(out.Warnings, from.Drift.Warnings...)
	}
	if out.later = from.Later; len(out.later) > 0 {
		out.Warnings = append(out.Warnings, leftOutLater(out.later, out.Issued))
	}
	if m.Retired() {
		out.Verdict, out.Due, out.NextCheck, out.OverdueSince = nil, nil, nil, nil
	}
	if len(out.Calibrations) == 0 && !m.Retired() {
		today := from.Now.Format(dayFormat) // as drift --all has it
		out.NextCheck = &today
	}
	out.Adjustments = out.adjustments()
	out.addBottles(from)
	out.addConditions()
	out.Method = out.method()
	out.Traceability = out.traceability()
	out.Exclusions = out.exclusions()
	out.addSight()
	out.State, out.StateText = out.state(from.Now)
	if err := out.identify(); err != nil {
		return nil, err
	}
	return out, nil
}

// leftOutLater says how many records are left out as later than a day.
func leftOutLater(ids []string, day string) string {
	verb := "are"
	if len(ids) == 1 {
		verb = "is"
	}
	return fmt.Sprintf("%s later than %s %s left out: this is how things stood then", counted(len(ids), "record"), day, verb)
}

// identify gives the report an identity of its own: the same report has the
// same one, and any other figure another.
func (r *Report) identify() error {
	text, err := marshal(r)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(text)
	r.ID = fmt.Sprintf("%s, %s, %s", r.Meter, r.Issued, hex.EncodeToString(sum[:4]))
	return nil
}

// WarningList gives the warnings.
func (r *Report) WarningList() []string { return r.Warnings }

// VerdictWord is the verdict on the meter today, "" where there is none.
func (r *Report) VerdictWord() string { return wordOrEmpty(r.Verdict) }

// addConditions gathers the temperatures at which references were read.
func (r *Report) addConditions() {
	c := &r.Conditions
	for _, calibration := range r.Calibrations {
		for _, p := range calibration.Readings {
			c.Readings++
			t, known := p.TempC.Get()
			if !known {
				continue
			}
			c.WithTemp++
			if low, ok := c.TempLowC.Get(); !ok || t < low {
				c.TempLowC = Known(t)
			}
			if high, ok := c.TempHighC.Get(); !ok || t > high {
				c.TempHighC = Known(t)
			}
		}
	}
	if r.Description.Compensation != nil {
		c.Compensation = r.Description.compensationText()
	}
}
