package reports

import (
	"fmt"
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// Compensation is how a meter corrects for temperature, by one bottle read at
// several temperatures. Coefficients are in % for each C, uncertainties are
// standard ones (k = 1), low and high bound 95 %.
type Compensation struct {
	Meter    *string `json:"meter"`
	Bottle   *string `json:"bottle"`
	Time     *string `json:"time"` // of the last reading, RFC 3339
	Salt     string  `json:"salt"`
	Strength string  `json:"strength"`
	Unit     string  `json:"unit"` // of the readings
	N        int     `json:"n"`
	DoF      int     `json:"dof"`

	RefTempC  float64 `json:"ref_temp_C"` // at which the coefficient is given
	Alpha     Number  `json:"alpha_percent_per_C"`
	UAlpha    Number  `json:"u_alpha_percent_per_C"`
	AlphaLow  Number  `json:"alpha_low_percent_per_C"`
	AlphaHigh Number  `json:"alpha_high_percent_per_C"`
	// Gain is reading over what the label promises at the reference
	// temperature; MeterGain has the doubt of the bottle's strength in it.
	Gain       Number            `json:"gain"`
	UGain      Number            `json:"u_gain"`
	UMeterGain Number            `json:"u_meter_gain"`
	Own        *CompensationOwn  `json:"own_reference"` // null where the gain is not given
	SameAt     List[SameMeterAt] `json:"same_at"`
	UBasis     string            `json:"u_basis"` // stated or scatter
	Chi2       Number            `json:"chi2"`

	Rule     *string                   `json:"rule"` // null where the readings cannot tell
	Rules    List[CompensationRule]    `json:"rules"`
	Readings List[CompensationReading] `json:"readings"`

	Claimed   Number  `json:"claimed_percent_per_C"`
	Tolerance Number  `json:"tolerance_percent_per_C"`
	PWithin   Number  `json:"p_within"`
	Verdict   *string `json:"verdict"`

	Meaning  string       `json:"meaning"`
	Advice   List[string] `json:"advice"`
	Cautions List[string] `json:"cautions"`
	Warnings Warnings     `json:"warnings"`

	examined tempcomp.Examination
	scale    tempcomp.Scale
}

// CompensationOwn is the meter's own reference temperature, which only a known
// gain tells, and the coefficient there.
type CompensationOwn struct {
	RefTempC  Number `json:"ref_temp_C"`
	URefTempC Number `json:"u_ref_temp_C"`
	Low       Number `json:"ref_temp_low_C"`
	High      Number `json:"ref_temp_high_C"`
	Alpha     Number `json:"alpha_percent_per_C"`
	UAlpha    Number `json:"u_alpha_percent_per_C"`
}

// SameMeterAt is what the same readings mean at another reference temperature.
type SameMeterAt struct {
	RefTempC float64 `json:"ref_temp_C"`
	Alpha    Number  `json:"alpha_percent_per_C"`
	UAlpha   Number  `json:"u_alpha_percent_per_C"`
	Gain     Number  `json:"gain"`
	UGain    Number  `json:"u_gain"`
}

// CompensationRule is one rule held against the readings.
type CompensationRule struct {
	Rule        string `json:"rule"`
	Alpha       Number `json:"alpha_percent_per_C"` // linear alone
	Gain        Number `json:"gain"`
	RMSRel      Number `json:"rms_rel"`
	WorstRel    Number `json:"worst_rel"`
	Probability Number `json:"probability"` // null where the rule is not defined
	WhyNot      string `json:"why_not,omitempty"`
}

// CompensationReading is one reading against the straight rule that fits best.
type CompensationReading struct {
	Row          int     `json:"row"`
	TempC        float64 `json:"temp_C"`
	Reading      float64 `json:"reading"`
	Fit          float64 `json:"fit"`
	MinusFit     float64 `json:"reading_minus_fit"`
	MinusFitRel  float64 `json:"reading_minus_fit_rel"`
	Standardised Number  `json:"standardised"`
	Flagged      bool    `json:"flagged"`
}

// CompensationQuestion is what a person says about bottle, meter and
// thermometer.
type CompensationQuestion struct {
	Bottle   SaltBottle // Temp and Display are not used
	Scale    tempcomp.Scale
	RefTempC float64

	Claimed   Number              // 1/C
	Tolerance *quantity.Tolerance // of Claimed; absolute ones in %/C

	Gain, UGain    Number      // the meter's own; unknown where not given
	UReading       *check.Size // of readings that state none
	UThermometer   Number      // C
	Resolution     float64     // in the unit of the readings; 0 if unknown
	OwnThermometer bool

	MeterName, BottleName string // "" for none
}

// CompensationRow is one row of a table.
type CompensationRow struct {
	Line int // in the file
	tempcomp.Observation
	Time time.Time // zero for none
}

// NewCompensation examines the readings. Its errors are those of
// [tempcomp.Examine]; a [*tempcomp.ReadingError] is about rows[Index].
func NewCompensation(q CompensationQuestion, rows []CompensationRow) (*Compensation, error) {
	reference, err := q.Bottle.Reference()
	if err != nil {
		return nil, err
	}
	bottle, err := tempcomp.ReferenceBottle(reference)
	if err != nil {
		return nil, err
	}
	readings, err := tempcomp.Observed(q.observations(rows), pointer(q.UThermometer))
	if err != nil {
		return nil, err
	}
	o, err := q.options()
	if err != nil {
		return nil, err
	}
	e, err := tempcomp.Examine(bottle, readings, o)
	if err != nil {
		return nil, err
	}
	r := &Compensation{
		Meter: named(q.MeterName), Bottle: named(q.BottleName),
		Salt: q.Bottle.Salt.Formula, Strength: q.Bottle.Strength.String(), Unit: q.Scale.Unit,
		RefTempC: q.RefTempC, Claimed: percentOf(q.Claimed), Tolerance: Maybe(100*claimTolerance(o), claimTolerance(o) > 0),
		examined: e, scale: q.Scale,
		Cautions: compensationCautions,
	}
	r.take(e)
	r.takeReadings(rows, e)
	r.takeTimes(rows)
	r.Warnings = append(r.Warnings, e.Warnings...)
	r.warn(q, reference)
	r.say(q)
	return r, nil
}

// WarningList gives the warnings.
func (r *Compensation) WarningList() []string { return r.Warnings }

// VerdictWord is the verdict, "" for none.
func (r *Compensation) VerdictWord() string { return wordOrEmpty(r.Verdict) }

// observations fills in the uncertainty of readings that state none.
func (q CompensationQuestion) observations(rows []CompensationRow) []tempcomp.Observation {
	out := make([]tempcomp.Observation, len(rows))
	for i, row := range rows {
		out[i] = row.Observation
		if q.UReading != nil && out[i].UReading == nil {
			u := q.UReading.Value
			if q.UReading.Relative {
				u *= math.Abs(row.Reading)
			}
			out[i].UReading = &u
		}
	}
	return out
}

func (q CompensationQuestion) options() (tempcomp.ExamineOptions, error) {
	o := tempcomp.ExamineOptions{
		RefTempC: q.RefTempC, Scale: q.Scale, Resolution: q.Resolution, OwnThermometer: q.OwnThermometer, ID: q.MeterName,
	}
	if alpha, known := q.Claimed.Get(); known {
		o.Claim = &tempcomp.Claim{Alpha: alpha}
		if q.Tolerance != nil {
			o.Claim.Tolerance = q.Tolerance.Value / 100
			if q.Tolerance.Relative {
				o.Claim.Tolerance = q.Tolerance.At(alpha)
			}
		}
	}
	if gain, known := q.Gain.Get(); known {
		v := uncert.Unstated(gain, gainSource)
		if u, stated := q.UGain.Get(); stated {
			var err error
			if v, err = uncert.New(gain, u, gainSource); err != nil {
				return o, err
			}
		}
		o.MeterGain = &v
	}
	return o, nil
}

var gainSource = uncert.Source{ID: "meter gain", Label: "gain of the meter"}

func claimTolerance(o tempcomp.ExamineOptions) float64 {
	if o.Claim == nil {
		return 0
	}
	return o.Claim.Tolerance
}

func (r *Compensation) take(e tempcomp.Examination) {
	r.N, r.DoF, r.UBasis = e.N, e.DoF, e.UncertaintyFrom
	r.Alpha, r.UAlpha = Known(100*e.Alpha.Value), percentOf(numberAt(e.Alpha.U))
	r.AlphaLow, r.AlphaHigh = percentOf(numberAt(e.Alpha.Low)), percentOf(numberAt(e.Alpha.High))
	r.Gain, r.UGain, r.UMeterGain = Known(e.Gain.Value), numberAt(e.Gain.U), numberAt(e.MeterGain.U)
	r.Chi2, r.PWithin = numberAt(e.Chi2), numberAt(e.PWithin)
	r.Rule, r.Verdict = named(e.Rule), named(string(e.Verdict))
	if own := e.Own; own != nil {
		r.Own = &CompensationOwn{
			RefTempC: Known(own.RefTempC.Value), URefTempC: numberAt(own.RefTempC.U),
			Low: numberAt(own.RefTempC.Low), High: numberAt(own.RefTempC.High),
			Alpha: Known(100 * own.Alpha.Value), UAlpha: percentOf(numberAt(own.Alpha.U)),
		}
	}
	for _, rule := range e.Rules {
		line := CompensationRule{
			Rule: rule.Name, Alpha: percentOf(numberAt(rule.Alpha)), WhyNot: rule.WhyNot, Probability: numberAt(rule.Probability),
		}
		if rule.Probability != nil {
			line.Gain, line.RMSRel, line.WorstRel = Known(rule.Gain), Known(rule.RMS), Known(rule.Worst)
		}
		r.Rules = append(r.Rules, line)
	}
	for _, t := range usualRefTemps {
		if t == r.RefTempC {
			continue
		}
		alpha, errA := e.AlphaAt(t)
		gain, errG := e.GainAt(t)
		if errA == nil && errG == nil {
			r.SameAt = append(r.SameAt, SameMeterAt{RefTempC: t, Alpha: Known(100 * alpha.Value), UAlpha: percentOf(numberAt(alpha.U)),
				Gain: Known(gain.Value), UGain: numberAt(gain.U)})
		}
	}
}

// usualRefTemps are the reference temperatures of meters, C (common practice,
// no source).
var usualRefTemps = []float64{20, 25}

func (r *Compensation) takeReadings(rows []CompensationRow, e tempcomp.Examination) {
	for i, row := range rows {
		fit := row.Reading / (1 + e.Residuals[i])
		r.Readings = append(r.Readings, CompensationReading{
			Row: row.Line, TempC: row.TempC, Reading: row.Reading, Fit: fit,
			MinusFit: row.Reading - fit, MinusFitRel: e.Residuals[i],
			Standardised: numberAt(e.Standardised[i]), Flagged: e.Outlying[i],
		})
	}
}

// takeTimes keeps the time of the last reading, and warns of a bottle that was
// read over more than a day.
func (r *Compensation) takeTimes(rows []CompensationRow) {
	var first, last time.Time
	for _, row := range rows {
		if row.Time.IsZero() {
			continue
		}
		if first.IsZero() || row.Time.Before(first) {
			first = row.Time
		}
		if row.Time.After(last) {
			last = row.Time
		}
	}
	if last.IsZero() {
		return
	}
	text := last.Format(time.RFC3339)
	r.Time = &text
	if last.Sub(first) > 24*time.Hour {
		r.Warnings = append(r.Warnings, "the readings spread over more than a day: a bottle that loses water meanwhile, or a meter that drifts, looks like another coefficient")
	}
}

// warn says what was left out of the bottle's description.
func (r *Compensation) warn(q CompensationQuestion, b solutions.SaltReference) {
	if q.Bottle.Water == nil {
		r.Warnings = append(r.Warnings, "the water's own conductivity is not given (--water-ec) and is left out; it hardly touches the coefficient")
	} else if text := solutions.WaterWarning(b.Water.Nominal()); text != "" {
		r.Warnings = append(r.Warnings, text)
	}
	if ec25, err := b.EC25(); err == nil && len(ec25.Unstated()) > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("the uncertainty of the bottle is not known (%s): the gain holds for a bottle exactly as labelled; the coefficient does not depend on it", notStated(unstatedNames(ec25))))
	}
	if t := q.Tolerance; t != nil && t.Relative && t.Value < 0.01 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("a tolerance of %s is a fraction of the coefficient; for one in %%/C leave out the sign, as in 0.1", t))
	}
}

func pointer(n Number) *float64 {
	if x, known := n.Get(); known {
		return &x
	}
	return nil
}

func numberAt(p *float64) Number {
	if p == nil {
		return Unknown()
	}
	return Known(*p)
}

func percentOf(n Number) Number {
	x, known := n.Get()
	return Maybe(100*x, known)
}

// named is nil for no name.
func named(word string) *string {
	if word == "" {
		return nil
	}
	return &word
}
