package tempcomp

import (
	"errors"
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/scatter"
	"github.com/brinemark/brinemark/calib/uncert"
)

// ErrWrongUnit says that readings are in another unit than the display's.
var ErrWrongUnit = errors.New("another unit")

// MinStops is the least number of different temperatures ([StopC]) of an
// examination: two cannot show which rule a meter follows.
const MinStops = 3

// decided is the probability from which on a rule is named.
const decided = 0.95

// Readings a thousand times off are in another unit; a gain beyond these limits
// is not one that a meter is out of adjustment by (common practice, no source).
const (
	thousandLow, thousandHigh = 400.0, 2500.0
	gainLow, gainHigh         = 0.7, 1.4
)

// ExamineOptions are what the readings cannot tell, and what is claimed.
type ExamineOptions struct {
	RefTempC       float64 // at which to give the coefficient, C
	Scale          Scale
	Resolution     float64 // as in [EstimateOptions]
	OwnThermometer bool    // as in [EstimateOptions]
	ID             string  // as in [EstimateOptions]
	// MeterGain is the meter's own gain, reading over truth with its
	// compensation out of play, where that is known; nil where it is not.
	MeterGain *uncert.Value
	// Claim is the coefficient that the meter is said to have; nil for none.
	Claim *Claim
}

// Claim is a coefficient of linear compensation at the reference temperature of
// the options, and how far off it may be (1/C; 0 for no verdict).
type Claim struct{ Alpha, Tolerance float64 }

// Examination is what a meter's readings say about its compensation.
type Examination struct {
	// Compensation is at the reference temperature asked for, with the gain
	// left free.
	Compensation
	// MeterGain is Gain without the strength of the bottle; it has no interval
	// where nobody stated how well the strength is known.
	MeterGain scatter.Estimate
	// Own is the compensation at the meter's own reference temperature; nil
	// where the gain is not known, or the meter does not compensate.
	Own *Compensation
	// Rules are the rules held against the readings: linear, none and
	// natural-water. Rule is the one whose probability is 95 % or more, and ""
	// where none's is.
	Rules []RuleFit
	Rule  string
	// PWithin is the probability that the coefficient lies within tolerance
	// of the claim, and that the meter follows a straight rule or one that these
	// readings cannot tell from it; nil without tolerance or basis.
	PWithin *float64
	Verdict conformity.Verdict // "" without a tolerance
}

// Examine estimates a meter's compensation as [EstimateLinear] does, compares
// the rules, and judges a claim. Readings are needed at [MinStops] temperatures
// ([ErrTooFew]); readings a thousand times off are in another unit
// ([ErrWrongUnit]). Other errors as for [EstimateLinear]. Those about one
// reading are [*ReadingError]s.
func Examine(b Bottle, readings []Reading, o ExamineOptions) (Examination, error) {
	options := EstimateOptions{RefTempC: o.RefTempC, Scale: o.Scale, Resolution: o.Resolution, OwnThermometer: o.OwnThermometer, ID: o.ID}
	bench, err := prepare(b, readings, options)
	if err != nil {
		return Examination{}, err
	}
	if bench.stops < MinStops {
		return Examination{}, fmt.Errorf("%d different temperatures: %w; want %d or more, at least %g C apart: two cannot show whether a compensation is straight", bench.stops, ErrTooFew, MinStops, StopC)
	}
	if err := bench.checkUnit(readings, o.Scale); err != nil {
		return Examination{}, err
	}
	var out Examination
	if out.Compensation, err = estimate(bench, options); err != nil {
		return Examination{}, err
	}
	meter, err := out.gain.Div(b.strength)
	if err != nil {
		return Examination{}, err
	}
	out.MeterGain = out.Compensation.estimate(meter)
	s, err := solve(bench)
	if err != nil {
		return Examination{}, err
	}
	if out.Rules, err = compareRules(bench, s); err != nil {
		return Examination{}, err
	}
	for _, r := range out.Rules {
		if r.Probability != nil && *r.Probability >= decided {
			out.Rule = r.Name
		}
	}
	if o.MeterGain != nil {
		if err := out.findOwn(bench, options, o.MeterGain.Mul(b.strength)); err != nil {
			return Examination{}, err
		}
	}
	out.noteExamination(readings, o)
	return out, out.judge(o.Claim)
}

