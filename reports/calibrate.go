package reports

import (
	"slices"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/electrode"
	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/logbook"
)

// Calibrate is a meter judged by references. Everything is in the unit of the
// readings; uncertainties are standard ones (k = 1), low and high bound 95 %.
type Calibrate struct {
	ID         *string `json:"id,omitempty"` // on record; without one it was not saved
	Supersedes *string `json:"supersedes,omitempty"`

	Meter    *string `json:"meter"`
	Quantity string  `json:"quantity"`
	Unit     *string `json:"unit"` // null where nobody said
	Time     *string `json:"time"` // RFC 3339
	State    string  `json:"state"`

	Fit     CalibrateFit           `json:"fit"`
	Points  List[CalibratePoint]   `json:"points"`
	LeftOut List[CalibrateLeftOut] `json:"left_out"` // readings at an end of the display's range
	At      List[CalibrateAt]      `json:"at"`
	Inverse List[CalibrateInverse] `json:"reading_for"`

	Tolerance         Number  `json:"tolerance"`
	ToleranceRelative bool    `json:"tolerance_relative"`
	WorstError        Number  `json:"worst_error"` // a fraction where the tolerance is one
	WorstRef          Number  `json:"worst_ref"`
	PWithin           Number  `json:"p_within"`
	Verdict           *string `json:"verdict"`
	VerdictBasis      *string `json:"verdict_basis"`

	Misfit     *CalibrateMisfit     `json:"misfit"` // null where the points lie on a line
	LackOfFit  *CalibrateLackOfFit  `json:"lack_of_fit"`
	Electrode  *CalibrateElectrode  `json:"electrode"`
	MonteCarlo *CalibrateMonteCarlo `json:"monte_carlo"`

	Advice   List[string] `json:"advice"`
	Warnings Warnings     `json:"warnings"`

	// AsLeft is the same meter after an adjustment, where its readings were
	// given as well; the rest then is about the meter as found.
	AsLeft *Calibrate `json:"as_left,omitempty"`

	// Drawn puts the chart into the table, drawn with characters.
	Drawn bool `json:"-"`

	worstRefText string
	recordedAt   time.Time
}

// CalibrateFit is corrected = intercept + slope·reading.
type CalibrateFit struct {
	Method        string  `json:"method"`
	Chosen        bool    `json:"chosen"` // the method was not asked for
	Why           string  `json:"why"`
	N             int     `json:"n"` // points fitted; repeats that were averaged count as one
	Intercept     float64 `json:"intercept"`
	Slope         float64 `json:"slope"`
	UIntercept    Number  `json:"u_intercept"`
	USlope        Number  `json:"u_slope"`
	Cov           Number  `json:"cov"`
	SlopeLow      Number  `json:"slope_low"`
	SlopeHigh     Number  `json:"slope_high"`
	InterceptLow  Number  `json:"intercept_low"`
	InterceptHigh Number  `json:"intercept_high"`
	Basis         string  `json:"u_basis"` // scatter, stated or none
	ResidualSD    Number  `json:"residual_sd"`
	DoF           int     `json:"dof"`
	Chi2          Number  `json:"chi2"`
	Chi2Limit     Number  `json:"chi2_limit"` // 95 % of a sound fit lie below
	ReadingLow    float64 `json:"reading_low"`
	ReadingHigh   float64 `json:"reading_high"`
}

// CalibratePoint is one reading of one reference.
type CalibratePoint struct {
	Ref          float64 `json:"ref"`
	Reading      float64 `json:"reading"`
	Error        float64 `json:"error"` // as found
	Allowed      Number  `json:"allowed"`
	Corrected    float64 `json:"corrected"`
	Residual     float64 `json:"residual"`
	Standardised Number  `json:"standardised"`
	Leverage     Number  `json:"leverage"`
	Flagged      bool    `json:"flagged"`
	URef         Number  `json:"u_ref"`
	URefShared   Number  `json:"u_ref_shared"`
	RefSource    *string `json:"ref_source"`
	UReading     Number  `json:"u_reading"`
	Bottle       *string `json:"bottle"`
	TempC        Number  `json:"temp_C"`
	MV           Number  `json:"mv"`

	refText, readingText string // as typed, for the table; "" where nobody typed them
}

