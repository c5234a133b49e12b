package electrode

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/uncert"
)

// Check is one criterion applied to the electrode.
type Check struct {
	Criterion Criterion
	Found     float64 // in the unit of the criterion
	// Met says whether the figure found lies within the limits: the rule as
	// its publication applies it, uncertainty left aside.
	Met bool
	// P is the probability that the true figure does; nil where its
	// uncertainty is not known.
	P       *float64
	Verdict conformity.Verdict
}

// judge applies every criterion that the result has a figure for, and turns
// the binding ones into the verdict.
func (r *Result) judge(rows []row, spread float64) {
	found := map[Quantity]Estimate{}
	for q, e := range map[Quantity]*Estimate{SlopePercent: r.SlopePercent, OffsetMV: r.OffsetMV, ZeroPointPH: r.ZeroPointPH} {
		if e != nil {
			found[q] = *e
		}
	}
	if e, ok := r.checkBuffer(rows); ok {
		found[CheckBufferPH] = e
	}
	gap := widestGap(rows)
	for q, x := range map[Quantity]float64{SpanPH: math.Round(r.HighPH - r.LowPH), GapPH: math.Round(gap), SpreadC: spread} {
		found[q] = exact(x)
	}
	for _, c := range Criteria() {
		if e, ok := found[c.Quantity]; ok {
			r.Checks = append(r.Checks, r.check(c, e))
		}
	}
	r.Verdict = r.verdict()
	for _, c := range r.Checks {
		if c.Met || c.Criterion.Binding {
			continue
		}
		switch c.Criterion.Quantity {
		case SpanPH:
			r.warn(fmt.Sprintf("the buffers are %.2f pH apart; at least %g is asked for (%s)", r.HighPH-r.LowPH, c.Criterion.Low, c.Criterion.Source))
		case GapPH:
			r.warn(fmt.Sprintf("two neighbouring buffers are %.2f pH apart; not more than %g is asked for (%s): a third buffer between them shows a bent line", gap, c.Criterion.High, c.Criterion.Source))
		}
	}
}

// judgeOffset is judge for one buffer.
func (r *Result) judgeOffset() {
	for _, c := range Criteria() {
		switch {
		case c.Quantity == OffsetMV && r.OffsetMV != nil:
			r.Checks = append(r.Checks, r.check(c, *r.OffsetMV))
		case c.Quantity == ZeroPointPH && r.ZeroPointPH != nil:
			r.Checks = append(r.Checks, r.check(c, *r.ZeroPointPH))
		}
	}
}

func exact(x float64) Estimate {
	u := 0.0
	return Estimate{Value: x, U: &u, DoF: math.Inf(1)}
}

// check applies one criterion to one figure. What a display says of slope and
// zero is relative to the stored calibration and cannot be decided.
func (r *Result) check(c Criterion, e Estimate) Check {
	out := Check{Criterion: c, Found: e.Value, Met: e.Value >= c.Low && e.Value <= c.High, Verdict: conformity.Undecided}
	relative := r.Basis == ByDisplay && (c.Quantity == SlopePercent || c.Quantity == ZeroPointPH)
	if e.U == nil || relative {
		return out
	}
	p, err := conformity.Probability(e.Value, *e.U, e.DoF, conformity.Limits{Low: c.Low, High: c.High})
	if err != nil {
		return out
	}
	out.P, out.Verdict = &p, conformity.Default.Decide(p)
	return out
}

// verdict takes the binding checks together. The chance that all of them hold
// is at least 1 − Σ(1 − p) and at most the smallest p.
func (r *Result) verdict() conformity.Verdict {
	atLeast, atMost := 1.0, 1.0
	for _, c := range r.Checks {
		if !c.Criterion.Binding {
			continue
		}
		if c.P == nil {
			// Not known: it can only keep the others from a pass.
			atLeast = 0
			continue
		}
		atLeast -= 1 - *c.P
		atMost = math.Min(atMost, *c.P)
	}
	switch {
	case r.fit.still:
		// No uncertainty makes an electrode of a reading that stands still.
		return conformity.Fail
	case atMost <= conformity.Default.FailAt:
		return conformity.Fail
	case atLeast >= conformity.Default.PassAt:
		return conformity.Pass
	}
	return conformity.Undecided
}

// checkBuffer is the largest deviation of a buffer from the line through the
// two outermost ones, as a reading error in pH, for three points or more.
func (r *Result) checkBuffer(rows []row) (Estimate, bool) {
	var worst Estimate
	low, high := outermost(rows)
	dx := rows[high].x.Nominal() - rows[low].x.Nominal()
	b := (rows[high].y.Nominal() - rows[low].y.Nominal()) / dx
	if len(rows) < 3 || math.Abs(b) <= deadBelow {
		return worst, false
	}
	z := func(i int) uncert.Value { return rows[i].y.Sub(rows[i].x.Scale(b)) }
	stated := !rows[low].unstated() && !rows[high].unstated()
	found := false
	for i := range rows {
		if i == low || i == high {
			continue
		}
		share := (rows[i].x.Nominal() - rows[low].x.Nominal()) / dx
		dev := z(i).Sub(z(low).Scale(1 - share)).Sub(z(high).Scale(share)).Scale(1 / (b * rows[i].perPH))
		if found && math.Abs(dev.Nominal()) <= math.Abs(worst.Value) {
			continue
		}
		found = true
		worst = Estimate{Value: dev.Nominal(), DoF: math.NaN()}
		if stated && !rows[i].unstated() {
			u := dev.U()
			worst.U, worst.DoF = &u, dev.DoF()
		}
	}
	return worst, found
}

func outermost(rows []row) (low, high int) {
	for i, r := range rows {
		if r.ph.Nominal() < rows[low].ph.Nominal() {
			low = i
		}
		if r.ph.Nominal() > rows[high].ph.Nominal() {
			high = i
		}
	}
	return low, high
}