// findOwn adds the meter's own reference temperature, from a gain that is known.
func (e *Examination) findOwn(b bench, o EstimateOptions, gain uncert.Value) error {
	o.Gain = &gain
	own, err := estimate(b, o)
	if err != nil {
		return err
	}
	if own.RefTempFound {
		e.Own = &own
	}
	// What the estimate warns of is the same for both, but for this.
	e.Warnings = own.Warnings
	return nil
}

// judge decides whether the claim holds.
func (e *Examination) judge(claim *Claim) error {
	if claim == nil || claim.Tolerance == 0 {
		return nil
	}
	if err := checkAlpha(claim.Alpha); err != nil {
		return err
	}
	if !(claim.Tolerance > 0) || math.IsInf(claim.Tolerance, 1) {
		return fmt.Errorf("tolerance of the coefficient is %g 1/C; want above 0: %w", claim.Tolerance, ErrOutOfRange)
	}
	a := e.Alpha
	if a.U == nil {
		e.Verdict = conformity.Undecided
		return nil
	}
	p, err := conformity.Probability(a.Value-claim.Alpha, *a.U, intervalDoF(a), conformity.Around(claim.Tolerance))
	if err != nil {
		return err
	}
	for _, r := range e.Rules {
		if r.Name == LinearName && e.Rule != "" && e.Rule != LinearName {
			p *= *r.Probability
		}
	}
	e.PWithin, e.Verdict = &p, conformity.Default.Decide(p)
	return nil
}

// intervalDoF is the degrees of freedom of the Student's t whose 95 % interval is
// the estimate's, so that a probability and the interval beside it agree where
// scatter and stated uncertainties meet ([scatter.Fit.Estimate]).
func intervalDoF(e scatter.Estimate) float64 {
	if !(*e.U > 0) || math.IsInf(e.DoF, 1) {
		return math.Inf(1)
	}
	k := (*e.High - *e.Low) / 2 / *e.U
	low, high := e.DoF, 1e7
	for range 60 {
		middle := math.Sqrt(low * high)
		if uncert.CoverageFactor(level, middle) > k {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Sqrt(low * high)
}

// noteExamination says what the figures do not.
func (e *Examination) noteExamination(readings []Reading, o ExamineOptions) {
	warn := func(format string, args ...any) { e.Warnings = append(e.Warnings, fmt.Sprintf(format, args...)) }
	if allTheSame(readings) {
		warn("every reading is %g: either the meter compensates as well as its display can show, or the display is held or stuck", readings[0].Shown.Nominal())
	}
	for i, out := range e.Outlying {
		if out {
			warn("reading %d stands out by %.1f standard uncertainties: was the probe at the temperature written down? It is in the fit nevertheless", i+1, *e.Standardised[i])
		}
	}
	if g := e.Gain.Value; g < gainLow || g > gainHigh {
		hint := "is the bottle the one described, and the display in the unit given?"
		if o.Scale == MicroSiemens() && g > 0.45 && g < 0.75 {
			hint = "is the display in ppm (then give its factor)?"
		}
		warn("the meter shows %.2f times what the bottle holds at %g C: %s The coefficient does not depend on it, the gain does", g, o.RefTempC, hint)
	}
}

// checkUnit refuses readings a thousand times off.
func (b bench) checkUnit(readings []Reading, s Scale) error {
	for i, p := range b.points {
		ratio := math.Exp(p.lnR.Nominal() - p.lnKappa)
		word := "smaller"
		if ratio > 1 {
			ratio, word = 1/ratio, "larger"
		}
		if 1/ratio >= thousandLow && 1/ratio <= thousandHigh {
			return &ReadingError{Index: i, Of: OfReading, Err: fmt.Errorf("%g %s, about a thousand times %s than the bottle's conductivity: %w; want readings in the unit of the display (1 mS/cm is 1000 uS/cm)",
				readings[i].Shown.Nominal(), s.Unit, word, ErrWrongUnit)}
		}
	}
	return nil
}
