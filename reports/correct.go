package reports

import (
	"fmt"
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/series"
)

// Correction is what was done to a log.
type Correction struct {
	Log       string                   `json:"log"`
	Rows      int64                    `json:"rows"`
	First     *string                  `json:"first"` // RFC 3339; of the first row
	Last      *string                  `json:"last"`  // the latest
	Backwards int64                    `json:"rows_back_in_time"`
	Columns   List[CorrectionOfColumn] `json:"columns"`
	Warnings  Warnings                 `json:"warnings"`

	zone    *time.Location
	outline []series.OutlinePiece // what the chart is drawn from
}

// CorrectionOfColumn is what was done to one column. Largest and the means are
// of rows that can be believed, in the unit of the readings.
type CorrectionOfColumn struct {
	Column       string       `json:"column"`
	Meter        *string      `json:"meter"`
	Quantity     *string      `json:"quantity"`
	Unit         *string      `json:"unit"`         // of the readings
	WrittenUnit  *string      `json:"written_unit"` // of the corrected values
	Compensation *string      `json:"compensation"` // of the corrected values; null where nobody said
	Calibrations int          `json:"calibrations"`
	FirstCal     string       `json:"first_calibration"`
	LastCal      string       `json:"last_calibration"`
	StaleFrom    string       `json:"stale_from"`
	Drift        float64      `json:"drift_per_30d"` // a fraction where drift_relative
	Walk         float64      `json:"walk_per_root_30d"`
	DriftIsShare bool         `json:"drift_relative"`
	Notes        List[string] `json:"notes"`

	Rows          int64              `json:"rows"`
	Corrected     int64              `json:"corrected"` // rows that can be believed
	Flagged       map[string]int64   `json:"flagged"`
	Largest       *LargestCorrection `json:"largest"`
	MeanReading   Number             `json:"mean_reading"`
	MeanCorrected Number             `json:"mean_corrected"`
	Stretches     List[Stretch]      `json:"not_to_be_believed"` // the longest, by time
	Runs          int64              `json:"runs_not_to_be_believed"`

	kind        check.Kind
	compensated bool // corrected values are compensated otherwise than the readings
	standing    standing
}

// LargestCorrection is a reading and what it should have been.
type LargestCorrection struct {
	Time       string  `json:"time"`
	Reading    float64 `json:"reading"`
	Corrected  float64 `json:"corrected"`
	UCorrected Number  `json:"u_corrected"`

	at time.Time
}

// Stretch is a run of rows under one flag.
type Stretch struct {
	Flag string `json:"flag"`
	From string `json:"from"`
	To   string `json:"to"`
	Rows int64  `json:"rows"`

	from, to time.Time
}

// CorrectionPlan is what is known of a column before its log is read.
type CorrectionPlan struct {
	Column                            string
	Meter                             string // "" where nobody says
	Kind                              check.Kind
	Unit, WrittenUnit, Compensation   string
	Calibrations                      int
	FirstCalibration, LastCalibration time.Time
	StaleFrom                         time.Time
	DriftPer30d, WalkPerRoot30d       float64
	DriftRelative                     bool
	Notes                             []string
	Zone                              *time.Location
}

// NewCorrection makes the result of a log's correction. about are its columns,
// in the order of the plan.
func NewCorrection(s *series.Summary, log string, plan series.Plan, about []CorrectionPlan) *Correction {
	r := &Correction{Log: log, Rows: s.Rows, Backwards: s.Backwards, zone: plan.Zone}
	if r.zone == nil {
		r.zone = time.UTC
	}
	if s.Rows > 0 {
		r.First, r.Last = wordOrNull(r.stamp(s.First)), wordOrNull(r.stamp(s.Last))
	}
	for i, c := range s.Columns {
		r.Columns = append(r.Columns, r.column(c, s.Rows, plan.Probes[i], about[i]))
	}
	r.warn()
	r.suspectTemp(plan.TempColumn, s.Temp)
	for i, c := range s.Columns {
		r.suspect(r.Columns[i], plan, plan.Probes[i], c, s.Temp)
	}
	return r
}

// stamp is a time for programs, in the zone that was asked for.
func (r *Correction) stamp(t time.Time) string { return t.In(r.zone).Format(time.RFC3339) }

func (r *Correction) column(c series.ColumnSummary, rows int64, probe *series.Probe, about CorrectionPlan) CorrectionOfColumn {
	out := CorrectionOfColumn{
		Column: c.Column, Meter: wordOrNull(about.Meter), Quantity: wordOrNull(string(about.Kind)), kind: about.Kind, compensated: probe.Conversion.NeedsTemperature(), standing: newStanding(probe.Conversion),
		Unit: wordOrNull(about.Unit), WrittenUnit: wordOrNull(about.WrittenUnit), Compensation: wordOrNull(about.Compensation),
		Calibrations: about.Calibrations, FirstCal: r.stamp(about.FirstCalibration), LastCal: r.stamp(about.LastCalibration),
		StaleFrom: r.stamp(about.StaleFrom), Drift: about.DriftPer30d, Walk: about.WalkPerRoot30d, DriftIsShare: about.DriftRelative,
		Notes: about.Notes, Rows: rows, Corrected: c.Flagged[series.Believed], Flagged: map[string]int64{}, Runs: c.Runs,
	}
	for _, f := range series.Flags() {
		if n := c.Flagged[f]; n > 0 {
			out.Flagged[f.String()] = n
		}
	}
	if out.Corrected > 0 {
		at := c.Largest
		out.Largest = &LargestCorrection{r.stamp(at.Time), at.Reading, at.Reading + at.Correction, onDisplay(probe, at), at.Time}
		out.MeanReading, out.MeanCorrected = Known(c.MeanReading), Known(c.MeanCorrected)
	}
	for _, s := range c.Stretches {
		out.Stretches = append(out.Stretches, Stretch{s.Flag.String(), r.stamp(s.From), r.stamp(s.To), s.Rows, s.From, s.To})
	}
	return out
}

// onDisplay is the uncertainty of a correction in the unit of the readings.
func onDisplay(probe *series.Probe, at series.Correction) Number {
	shown := *probe
	shown.Conversion = series.Conversion{}
	corrector, err := series.NewCorrector(&shown)
	if err != nil {
		return Unknown()
	}
	_, u, _ := corrector.At(at.Time.UnixNano(), at.Reading, math.NaN())
	return finite(u)
}

// oftenOut is the share of rows out of range from which on that is warned of.
const oftenOut = 0.1

func (r *Correction) warn() {
	if r.Backwards > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("%s before one above in time, corrected by the time of its own: is the clock right?", plural(r.Backwards, "row lies", "rows lie")))
	}
	for _, c := range r.Columns {
		if r.Rows > 0 && c.Corrected == 0 {
			r.Warnings = append(r.Warnings, fmt.Sprintf("column %s: not one of its values can be believed", c.Column))
		}
		if out := c.Flagged[series.OutOfRange.String()]; float64(out) > oftenOut*float64(r.Rows) {
			r.Warnings = append(r.Warnings, fmt.Sprintf("column %s: %s outside what the meter or its calibrations cover; references as high and as low as the log would cover it", c.Column, plural(out, "reading lies", "readings lie")))
		}
	}
}

func plural(n int64, one, many string) string {
	if n == 1 {
		many = one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// WarningList gives the warnings.
func (r *Correction) WarningList() []string { return r.Warnings }
