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
)

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
	Warnings        []string

	alpha, ref uncert.Value
	fit        scatter.Fit
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
	out := Compensation{N: len(readings), DoF: len(readings) - 2}
	points, stated, err := prepare(b, readings, o)
	if err != nil {
		return Compensation{}, err
	}
	s, err := solve(points, o, stated)
	if err != nil {
		return Compensation{}, err
	}
	out.Residuals, out.Chi2 = s.residuals(), s.chi2
	out.fit = scatter.Fit{ID: "compensation:" + o.ID, DoF: math.Inf(1)}
	out.UncertaintyFrom = "stated"
	if !stated {
		out.UncertaintyFrom = "scatter"
		out.fit.DoF = float64(out.DoF)
	}
	lnG, alpha, err := s.values(out.fit.ID)
	if err != nil {
		return Compensation{}, err
	}
	out.alpha, out.ref = alpha, uncert.Exact(o.RefTempC)
	gain, err := lnG.Map(math.Exp(lnG.Nominal()), math.Exp(lnG.Nominal()))
	if err != nil {
		return Compensation{}, err
	}
	if o.Gain != nil {
		if gain, err = out.ownReference(gain, *o.Gain); err != nil {
			return Compensation{}, err
		}
	}
	out.Alpha, out.RefTempC, out.Gain = out.estimate(out.alpha), out.estimate(out.ref), out.estimate(gain)
	out.note(points, o)
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
	if err := RefTemperatureRange().Check(linearSubject, refTempC); err != nil {
		return scatter.Estimate{}, err
	}
	q := uncert.Exact(refTempC).Sub(c.ref).Mul(c.alpha).Shift(1)
	if err := DivisorRange().Check(linearSubject, q.Nominal()); err != nil {
		return scatter.Estimate{}, err
	}
	v, err := c.alpha.Div(q)
	if err != nil {
		return scatter.Estimate{}, err
	}
	return c.estimate(v), nil
}

// note says what the figures do not.
func (c *Compensation) note(points []point, o EstimateOptions) {
	warn := func(format string, args ...any) { c.Warnings = append(c.Warnings, fmt.Sprintf(format, args...)) }
	if !c.RefTempFound {
		warn("the reference temperature was taken as %g C: one bottle cannot tell it from the gain of the meter or the strength of the bottle. The same readings mean another coefficient at another reference temperature", o.RefTempC)
	}
	if c.UncertaintyFrom == "scatter" {
		warn("the uncertainty of the readings is not stated; the intervals rest on their scatter (%d degrees of freedom)", c.DoF)
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
	if len(points) >= 4 && naturalFits(points, c.Residuals) {
		warn("natural-water compensation (ISO 7888) fits these readings better than any straight line")
	}
}