// CalibrateLeftOut is a reading that says only "at least" or "at most".
type CalibrateLeftOut struct {
	Row     *int    `json:"row"` // of the file, or the point's number
	Bottle  *string `json:"bottle"`
	Ref     float64 `json:"ref"`
	Reading float64 `json:"reading"`
	Why     string  `json:"why"`
}

// CalibrateAt is what the line says at a reading.
type CalibrateAt struct {
	Reading    float64 `json:"reading"`
	Corrected  float64 `json:"corrected"`
	UCorrected Number  `json:"u_corrected"`
	Low        Number  `json:"low"`
	High       Number  `json:"high"`
	Outside    bool    `json:"outside"` // of the readings of the references
}

// CalibrateInverse is the reading that belongs to a true value. Shape says
// what low and high are: "bounded" ends of one interval, "two-rays" what lies
// at or below low and at or above high, "everything", or "none".
type CalibrateInverse struct {
	Value    float64 `json:"value"`
	Reading  float64 `json:"reading"`
	UReading Number  `json:"u_reading"`
	Low      Number  `json:"low"`
	High     Number  `json:"high"`
	Shape    string  `json:"shape"`
}

// CalibrateLackOfFit is the test of the straight line against repeats.
type CalibrateLackOfFit struct {
	RepeatsOf string  `json:"repeats_of"`
	SSLack    float64 `json:"ss_lack"`
	SSPure    float64 `json:"ss_pure"`
	DoFLack   int     `json:"dof_lack"`
	DoFPure   int     `json:"dof_pure"`
	F         float64 `json:"f"`
	P         float64 `json:"p"`
}

// CalibrateElectrode is a pH electrode. By display the slope is a percentage of
// the one the meter has stored.
type CalibrateElectrode struct {
	Basis        string       `json:"basis"` // mV or display
	SlopePercent Number       `json:"slope_percent"`
	USlope       Number       `json:"u_slope_percent"`
	SlopeMVPerPH Number       `json:"slope_mV_per_pH"`
	ZeroPointPH  Number       `json:"zero_point_pH"`
	UZeroPoint   Number       `json:"u_zero_point_pH"`
	OffsetMV     Number       `json:"offset_mV"`
	TempC        float64      `json:"temp_C"`
	LowPH        float64      `json:"buffers_low_pH"`
	HighPH       float64      `json:"buffers_high_pH"`
	Verdict      *string      `json:"verdict"`
	Faults       List[string] `json:"faults"`
}

// CalibrateContext is what a person says about a calibration beside its
// numbers.
type CalibrateContext struct {
	Meter   string    // "" for none
	Unit    string    // "" for none
	Time    time.Time // zero for none
	State   string
	LeftOut []check.LeftOut
	// Warnings go before those of the result.
	Warnings []string
}

// NewCalibrate makes the result of a calibration.
func NewCalibrate(r *check.Result, about CalibrateContext) *Calibrate {
	out := &Calibrate{
		Meter: wordOrNull(about.Meter), Quantity: string(r.Kind), Unit: wordOrNull(about.Unit), State: about.State,
		Fit:        newCalibrateFit(r),
		WorstError: finite(r.WorstError), PWithin: finite(r.PWithin),
		Verdict: wordOrNull(string(r.Verdict)), VerdictBasis: wordOrNull(r.VerdictBasis),
		Misfit:    newCalibrateMisfit(r),
		Electrode: newCalibrateElectrode(r.Electrode), MonteCarlo: newCalibrateMonteCarlo(r),
		Advice: r.Advice, Warnings: append(append(Warnings{}, about.Warnings...), r.Warnings...),
	}
	if out.Unit == nil {
		out.Unit = wordOrNull(r.Kind.Unit())
	}
	if !about.Time.IsZero() {
		out.Time = wordOrNull(about.Time.Format(time.RFC3339))
	}
	if r.Tolerance != nil {
		out.Tolerance, out.ToleranceRelative = Known(r.Tolerance.Value), r.Tolerance.Relative
	}
	if r.WorstRow >= 0 {
		out.WorstRef, out.worstRefText = Known(r.Rows[r.WorstRow].Ref), r.Rows[r.WorstRow].RefText
	}
	for i, row := range r.Rows {
		p := r.Points[i]
		out.Points = append(out.Points, CalibratePoint{
			Ref: row.Ref, Reading: row.Reading, Error: p.Error, Allowed: finite(p.Allowed),
			Corrected: p.Corrected, Residual: p.Residual, Standardised: finite(p.Standardised),
			Leverage: finite(p.Leverage), Flagged: p.Flagged,
			URef: optional(row.URef), URefShared: optional(row.URefShared), RefSource: wordOrNull(row.RefSource),
			UReading: optional(row.UReading), Bottle: wordOrNull(row.Bottle), TempC: optional(row.TempC), MV: optional(row.MV),
			refText: row.RefText, readingText: row.ReadingText,
		})
	}
	for _, l := range about.LeftOut {
		out.LeftOut = append(out.LeftOut, CalibrateLeftOut{rowNumber(l.Row.Name, 0), wordOrNull(l.Row.Bottle), l.Row.Ref, l.Row.Reading, l.Why})
	}
	for _, e := range r.At {
		out.At = append(out.At, CalibrateAt{e.Reading, e.Corrected, finite(e.U), finite(e.Low), finite(e.High), e.Outside})
	}
	for _, v := range r.Inverse {
		out.Inverse = append(out.Inverse, CalibrateInverse{v.Value, v.Reading, finite(v.U), finite(v.Low), finite(v.High), v.Shape.String()})
	}
	if l := r.LackOfFit; l != nil {
		out.LackOfFit = &CalibrateLackOfFit{l.RepeatsOf, l.SSLack, l.SSPure, l.DoFLack, l.DoFPure, l.F, l.P}
	}
	return out
}

