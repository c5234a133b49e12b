package reports

import (
	"math"
	"slices"
	"time"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/cause"
	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/logbook"
)

// Compare is how far meters agree with one another and with references.
// Differences are b − a and errors reading − reference, in the unit of the
// readings; fractions are named relative. Uncertainties are standard ones
// (k = 1), intervals cover 95 %.
type Compare struct {
	// ID is that of the comparison on record; none where it was not saved.
	ID                string             `json:"id,omitempty"`
	Quantity          string             `json:"quantity"`
	Tolerance         Number             `json:"tolerance"`
	ToleranceRelative bool               `json:"tolerance_relative"`
	Pairs             List[ComparePair]  `json:"pairs"`
	Meters            List[CompareMeter] `json:"meters"`
	// Trust is the meter to trust; null: no fault, a bottle's fault, or no telling.
	Trust  *string            `json:"trust"`
	Causes List[CompareCause] `json:"causes"` // by falling probability, which add up to 1
	Next   string             `json:"next"`
	// NextMeasurements are what could be read next, the most telling first.
	NextMeasurements List[CompareMeasurement] `json:"next_measurements"`
	Warnings         Warnings                 `json:"warnings"`

	// Drawn puts the chart into the table, drawn with characters.
	Drawn bool `json:"-"`

	savedOn string
	pairs   []agree.Pair      // what the chart is drawn from
	units   map[string]string // that the meters show, by name, where it is known
}

// Bounds are the two ends of an interval.
type Bounds struct {
	Low  Number `json:"low"`
	High Number `json:"high"`
}

// ComparePair is meter b against meter a over the n samples both read.
type ComparePair struct {
	A        string          `json:"a"`
	B        string          `json:"b"`
	N        int             `json:"n"`
	Step     Number          `json:"step"` // the larger of the last digits of the two displays; null: computed readings
	Bias     Number          `json:"bias"`
	UBias    Number          `json:"u_bias"`
	BiasCI   Bounds          `json:"bias_interval"`
	DoF      Number          `json:"dof"`     // of u_bias; null: a stated uncertainty, normal
	Basis    string          `json:"u_basis"` // scatter, stated, resolution or none
	Ratio    Number          `json:"ratio"`   // geometric mean of b/a
	URatio   Number          `json:"u_ratio"`
	RatioCI  Bounds          `json:"ratio_interval"`
	SD       Number          `json:"sd"` // of the difference of two single readings
	Low      Number          `json:"limits_low"`
	High     Number          `json:"limits_high"`
	LowCI    Bounds          `json:"limits_low_interval"`
	HighCI   Bounds          `json:"limits_high_interval"`
	Form     string          `json:"limits_form"` // absolute, or proportional: then read relative_limits
	Relative *RelativeLimits `json:"relative_limits"`

	// The line b = intercept + slope·a by Deming's regression with equal error
	// variances; its standard errors by the jackknife.
	Slope         Number         `json:"slope"`
	USlope        Number         `json:"u_slope"`
	Intercept     Number         `json:"intercept"`
	UIntercept    Number         `json:"u_intercept"`
	Regression    string         `json:"regression"`
	PassingBablok *PassingBablok `json:"passing_bablok"`

	// ExpectedRatio is that of two displays known to differ, which Displays names:
	// their figures are compared as they are, and have no verdict.
	ExpectedRatio Number       `json:"expected_ratio"`
	Displays      List[string] `json:"displays"`

	// OfTolerance is the mean difference in units of the tolerance.
	OfTolerance  Number  `json:"bias_of_tolerance"`
	UOfTolerance Number  `json:"u_bias_of_tolerance"`
	PAgree       Number  `json:"p_agree"`
	Verdict      *string `json:"verdict"`
	MoreSamples  *int    `json:"more_samples"` // that would decide; null where none would or none are needed
}

