package reports

import (
	"fmt"
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/tempcomp"
)

// Constants are a meter's calibration for use elsewhere: the line at one time,
// corrected = intercept + slope · reading, and the pieces of which it is made
// up over time. Figures are in the unit of the readings.
type Constants struct {
	Meter    string  `json:"meter"`
	Quantity string  `json:"quantity"`
	Unit     *string `json:"unit"`         // of the readings
	Written  *string `json:"written_unit"` // of the corrected value, once converted
	At       string  `json:"at"`
	// The calibration that applies, and the one that the line moves towards.
	Calibration *CalibrationApplied `json:"calibration"`
	Next        *CalibrationApplied `json:"next_calibration"`
	Basis       string              `json:"basis"` // interpolated, held or held-back
	Intercept   float64             `json:"intercept"`
	Slope       float64             `json:"slope"`
	UIntercept  Number              `json:"u_intercept"`
	USlope      Number              `json:"u_slope"`
	Cov         Number              `json:"cov"`
	// The readings that the calibrations cover, and those the meter can show.
	ReadingLow  Number `json:"reading_low"`
	ReadingHigh Number `json:"reading_high"`
	RangeLow    Number `json:"range_low"`
	RangeHigh   Number `json:"range_high"`

	UReading   Number               `json:"u_reading"` // of one reading, beside the line's
	StaleFrom  *string              `json:"stale_from"`
	Stale      bool                 `json:"stale"`
	Conversion *ConversionApplied   `json:"conversion"` // null: the corrected value is left as it is
	Pieces     List[ConstantsPiece] `json:"pieces"`
	Notes      List[string]         `json:"notes"`
	Warnings   Warnings             `json:"warnings"`
}

// CalibrationApplied is a calibration by its identity on record, or its file.
type CalibrationApplied struct {
	ID    string `json:"id"`
	Time  string `json:"time"`
	State string `json:"state"`
}

// ConversionApplied is what a corrected value is turned into: multiplied by
// Factor and by F(does) / F(wanted), see tempcomp.Rule.
type ConversionApplied struct {
	Factor    float64      `json:"factor"`
	Does      *RuleApplied `json:"compensation"`
	Wanted    *RuleApplied `json:"compensate_by"`
	UTempC    float64      `json:"u_temp_C"`
	TempLowC  Number       `json:"temp_low_C"`
	TempHighC Number       `json:"temp_high_C"`
}

// RuleApplied is a rule of temperature compensation.
type RuleApplied struct {
	Name     string `json:"rule"`
	Alpha    Number `json:"alpha"` // 1/C
	RefTempC Number `json:"ref_temp_C"`
}

// ConstantsPiece is a stretch of time in which the line changes evenly: each
// function of time is a list of its coefficients in the days since From.
type ConstantsPiece struct {
	From         string      `json:"from"`
	To           *string     `json:"to"` // the first time that belongs to the next; null for ever
	Basis        string      `json:"basis"`
	Intercept    [2]float64  `json:"intercept_by_days"`
	Slope        [2]float64  `json:"slope_by_days"`
	VarIntercept *[3]float64 `json:"var_intercept_by_days"` // null where nobody knows it
	VarSlope     *[3]float64 `json:"var_slope_by_days"`
	Cov          *[3]float64 `json:"cov_by_days"`
	ReadingLow   Number      `json:"reading_low"`
	ReadingHigh  Number      `json:"reading_high"`
}

// MeterConstants is what there is to write down of a meter.
type MeterConstants struct {
	Meter, Quantity   string
	Unit, WrittenUnit string // of the readings, and of the corrected value
	Probe             *series.Probe
	Calibrations      []series.Calibration
	Notes, Warnings   []string
}

// At gives the constants of a time.
func (m *MeterConstants) At(at time.Time) (*Constants, error) {
	c, err := m.Probe.Constants(at)
	if err != nil {
		return nil, err
	}
	l := c.Line
	r := &Constants{
		Meter: m.Meter, Quantity: m.Quantity, Unit: wordOrNull(m.Unit), Written: wordOrNull(m.WrittenUnit), At: exactStamp(at), Basis: string(c.Basis),
		Intercept: l.Intercept, Slope: l.Slope, UIntercept: rootOf(l.VarIntercept), USlope: rootOf(l.VarSlope), Cov: finite(l.Cov),
		ReadingLow: finite(l.Low), ReadingHigh: finite(l.High), RangeLow: finite(m.Probe.Low), RangeHigh: finite(m.Probe.High),
		UReading: Maybe(m.Probe.URead, m.Probe.URead > 0), Stale: c.Stale, Conversion: newConversionApplied(m.Probe),
		Notes: m.Notes, Warnings: append(Warnings(nil), m.Warnings...),
	}
	r.Calibration, r.Next = m.around(at, c.Basis)
	if !c.StaleFrom.IsZero() {
		r.StaleFrom = wordOrNull(exactStamp(c.StaleFrom))
	}
	if c.Stale {
		r.Warnings = append(r.Warnings, fmt.Sprintf("the last calibration, of %s, is too old at that time: it is believed up to %s", exactStamp(m.Probe.Timeline.Last()), exactStamp(c.StaleFrom)))
	}
	for _, p := range m.Probe.Timeline.Pieces() {
		r.Pieces = append(r.Pieces, newConstantsPiece(p))
	}
	return r, nil
}

