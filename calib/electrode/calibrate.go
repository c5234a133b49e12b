package electrode

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/uncert"
)

// calibrate fills the result from checked rows; on an error the result is
// empty.
func (r *Result) calibrate(rows []row) error {
	err := r.fill(rows)
	if err != nil {
		*r = Result{}
	}
	return err
}

func (r *Result) fill(rows []row) error {
	if len(rows) == 0 {
		return fmt.Errorf("%w: a slope needs two buffers, an offset one", ErrNoPoints)
	}
	var spread float64
	r.temp, spread = meanTemp(rows)
	r.TempC = r.temp.Nominal()
	r.LowPH, r.HighPH = span(rows)
	r.DoF = max(0, len(rows)-2)
	r.noteTemperatures(rows, spread)
	if len(rows) == 1 {
		return r.offsetOnly(rows[0])
	}
	if r.HighPH-r.LowPH < MinSpanPH {
		return fmt.Errorf("buffers from pH %.3f to %.3f: %w; a slope needs two buffers, at least %g pH apart (one point alone gives the offset)", r.LowPH, r.HighPH, ErrSameBuffer, MinSpanPH)
	}
	f, warnings, err := fitRows(rows)
	if err != nil {
		return err
	}
	r.fit, r.Chi2, r.UncertaintyFrom = f, f.chi2, f.basis.String()
	r.Warnings = append(r.Warnings, warnings...)
	if err := r.checkSlope(r.sign() * f.b.Nominal()); err != nil {
		return err
	}
	if err := r.figures(rows); err != nil {
		return err
	}
	r.noteBasis(rows)
	r.judge(rows, spread)
	r.advise()
	return nil
}

// figures turns intercept and slope into the figures of the trade.
func (r *Result) figures(rows []row) error {
	f := r.fit
	r.SlopePercent = r.estimate(f.b.Scale(100 * r.sign()))
	perPH := uncert.Exact(1)
	if r.Basis == ByMV {
		s := nernst(r.TempC)
		var err error
		if perPH, err = r.temp.Map(s, s/(r.TempC+ZeroCelsiusK)); err != nil {
			return err
		}
		r.SlopeMVPerPH = r.estimate(f.b.Mul(perPH).Neg())
		r.OffsetMV = r.estimate(f.a)
	} else {
		r.OffsetPH = r.estimate(f.a)
	}
	if math.Abs(f.b.Nominal()) > deadBelow {
		x, err := f.a.Div(f.b.Mul(perPH))
		if err != nil {
			return err
		}
		r.ZeroPointPH = r.estimate(x.Neg().Shift(IsopotentialPH))
	}
	for _, row := range rows {
		p := Fitted{PH: row.ph.Nominal(), Reading: row.reading.Nominal(), TempC: row.tempC}
		if r.ZeroPointPH != nil {
			ph := IsopotentialPH + (row.y.Nominal()-f.a.Nominal())/(f.b.Nominal()*row.perPH)
			residual := p.PH - ph
			p.Corrected, p.Residual = &ph, &residual
		}
		r.Points = append(r.Points, p)
	}
	return nil
}

func (r *Result) estimate(v uncert.Value) *Estimate {
	e := r.fit.estimate(v)
	return &e
}

// assumedSlope is the slope of an electrode that nobody measured: anywhere in
// the range that USP <791> allows, rectangular (JCGM 100:2008 4.3.7).
func assumedSlope() uncert.Value {
	const low, high = 0.90, 1.05
	return uncert.Must(uncert.New((low+high)/2, (high-low)/(2*math.Sqrt(3)), uncert.Source{ID: "electrode:assumed slope", Label: "slope assumed, 90 to 105 % of ideal"}))
}

// offsetOnly is what one buffer can tell.
func (r *Result) offsetOnly(p row) error {
	b := assumedSlope().Scale(r.sign())
	a := p.y.Sub(b.Mul(p.x))
	r.fit = fitted{a: a, b: b, basis: line.FromStated, dof: math.Inf(1), id: identity([]row{p})}
	r.UncertaintyFrom = line.FromStated.String()
	if p.unstated() {
		r.fit.basis, r.UncertaintyFrom = line.NoBasis, line.NoBasis.String()
	}
	if err := r.figures([]row{p}); err != nil {
		return err
	}
	// The slope was put in, not found.
	r.SlopePercent, r.SlopeMVPerPH, r.Points = nil, nil, nil
	r.Verdict = conformity.Undecided
	r.warn(fmt.Sprintf("one buffer gives the offset only; the slope is taken as anywhere from 90 to 105 %% of ideal. A second buffer, 3 to 4 pH from %.2f, decides", p.ph.Nominal()))
	r.judgeOffset()
	r.advise()
	return nil
}

func (r *Result) noteTemperatures(rows []row, spread float64) {
	unjudged, unrecorded := false, false
	for _, row := range rows {
		unjudged = unjudged || row.unjudged
		if !row.hasTemp {
			unrecorded = true
		}
	}
	if unrecorded {
		r.warn("no temperature was recorded for some point; 25 C is taken there. One degree is a third of a percent of the slope, and buffers change with temperature")
	}
	if r.Basis == ByMV && unjudged {
		r.warn("the thermometer's uncertainty is not stated and is left out; one degree is a third of a percent of the slope")
	}
	if spread > 2 && r.Basis == ByMV {
		r.warn(fmt.Sprintf("the points differ by %.1f C; they are brought together by the ideal slope at each temperature, which assumes that the electrode's potential at pH %g does not move with temperature", spread, IsopotentialPH))
	}
	if spread > 2 && r.Basis == ByDisplay {
		r.warn(fmt.Sprintf("the points differ by %.1f C; that is right only if the meter compensates for temperature", spread))
	}
}

// noteBasis says what the intervals rest on, where that is not plain.
func (r *Result) noteBasis(rows []row) {
	partly := false
	for _, row := range rows {
		partly = partly || (row.unstated() && (row.ph.U() > 0 || row.reading.U() > 0))
	}
	switch r.fit.basis {
	case line.NoBasis:
		if r.fit.still {
			break // said already: the reading does not move
		}
		r.warn("two points without stated uncertainties leave no basis for an interval; state the uncertainty of buffers and readings, or read a third buffer")
	case line.FromScatter:
		r.warn(fmt.Sprintf("the intervals rest on the scatter of %d points about the line (%s); an error that all buffers share does not show in it, unless it was stated", r.N, freedom(r.DoF)))
		if partly {
			r.warn("some uncertainties are stated and others are not; of those stated, what several points share was added, the rest shows in the scatter")
		}
	}
	if r.Chi2 != nil && (distuv.ChiSquared{K: float64(r.DoF)}).Survival(*r.Chi2) < 0.01 {
		r.warn(fmt.Sprintf("the points lie further from the line than their stated uncertainties allow (chi-squared %.1f for %s); the intervals are too narrow. Suspect a buffer", *r.Chi2, freedom(r.DoF)))
	}
	if r.Basis == ByDisplay {
		r.warn("a display tells the slope relative to the calibration stored in the meter; only where that was reset to the ideal one is it the electrode's own")
	}
	r.warn(fmt.Sprintf("the buffers bracket pH %.2f to %.2f; outside, the interval widens and the electrode has not been tried", r.LowPH, r.HighPH))
}

func freedom(dof int) string {
	if dof == 1 {
		return "1 degree of freedom"
	}
	return fmt.Sprintf("%d degrees of freedom", dof)
}
