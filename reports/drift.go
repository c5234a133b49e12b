package reports

import (
	"time"

	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/drift/paired"
)

// Drift is how a meter's error goes over time. Errors are reading - reference,
// as a fraction of the reference for conductivity and in the unit of the
// readings otherwise. Uncertainties are standard ones (k = 1), intervals cover
// 95 %, rates are per 30 days.
type Drift struct {
	Meter    *string    `json:"meter"`
	Pair     *DriftPair `json:"pair"` // where it comes from a log of two probes; then n counts days
	Quantity string     `json:"quantity"`
	Relative bool       `json:"error_relative"`
	Unit     *string    `json:"unit"` // of the readings, where it is known
	N        int        `json:"n"`
	Now      string     `json:"now"`
	Last     string     `json:"last_check"`

	Ref      float64 `json:"ref"` // where the error is given: the worst of the references in use
	ErrorNow float64 `json:"error_now"`
	UError   float64 `json:"u_error_now"`
	ErrorCI  Bounds  `json:"error_now_interval"`
	Rate     float64 `json:"rate_per_30d"`
	URate    float64 `json:"u_rate_per_30d"`
	RateCI   Bounds  `json:"rate_per_30d_interval"`

	Zero *DriftComponent `json:"zero"` // null where the references do not tell it from a gain
	Gain *DriftComponent `json:"gain"`

	Tolerance         Number  `json:"tolerance"`
	ToleranceRelative bool    `json:"tolerance_relative"`
	PWithin           Number  `json:"p_within_now"`
	Risk              float64 `json:"risk"`
	Due               *string `json:"due"`
	NextCheck         string  `json:"next_check"`
	OverdueSince      *string `json:"overdue_since"`        // the first day, before today, on which a check was due
	Unsettled         bool    `json:"last_check_unsettled"` // outside tolerance, and does not fit those before it
	PracticeDays      int     `json:"practice_days"`
	Why               string  `json:"why"`
	Verdict           *string `json:"verdict"`
	Bottle            *string `json:"only_bottle"` // whose drift it may be; null otherwise

	Alarms   List[DriftAlarm] `json:"alarms"`
	Trend    DriftTrend       `json:"trend"`
	Control  DriftControl     `json:"control"`
	Checks   List[DriftCheck] `json:"checks"`
	Events   List[DriftEvent] `json:"events"`
	Line     List[DriftPoint] `json:"line"`
	Warnings Warnings         `json:"warnings"`

	// Drawn puts the chart into the table, drawn with characters.
	Drawn bool `json:"-"`

	result *drift.Result
	refU   Number // of Ref, where a report knows it
}

// DriftPair is a log of two probes in one liquid; b stands in for the reference.
type DriftPair struct {
	A       string `json:"a"`
	B       string `json:"b"`
	Rows    int    `json:"rows"`
	Skipped int    `json:"rows_skipped"`
}

// DriftComponent is the zero or the gain part of the error.
type DriftComponent struct {
	Now   float64 `json:"now"`
	UNow  float64 `json:"u_now"`
	Rate  float64 `json:"rate_per_30d"`
	URate float64 `json:"u_rate_per_30d"`
}

// DriftAlarm is something to look at.
type DriftAlarm struct {
	Time string `json:"time"`
	Kind string `json:"kind"`
	Text string `json:"text"`
}

// DriftTrend is what the rank tests say.
type DriftTrend struct {
	S     int    `json:"mann_kendall_s"`
	Z     Number `json:"mann_kendall_z"`
	P     Number `json:"mann_kendall_p"` // two-sided
	Slope Number `json:"theil_sen_per_30d"`
	CI    Bounds `json:"theil_sen_interval"`
}

// DriftControl is the settings of the control charts; their points stand at
// the checks.
type DriftControl struct {
	Lambda     float64 `json:"ewma_lambda"`
	Width      float64 `json:"ewma_limit_sd"`
	Slack      float64 `json:"cusum_k"`
	Limit      float64 `json:"cusum_h"`
	FalseAlarm float64 `json:"false_alarm_probability"` // of each chart, in the whole history
}

// DriftCheck is one check seen from the whole record.
type DriftCheck struct {
	Time    string    `json:"time"`
	Rows    List[int] `json:"rows"`
	Ref     float64   `json:"ref"`
	Error   float64   `json:"error"`
	U       float64   `json:"u_error"`
	UShared float64   `json:"u_shared"`
	Bottle  *string   `json:"bottle"`
	PWrong  float64   `json:"p_wrong"`
	PStep   float64   `json:"p_step_before"`
	Q       Number    `json:"q"` // what the charts are of; null for a check that begins something
	EWMA    Number    `json:"ewma"`
	CUSUMHi Number    `json:"cusum_high"`
	CUSUMLo Number    `json:"cusum_low"`
}

// DriftEvent is something done to the meter.
type DriftEvent struct {
	Time   string `json:"time"`
	Event  string `json:"event"`
	Checks int    `json:"checks_before"`
}

