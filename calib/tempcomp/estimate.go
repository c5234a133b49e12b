package tempcomp

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/brinemark/brinemark/calib/scatter"
	"github.com/brinemark/brinemark/calib/uncert"
)

// Causes an estimate can be refused for.
var (
	ErrTooFew     = errors.New("too few readings")
	ErrOneTemp    = errors.New("the readings are all at one temperature")
	ErrNoConverge = errors.New("the fit did not settle")
	ErrTooMany    = errors.New("too many readings")
	ErrNoScatter  = errors.New("readings that are all alike say nothing about their uncertainty")
)

// MaxReadings is the most readings of one bottle that are taken. More would add
// nothing: what readings of one stop share does not average out.
const MaxReadings = 200

// MinSpanC is the least span of temperatures from which a coefficient is
// computed, in C (common practice, no source). Within it a compensated reading
// moves by less than most displays show.
const MinSpanC = 2.0

// level is the coverage probability of the intervals.
const level = 0.95

// Reading is what a meter showed in the bottle. Where the uncertainty of any
// reading is unstated ([uncert.Unstated]), the scatter of all stands in for it.
type Reading struct {
	Shown uncert.Value // in the unit of the scale
	// TempC is the temperature of the liquid when it was read; what all the
	// temperatures share (one thermometer) goes by its source.
	TempC uncert.Value
}

// EstimateOptions are what the readings cannot tell.
type EstimateOptions struct {
	// RefTempC is the reference temperature at which to give the coefficient.
	RefTempC float64
	Scale    Scale
	// Resolution is the step of the display in the unit of the scale; 0 where
	// it is not known. It adds step/√12 to a reading whose uncertainty is
	// stated, and is the least scatter that is believed of others.
	Resolution float64
	// Gain is the meter's reading over the true one at its own reference
	// temperature, times the bottle's strength over its label, where that is
	// known from elsewhere; nil where it is not. Only with it can the
	// reference temperature be found.
	Gain *uncert.Value
	// OwnThermometer says that TempC is what the meter itself showed, which it
	// also compensated with, rather than another thermometer's reading.
	OwnThermometer bool
	// ID names this estimate's scatter among those of other meters.
	ID string
}

// Compensation is a meter's linear compensation as its readings show it.
type Compensation struct {
	N, DoF int
	// RefTempC is the reference temperature that Alpha belongs to: the one
	// asked for (an exact number), or the meter's own where RefTempFound.
	RefTempC     scatter.Estimate
	RefTempFound bool
	Alpha        scatter.Estimate // 1/C
	// Gain is reading over truth at RefTempC, strength of the bottle
	// included: the one found, or the one given where RefTempFound.
	Gain            scatter.Estimate
	UncertaintyFrom string    // "stated" or "scatter"
	Chi2            *float64  // where uncertainties were stated and more than two readings
	Residuals       []float64 // reading over the fit, minus 1, in the order given
	// Standardised are the residuals over their standard uncertainty, the
	// leverage of the reading taken into account; nil where a reading is fitted
	// whatever it is. Outlying is the largest, if one as large comes by chance
	// in less than one of twenty such sets.
	Standardised []*float64
	Outlying     []bool
	Warnings     []string

	alpha, ref, gain uncert.Value
	fit              scatter.Fit
}

