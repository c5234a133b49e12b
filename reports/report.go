package reports

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
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
		out.Verdict, out.Due, out.NextCheck = from.Drift.Verdict, from.Drift.Due, &from.Drift.NextCheck
		out.Warnings = append(out.Warnings, from.Drift.Warnings...)
	}
	if m.Retired() {
		out.Verdict, out.Due, out.NextCheck = nil, nil, nil
	}
	out.Adjustments = out.adjustments()
	out.addBottles(from)
	out.addConditions()
	out.Method = out.method()
	out.Traceability = out.traceability()
	out.Exclusions = out.exclusions()
	out.State, out.StateText = out.state(from.Now)
	if err := out.identify(); err != nil {
		return nil, err
	}
	return out, nil
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

// The states of a meter beside its verdicts.
const (
	stateNoTolerance = "no-tolerance"
	stateNotChecked  = "not-checked"
	stateOutOfUse    = "out-of-use"
)

// state says in a word and in a sentence how the meter is today.
func (r *Report) state(now time.Time) (word, text string) {
	d := r.Drift
	switch {
	case r.Description.RetiredAt != nil:
		return stateOutOfUse, "Out of use since " + day(*r.Description.RetiredAt) + "."
	case len(r.Calibrations) == 0:
		if text := r.comparedText(); text != "" {
			return stateNotChecked, text
		}
		return stateNotChecked, "Not checked: there is no reading of a reference on record, so nobody knows how far to trust it."
	case d == nil && r.lastVerdict() != "":
		last := r.Calibrations[len(r.Calibrations)-1]
		return r.lastVerdict(), fmt.Sprintf("Its last check, on %s, said %s; how it has drifted since cannot be told.", day(last.Time), r.lastVerdict())
	case d == nil:
		return stateNoTolerance, "It was checked, but how far off it is today cannot be told."
	}
	error := "its error is " + d.amount(d.ErrorNow, d.UError)
	if d.Zero != nil {
		error += " at " + d.refText() + d.unitText()
	}
	p, _ := d.PWithin.Get()
	chance := probability(d.PWithin)
	until := d.dueShort(now)
	switch d.VerdictWord() {
	case "pass":
		return "pass", fmt.Sprintf("Within its tolerance of %s (probability %s): %s; %s.", d.toleranceText(), chance, error, until)
	case "fail":
		return "fail", fmt.Sprintf("Outside its tolerance of %s (probability of being within: %s): %s; adjust it, or correct what it shows.", d.toleranceText(), chance, error)
	case "undecided":
		if text := d.bottleText(); text != "" {
			return "undecided", fmt.Sprintf("Undecided: %s, outside its tolerance of %s, but%s.", error, d.toleranceText(), strings.TrimPrefix(text, ":"))
		}
		which := "more likely within than outside"
		if p < 0.5 {
			which = "more likely outside than within"
		}
		return "undecided", fmt.Sprintf("Undecided: %s its tolerance of %s (probability of being within: %s); %s; %s.", which, d.toleranceText(), chance, error, until)
	}
	return stateNoTolerance, fmt.Sprintf("No verdict, since no tolerance is on record: %s; %s.", error, until)
}

// comparedText is what is known of a meter that took part in comparisons only.
func (r *Report) comparedText() string {
	if len(r.Comparisons) == 0 {
		return ""
	}
	last := r.Comparisons[len(r.Comparisons)-1]
	text := "Not calibrated: what is known of it comes from comparisons; the latest, on " + day(last.Time) + ", "
	if last.Verdict == nil {
		return text + "gave no verdict on it."
	}
	return text + "said " + *last.Verdict + "."
}

// dueShort says in few words when the meter is to be checked again.
func (d *Drift) dueShort(now time.Time) string {
	today := now.Format(dayFormat)
	switch {
	case d.Due != nil && *d.Due <= today:
		return "a check is due now"
	case d.NextCheck <= today:
		return "check it now"
	}
	return "check it again by " + d.NextCheck
}

// lastVerdict is the verdict of the latest calibration.
func (r *Report) lastVerdict() string {
	if len(r.Calibrations) == 0 {
		return ""
	}
	return wordOrEmpty(r.Calibrations[len(r.Calibrations)-1].Verdict)
}

// todayWords are the states as people read them.
var todayWords = map[string]string{
	stateNoTolerance: "no tolerance", stateNotChecked: "not checked", stateOutOfUse: "out of use",
}

func stateWord(state string) string {
	if text, ok := todayWords[state]; ok {
		return text
	}
	return state
}