// RelativeLimits are limits of agreement as fractions of the mean of the two
// meters.
type RelativeLimits struct {
	Low    Number `json:"low"`
	High   Number `json:"high"`
	LowCI  Bounds `json:"low_interval"`
	HighCI Bounds `json:"high_interval"`
}

// PassingBablok is the distribution-free line beside Deming's.
type PassingBablok struct {
	Slope       Number `json:"slope"`
	SlopeCI     Bounds `json:"slope_interval"`
	Intercept   Number `json:"intercept"`
	InterceptCI Bounds `json:"intercept_interval"`
}

// CompareMeter is a meter against the references of the samples it read.
type CompareMeter struct {
	Meter         string            `json:"meter"`
	N             int               `json:"n"` // samples with a reference
	Verdict       *string           `json:"verdict"`
	WorstError    Number            `json:"worst_error"` // a fraction where the tolerance is one
	WorstRelative bool              `json:"worst_error_relative"`
	WorstSample   *string           `json:"worst_sample"`
	PWithin       Number            `json:"p_within"`
	Basis         string            `json:"u_basis"`
	Ends          List[FittedError] `json:"error_at_ends"` // of the range of the references
	MoreSamples   *int              `json:"more_samples"`
	// TooUncertain: the error is not significant, and no meter could pass with
	// references and readings of this uncertainty.
	TooUncertain bool                `json:"too_uncertain"`
	Samples      List[CompareSample] `json:"samples"`
}

// FittedError is a meter's error at one reference by its fitted line.
type FittedError struct {
	Ref    float64 `json:"ref"`
	Error  float64 `json:"error"`
	UError Number  `json:"u_error"`
}

// CompareSample is a meter's error in one sample.
type CompareSample struct {
	Sample  string  `json:"sample"`
	Reading float64 `json:"reading"`
	Ref     float64 `json:"ref"`
	Error   float64 `json:"error"`
	UError  Number  `json:"u_error"` // null unless u_ref and u_reading are given
	Zeta    Number  `json:"zeta"`
	En      Number  `json:"e_n"`
}

// NewCompare makes the result of a comparison and its explanation.
func NewCompare(c *agree.Comparison, why *cause.Explanation) *Compare {
	r := &Compare{
		Quantity:          string(c.Kind),
		Tolerance:         Maybe(c.Tolerance.Value, c.Tolerance.Value > 0),
		ToleranceRelative: c.Tolerance.Relative,
		Trust:             wordOrNull(why.Trust),
		Causes:            compareCauses(why),
		Next:              why.Next,
		NextMeasurements:  compareMeasurements(why),
		Warnings:          append(slices.Clone(c.Warnings), why.Warnings...),
		pairs:             c.Pairs,
	}
	for _, p := range c.Pairs {
		r.Pairs = append(r.Pairs, newComparePair(p))
	}
	for _, m := range c.Meters {
		r.Meters = append(r.Meters, newCompareMeter(m))
	}
	return r
}