// EstimateLinear finds the compensation that a meter really uses from one
// bottle read at several temperatures:
//
//	r_i = G · κ(t_i) / (1 + α (t_i − t_ref))
//
// What can be told apart: α at a chosen reference temperature, with the gain G
// left free. The reference temperature itself cannot, since for any other one,
//
//	1 + α (t − t_ref) = (1 + α (t' − t_ref)) · (1 + α' (t − t')),  α' = α / (1 + α (t' − t_ref))
//
// the first factor is a gain: a meter of 2 %/C to 25 C and one of 2.22 %/C to
// 20 C that reads a ninth high are the same meter. Only where the gain is known
// from elsewhere (o.Gain) does the result give the meter's own reference
// temperature; it takes a constant error of the meter's thermometer with it,
// which is the same thing to the readings.
//
// The fit is least squares of ln r by Gauss–Newton, with the covariance of
// readings, temperatures and the bottle's shape where every reading's
// uncertainty is stated, otherwise with equal weights, the scatter then giving
// the uncertainty and what the readings share being added. Errors: fewer than
// two readings (three with unstated uncertainties, [ErrTooFew]), temperatures
// within [MinSpanC] ([ErrOneTemp]) or outside the range of the bottle or of
// [TemperatureRange], a reading that is not above zero.
func EstimateLinear(b Bottle, readings []Reading, o EstimateOptions) (Compensation, error) {
	bench, err := prepare(b, readings, o)
	if err != nil {
		return Compensation{}, err
	}
	out, err := estimate(bench, o)
	if err == nil && len(bench.points) >= 4 && naturalFits(bench.points, out.Residuals) {
		out.Warnings = append(out.Warnings, "natural-water compensation (ISO 7888) fits these readings better than any straight line")
	}
	return out, err
}

func estimate(b bench, o EstimateOptions) (Compensation, error) {
	s, err := solve(b)
	if err != nil {
		return Compensation{}, err
	}
	out := Compensation{N: len(b.points), DoF: len(b.points) - 2, UncertaintyFrom: "stated"}
	out.Residuals, out.Chi2 = s.residuals(), s.chi2
	out.Standardised, out.Outlying = s.standardised()
	out.fit = scatter.Fit{ID: "compensation:" + o.ID, DoF: math.Inf(1)}
	if !b.stated {
		out.UncertaintyFrom = "scatter"
		out.fit.DoF = float64(out.DoF)
	}
	lnG, alpha, err := s.values(out.fit.ID)
	if err != nil {
		return Compensation{}, err
	}
	out.alpha, out.ref = alpha, uncert.Exact(o.RefTempC)
	if out.gain, err = lnG.Map(math.Exp(lnG.Nominal()), math.Exp(lnG.Nominal())); err != nil {
		return Compensation{}, err
	}
	if o.Gain != nil {
		if out.gain, err = out.ownReference(out.gain, *o.Gain); err != nil {
			return Compensation{}, err
		}
	}
	out.Alpha, out.RefTempC, out.Gain = out.estimate(out.alpha), out.estimate(out.ref), out.estimate(out.gain)
	out.note(b.points, o)
	return out, nil
}

func (c *Compensation) estimate(v uncert.Value) scatter.Estimate { return c.fit.Estimate(v, level) }

// ownReference moves the result to the reference temperature at which the gain
// is the known one: t' with G(t') = g, where G(t') = G (1 + α (t' − t_ref))⁻¹.
// It returns the gain there.
func (c *Compensation) ownReference(gain, known uncert.Value) (uncert.Value, error) {
	if !(known.Nominal() > 0) {
		return gain, fmt.Errorf("gain is %g; want above 0: %w", known.Nominal(), ErrOutOfRange)
	}
	if u := c.estimate(c.alpha); u.Low != nil && *u.Low <= 0 && *u.High >= 0 {
		c.Warnings = append(c.Warnings, "the coefficient may be zero, and without compensation there is no reference temperature to find")
		return gain, nil
	}
	// 1 + α (t' − t_ref) = G/g =: q;  α' = α/q;  t' = t_ref + (q − 1)/α.
	q, err := gain.Div(known)
	if err != nil {
		return gain, err
	}
	shift, err := q.Shift(-1).Div(c.alpha)
	if err != nil {
		return gain, err
	}
	alpha, err := c.alpha.Div(q)
	if err != nil {
		return gain, err
	}
	if u := c.alpha.RelU(); u > 0.1 {
		c.Warnings = append(c.Warnings, "the coefficient is known to no better than a tenth; the interval of the reference temperature is approximate")
	}
	c.alpha, c.ref, c.RefTempFound = alpha, c.ref.Add(shift), true
	return known, nil
}