func newCalibrateFit(r *check.Result) CalibrateFit {
	f := r.Fit
	low, high := f.ReadingRange()
	slopeLow, slopeHigh, interceptLow, interceptHigh := f.ParameterLimits(line.Level)
	out := CalibrateFit{
		Method: string(f.Method), Chosen: r.Chosen, Why: r.Why, N: f.N, Intercept: f.Intercept, Slope: f.Slope,
		UIntercept: finite(f.UIntercept), USlope: finite(f.USlope), Cov: finite(f.Covariance), Basis: f.Basis.String(),
		SlopeLow: finite(slopeLow), SlopeHigh: finite(slopeHigh), InterceptLow: finite(interceptLow), InterceptHigh: finite(interceptHigh),
		ResidualSD: finite(f.ResidualSD), DoF: f.DoF, Chi2: finite(f.Chi2), ReadingLow: low, ReadingHigh: high,
	}
	if _, limit, ok := f.Consistent(); ok {
		out.Chi2Limit = finite(limit)
	}
	return out
}

func newCalibrateElectrode(e *electrode.Result) *CalibrateElectrode {
	if e == nil {
		return nil
	}
	out := &CalibrateElectrode{Basis: string(e.Basis), TempC: e.TempC, LowPH: e.LowPH, HighPH: e.HighPH, Verdict: wordOrNull(string(e.Verdict))}
	out.SlopePercent, out.USlope = estimate(e.SlopePercent)
	out.SlopeMVPerPH, _ = estimate(e.SlopeMVPerPH)
	out.ZeroPointPH, out.UZeroPoint = estimate(e.ZeroPointPH)
	out.OffsetMV, _ = estimate(e.OffsetMV)
	for _, f := range e.Faults {
		out.Faults = append(out.Faults, f.ID)
	}
	return out
}

// estimate is a figure of the electrode with its uncertainty.
func estimate(e *electrode.Estimate) (value, u Number) {
	if e == nil {
		return Unknown(), Unknown()
	}
	return finite(e.Value), optional(e.U)
}

func optional(v *float64) Number {
	if v == nil {
		return Unknown()
	}
	return finite(*v)
}

// Saved tells that the calibration is on record as this row.
func (r *Calibrate) Saved(row logbook.Calibration) {
	r.ID, r.Supersedes, r.recordedAt = wordOrNull(row.ID), wordOrNull(row.Supersedes), row.RecordedAt
}

// WarningList implements [Result]. What is said of the meter as found and as
// left alike is said once.
func (r *Calibrate) WarningList() []string {
	if r.AsLeft == nil {
		return r.Warnings
	}
	list := slices.Clone([]string(r.Warnings))
	for _, w := range r.AsLeft.Warnings {
		if !slices.Contains(list, w) {
			list = append(list, w)
		}
	}
	return list
}

// VerdictWord is the verdict, "" without one.
func (r *Calibrate) VerdictWord() string { return wordOrEmpty(r.Verdict) }