// DriftPoint is a point of the fitted line with its 95 % band.
type DriftPoint struct {
	Time  string  `json:"time"`
	Error float64 `json:"error"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Ahead bool    `json:"ahead"`
}

const (
	dayFormat  = time.DateOnly
	timeFormat = time.RFC3339
)

// NewDrift makes the result. meter is "" where nobody named it, unit where the
// quantity is to tell it. More warnings come before those of the result.
func NewDrift(r *drift.Result, meter, unit string, warnings ...string) *Drift {
	if unit == "" {
		unit = errorUnits[string(r.Kind)]
	}
	out := &Drift{
		Meter: wordOrNull(meter), Unit: wordOrNull(unit), Quantity: string(r.Kind), Relative: r.Relative, N: r.N,
		Now: r.Now.Format(timeFormat), Last: r.Last.Format(timeFormat),
		Ref: r.Ref, ErrorNow: r.Error.Value, UError: r.Error.U, ErrorCI: bounds(r.Error.Low, r.Error.High),
		Rate: r.Rate.Value, URate: r.Rate.U, RateCI: bounds(r.Rate.Low, r.Rate.High),
		Zero: newComponent(r.Zero), Gain: newComponent(r.Gain),
		PWithin: finite(r.PWithin), Risk: r.Risk, NextCheck: r.NextCheck.Format(dayFormat), PracticeDays: r.Practice.Days,
		Why: r.Why, Verdict: wordOrNull(string(r.Verdict)), Bottle: wordOrNull(r.Bottle), Unsettled: r.Unsettled,
		Trend:    DriftTrend{S: r.Trend.S, Z: finite(r.Trend.Z), P: finite(r.Trend.PTwoSided), Slope: finite(r.Trend.Slope), CI: bounds(r.Trend.Low, r.Trend.High)},
		Control:  DriftControl{Lambda: r.Control.Lambda, Width: r.Control.EWMAWidth, Slack: r.Control.Slack, Limit: r.Control.CUSUM, FalseAlarm: r.Control.FalseAlarm},
		Warnings: append(warnings, r.Warnings...), result: r,
	}
	if t := r.Tolerance; t != nil {
		out.Tolerance, out.ToleranceRelative = Known(t.Value), t.Relative
	}
	if !r.Due.IsZero() {
		text := r.Due.Format(dayFormat)
		out.Due = &text
	}
	if !r.OverdueSince.IsZero() {
		text := r.OverdueSince.Format(dayFormat)
		out.OverdueSince = &text
	}
	for _, a := range r.Alarms {
		out.Alarms = append(out.Alarms, DriftAlarm{a.Time.Format(timeFormat), string(a.Kind), a.Text})
	}
	out.addChecks(r)
	for _, e := range r.Events {
		out.Events = append(out.Events, DriftEvent{e.Time.Format(timeFormat), string(e.Event), e.Checks})
	}
	for _, p := range r.Path {
		out.Line = append(out.Line, DriftPoint{p.Time.Format(timeFormat), p.Error, p.Low, p.High, p.Ahead})
	}
	return out
}

// NewPairDrift makes the result for two probes of a log.
func NewPairDrift(r *drift.Result, log *paired.Log) *Drift {
	out := NewDrift(r, "", "", log.Warnings...)
	out.Pair = &DriftPair{A: log.Spec.A, B: log.Spec.B, Rows: log.Rows, Skipped: log.Skipped}
	return out
}

// name is what a person calls it.
func (d *Drift) name() string {
	switch {
	case d.Pair != nil:
		return d.Pair.A + " against " + d.Pair.B
	case d.Meter != nil:
		return *d.Meter
	}
	return "the meter"
}

// errorUnits are the units of errors that are no fractions, where the quantity
// tells them.
var errorUnits = map[string]string{"temperature": "C", "humidity": "%RH", "co2": "ppm"}

func newComponent(c *drift.Component) *DriftComponent {
	if c == nil {
		return nil
	}
	return &DriftComponent{Now: c.Now.Value, UNow: c.Now.U, Rate: c.Rate.Value, URate: c.Rate.U}
}

func (d *Drift) addChecks(r *drift.Result) {
	points := map[int]drift.ControlPoint{}
	for _, p := range r.Control.Points {
		points[p.Check] = p
	}
	for i, c := range r.Checks {
		check := DriftCheck{Time: c.Time.Format(timeFormat), Rows: c.Rows, Ref: c.Ref, Error: c.Error, U: c.U, UShared: c.UShared,
			Bottle: wordOrNull(c.Bottle), PWrong: c.Wrong, PStep: c.Stepped}
		if p, ok := points[i]; ok {
			check.Q, check.EWMA = finite(p.Q), finite(p.EWMA.Value)
			check.CUSUMHi, check.CUSUMLo = finite(p.CUSUM.High), finite(p.CUSUM.Low)
		}
		d.Checks = append(d.Checks, check)
	}
}

// WarningList gives the warnings.
func (d *Drift) WarningList() []string { return d.Warnings }

// VerdictWord is the verdict, "" where there is none.
func (d *Drift) VerdictWord() string { return wordOrEmpty(d.Verdict) }