// AlphaAt returns the same compensation's coefficient at another reference
// temperature t', α' = α / (1 + α (t' − t_ref)). It errs where that line
// cannot be divided by.
func (c Compensation) AlphaAt(refTempC float64) (scatter.Estimate, error) {
	return c.over(c.alpha, refTempC)
}

// GainAt returns the gain that goes with [Compensation.AlphaAt],
// G' = G / (1 + α (t' − t_ref)).
func (c Compensation) GainAt(refTempC float64) (scatter.Estimate, error) {
	return c.over(c.gain, refTempC)
}

// over divides by F(t').
func (c Compensation) over(v uncert.Value, refTempC float64) (scatter.Estimate, error) {
	if err := RefTemperatureRange().Check(linearSubject, refTempC); err != nil {
		return scatter.Estimate{}, err
	}
	q := uncert.Exact(refTempC).Sub(c.ref).Mul(c.alpha).Shift(1)
	if err := DivisorRange().Check(linearSubject, q.Nominal()); err != nil {
		return scatter.Estimate{}, err
	}
	out, err := v.Div(q)
	if err != nil {
		return scatter.Estimate{}, err
	}
	return c.estimate(out), nil
}

// Misreading returns the relative error at tempC of a reading that is compared
// with what a meter of the compensation claim would show, the two being alike
// at the claim's reference temperature t':
//
//	(1 + α_claim (t − t')) / (1 + α' (t − t')) − 1,  α' as from [Compensation.AlphaAt]
func (c Compensation) Misreading(claim Linear, tempC float64) (scatter.Estimate, error) {
	claimed, err := claim.Factor(tempC)
	if err != nil {
		return scatter.Estimate{}, err
	}
	// F(t') / F(t) of the meter, each from its own reference temperature.
	at := func(t float64) uncert.Value { return uncert.Exact(t).Sub(c.ref).Mul(c.alpha).Shift(1) }
	for _, t := range []float64{tempC, claim.RefTempC} {
		if err := DivisorRange().Check(linearSubject, at(t).Nominal()); err != nil {
			return scatter.Estimate{}, err
		}
	}
	q, err := at(claim.RefTempC).Div(at(tempC))
	if err != nil {
		return scatter.Estimate{}, err
	}
	return c.estimate(q.Scale(claimed).Shift(-1)), nil
}

// note says what the figures do not.
func (c *Compensation) note(points []point, o EstimateOptions) {
	warn := func(format string, args ...any) { c.Warnings = append(c.Warnings, fmt.Sprintf(format, args...)) }
	if !c.RefTempFound {
		warn("the reference temperature was taken as %g C: one bottle cannot tell it from the gain of the meter or the strength of the bottle. The same readings mean another coefficient at another reference temperature", o.RefTempC)
	}
	if c.UncertaintyFrom == "scatter" {
		plural := "s"
		if c.DoF == 1 {
			plural = ""
		}
		warn("the uncertainty of the readings is not stated; the intervals rest on their scatter (%d degree%s of freedom)", c.DoF, plural)
	}
	if c.Chi2 != nil && (distuv.ChiSquared{K: float64(c.DoF)}).Survival(*c.Chi2) < 0.01 {
		warn("the readings lie further from a straight compensation than their uncertainties allow (chi-squared %.1f for %d degrees of freedom); the intervals are too narrow", *c.Chi2, c.DoF)
	}
	for _, p := range points {
		if len(p.temp.Unstated()) > 0 {
			warn("the uncertainty of the temperatures is not stated and is left out")
			break
		}
	}
	a := c.Alpha
	switch {
	case a.Low != nil && *a.Low <= 0 && *a.High >= 0:
		warn("the coefficient may be zero: the meter seems not to compensate")
	case a.Low != nil && *a.High < 0, a.Value > AlphaRange().High:
		warn("a coefficient of %.2g %%/C is no compensation; look for a wrong unit, a wrong bottle or temperatures of another moment", 100*a.Value)
	}
}