// around finds the calibrations that a line rests on.
func (m *MeterConstants) around(at time.Time, basis series.Basis) (applies, next *CalibrationApplied) {
	var before, after *series.Calibration
	for i := range m.Calibrations {
		c := &m.Calibrations[i]
		switch {
		case c.Time.After(at):
			if after == nil || c.Time.Before(after.Time) || c.Time.Equal(after.Time) && c.State != series.AsLeft {
				after = c
			}
		case before == nil || c.Time.After(before.Time) || c.Time.Equal(before.Time) && c.State == series.AsLeft:
			before = c
		}
	}
	switch basis {
	case series.Interpolated:
		return applied(before), applied(after)
	case series.HeldBack:
		return applied(after), nil
	}
	return applied(before), nil
}

func applied(c *series.Calibration) *CalibrationApplied {
	if c == nil {
		return nil
	}
	state := c.State
	if state == "" {
		state = series.AsFound
	}
	return &CalibrationApplied{c.Name, exactStamp(c.Time), string(state)}
}

func newConversionApplied(p *series.Probe) *ConversionApplied {
	c := p.Conversion
	factor := conversionFactor(c)
	if factor == 1 && !c.NeedsTemperature() {
		return nil
	}
	out := &ConversionApplied{Factor: factor, Does: newRuleApplied(c.Does), Wanted: newRuleApplied(c.Wanted)}
	if c.NeedsTemperature() {
		low, high := temperatures(c)
		out.UTempC, out.TempLowC, out.TempHighC = p.UTemp, Known(low), Known(high)
	}
	return out
}

// conversionFactor is a conversion's factor, in which 0 stands for 1.
func conversionFactor(c series.Conversion) float64 {
	if c.Factor == 0 {
		return 1
	}
	return c.Factor
}

// temperatures are those that both rules of a conversion take.
func temperatures(c series.Conversion) (low, high float64) {
	a, b := c.Does.TempRange(), c.Wanted.TempRange()
	return max(a.Low, b.Low), min(a.High, b.High)
}

func newRuleApplied(r tempcomp.Rule) *RuleApplied {
	if r == nil {
		return nil
	}
	out := &RuleApplied{Name: r.Name()}
	switch r := r.(type) {
	case tempcomp.Linear:
		out.Alpha, out.RefTempC = Known(r.Alpha), Known(r.RefTempC)
	case tempcomp.NaturalWater:
		out.RefTempC = Known(tempcomp.NaturalWaterRefTempC)
	}
	return out
}

func newConstantsPiece(p series.Piece) ConstantsPiece {
	out := ConstantsPiece{
		From: exactStamp(time.Unix(0, p.From)), Basis: string(p.Basis),
		Intercept: [2]float64{p.Intercept, p.InterceptPerDay}, Slope: [2]float64{p.Slope, p.SlopePerDay},
		ReadingLow: finite(p.Low), ReadingHigh: finite(p.High),
	}
	if p.To != series.Ever {
		out.To = wordOrNull(exactStamp(time.Unix(0, p.To)))
	}
	if isStated(p) {
		out.VarIntercept, out.VarSlope, out.Cov = (*[3]float64)(&p.VarIntercept), (*[3]float64)(&p.VarSlope), (*[3]float64)(&p.Cov)
	}
	return out
}

// isStated tells whether the uncertainty of a piece is known at all times.
func isStated(p series.Piece) bool {
	sum := 0.0
	for i := range 3 {
		sum += p.VarIntercept[i] + p.VarSlope[i] + p.Cov[i]
	}
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

func rootOf(variance float64) Number { return finite(math.Sqrt(variance)) }

// exactStamp is a time in UTC with all its digits.
func exactStamp(t time.Time) string { return t.UTC().Format(time.RFC3339Nano) }