func newComparePair(p agree.Pair) ComparePair {
	out := ComparePair{
		A: p.A, B: p.B, N: p.Bias.N, Step: Maybe(p.Step, p.Step > 0),
		Bias: finite(p.Bias.Mean), UBias: finite(p.Bias.U), DoF: finite(p.Bias.DoF), Basis: string(p.Bias.Basis),
		Form: string(p.Form), Regression: "deming, equal error variances",
		OfTolerance: finite(p.InTolerance.Mean), UOfTolerance: finite(p.InTolerance.U),
		PAgree: finite(p.PAgree), Verdict: wordOrNull(string(p.Verdict)), MoreSamples: countOrNull(p.MoreSamples),
	}
	if out.ExpectedRatio = finite(p.Expected); out.ExpectedRatio.IsKnown() {
		out.Displays = List[string]{DisplayUnit(p.Factors[0]), DisplayUnit(p.Factors[1])}
	}
	out.BiasCI = bounds(p.Bias.Interval())
	ratio, u, low, high := p.Ratio()
	out.Ratio, out.URatio, out.RatioCI = finite(ratio), finite(u), bounds(low, high)
	if l := p.Limits; l != nil {
		out.SD, out.Low, out.High = finite(l.SD), finite(l.Low), finite(l.High)
		out.LowCI, out.HighCI = bounds(l.LowInterval[0], l.LowInterval[1]), bounds(l.HighInterval[0], l.HighInterval[1])
	}
	if l := p.RelativeLimits; l != nil {
		out.Relative = &RelativeLimits{finite(l.Low), finite(l.High), bounds(l.LowInterval[0], l.LowInterval[1]), bounds(l.HighInterval[0], l.HighInterval[1])}
	}
	if d := p.Deming; d != nil {
		out.Slope, out.USlope = finite(d.Slope), finite(d.USlope)
		out.Intercept, out.UIntercept = finite(d.Intercept), finite(d.UIntercept)
	}
	if b := p.PassingBablok; b != nil {
		out.PassingBablok = &PassingBablok{
			Slope: finite(b.Slope), SlopeCI: bounds(b.SlopeInterval[0], b.SlopeInterval[1]),
			Intercept: finite(b.Intercept), InterceptCI: bounds(b.InterceptInterval[0], b.InterceptInterval[1]),
		}
	}
	return out
}

func newCompareMeter(m agree.Meter) CompareMeter {
	out := CompareMeter{
		Meter: m.Meter, N: len(m.Errors), Verdict: wordOrNull(string(m.Verdict)),
		WorstError: finite(m.WorstError), WorstRelative: m.Relative, WorstSample: wordOrNull(m.WorstSample),
		PWithin: finite(m.PWithin), Basis: string(m.Basis), MoreSamples: countOrNull(m.MoreSamples), TooUncertain: m.TooUncertain,
	}
	for _, e := range []agree.FittedError{m.Low, m.High} {
		if finite(e.Error).IsKnown() {
			out.Ends = append(out.Ends, FittedError{e.Ref, e.Error, finite(e.U)})
		}
	}
	for _, e := range m.Errors {
		out.Samples = append(out.Samples, CompareSample{e.Sample, e.Reading, e.Ref, e.Error, finite(e.U), finite(e.Zeta), finite(e.En)})
	}
	return out
}

// Saved notes that the comparison is on record.
func (r *Compare) Saved(h logbook.Head) {
	r.ID, r.savedOn = h.ID, h.RecordedAt.Format(time.RFC3339)
}

// WarningList gives the warnings.
func (r *Compare) WarningList() []string { return r.Warnings }

// Verdicts gives the verdicts of all pairs, and of all meters that were judged;
// "" where there is none. A pair of displays that differ has none to give, and
// none is missed where every meter passes by its own references.
func (r *Compare) Verdicts() []string {
	var out []string
	allPass := !slices.ContainsFunc(r.Meters, func(m CompareMeter) bool { return wordOrEmpty(m.Verdict) != string(conformity.Pass) })
	for _, p := range r.Pairs {
		if !allPass || !p.ExpectedRatio.IsKnown() {
			out = append(out, wordOrEmpty(p.Verdict))
		}
	}
	for _, m := range r.Meters {
		if m.Verdict != nil {
			out = append(out, *m.Verdict)
		}
	}
	return out
}

// finite is x where it is a number and otherwise unknown: a bound that is
// infinite bounds nothing.
func finite(x float64) Number { return Maybe(x, !math.IsNaN(x) && !math.IsInf(x, 0)) }

func bounds(low, high float64) Bounds { return Bounds{finite(low), finite(high)} }

func wordOrNull(word string) *string {
	if word == "" {
		return nil
	}
	return &word
}

func wordOrEmpty(word *string) string {
	if word == nil {
		return ""
	}
	return *word
}

func countOrNull(n int) *int {
	if n <= 0 {
		return nil
	}
	return &n
}
