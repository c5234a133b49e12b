package check

import (
	"fmt"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/line"
)

// warnAboutFit says where the fit's assumptions do not hold, or what it leaves out.
func (r *Result) warnAboutFit(o Options) {
	f, rows := r.Fit, r.Rows
	stated := rows[0].URef != nil && !lookedUp(rows) && !allZero(r.model.refOwn, r.model.refShared)
	switch {
	case f.Method == line.MethodTheilSen:
		r.warn("theil-sen is a look at outliers: it gives no interval")
	case f.Basis != line.NoBasis || r.exact || r.frozen:
	case r.fitted.pooled():
		r.warn(fmt.Sprintf("%s read again, without the references' uncertainty: repeats show how well the meter repeats, not how well a bottle is known, so there is no interval; give u_ref and u_reading, or a third bottle", plural(f.N, "bottle")))
	case rows[0].URef != nil:
		r.warn(fmt.Sprintf("the uncertainty of the %s is known, but nothing is known of the readings: no interval; give --u-reading or --resolution", refWord(r.Kind)))
	case f.N == 1:
		r.warn("one point and no uncertainty stated: no interval; give u_ref and u_reading")
	default:
		r.warn("two points without the references' uncertainty: the line passes through both and nothing shows how sure it is, so there is no interval; give u_ref and u_reading, or a third reference")
	}
	if f.Basis == line.FromStated {
		r.warnAboutStated(f, rows, o)
	}
	if f.Method == line.MethodOrdinary && stated {
		r.warn("the stated u_ref is not used by line, which judges by the scatter alone; weighted or errors-in-both would use it")
	}
	if f.Basis != line.FromStated && f.Method != line.MethodTheilSen {
		r.warnAboutStock()
	}
	if n := len(groups(rows)); f.Basis == line.FromScatter && n < len(r.fitted.groups) {
		r.warn(fmt.Sprintf("%d readings of %s and no bottle named: the interval counts each as a reference made by itself, and is much too narrow where they are repeats of one bottle; if so, name it in the column bottle. In the verdict repeats of one reference count as one", len(r.fitted.groups), plural(n, "reference")))
	}
	if f.Basis == line.FromScatter && f.DoF == 1 && f.N > 1 {
		r.warn("one degree of freedom: the 95 % interval is 12.7 times the standard uncertainty; another reference would narrow it much")
	}
	r.warnAboutShape(o)
	if r.Misfit != nil {
		r.warnAboutMisfit()
	} else {
		r.warnAboutPoints()
	}
	r.warnAboutResolution(o)
}

// warnAboutShape says where a line of this kind cannot be right.
func (r *Result) warnAboutShape(o Options) {
	f := r.Fit
	if f.Slope <= 0 && f.Parameters == 2 && r.Kind != Other {
		r.warn("the readings fall while the references rise: look for rows or bottles that changed places")
	}
	if f.Method == line.MethodGain && (r.Kind == Temperature || r.Kind == PH) {
		r.warn(fmt.Sprintf("a gain through zero says little of a %s meter, whose zero is arbitrary: it holds near the references only; add a second reference", r.Kind))
	}
	if f.Method == line.MethodGain && (r.Kind == Humidity || r.Kind == CO2) && distinctRefs(r.Rows, r.fitted.groups) == 1 {
		r.warn("one reference cannot tell a gain from an offset: a gain through zero is assumed, and elsewhere the meter may be off by as much as it is here; add a second reference")
	}
	if f.Method == line.MethodOffset && !r.frozen {
		r.warn("a reference of 0 shows an offset alone: how the meter reads elsewhere is not known; add a reference that is not 0")
	}
	if t := o.Tolerance; t != nil && t.Relative && (r.Kind == PH || r.Kind == Temperature) {
		hint := "pH is a logarithm: give the tolerance in pH, such as 0.1"
		if r.Kind == Temperature {
			hint = "the zero of Celsius is arbitrary: give the tolerance in C, such as 0.5"
		}
		r.warn("a tolerance in % says little here, since " + hint)
	}
	if r.bent() {
		r.warn(fmt.Sprintf("the references lie off a straight line by more than the repeats explain (lack of fit, p = %.2g): the intervals assume that they do not", r.LackOfFit.P))
	}
}

// bent tells that repeats show more than a straight line, and that nothing else explains it: neither
// the references' own uncertainty, where it is stated, nor, where the bottles' means are the points,
// the scatter that those show.
func (r *Result) bent() bool {
	if r.LackOfFit == nil || r.LackOfFit.P >= lackRisk || (r.fitted.pooled() && r.Fit.Basis != line.FromStated) {
		return false
	}
	consistent, _, ok := r.Fit.Consistent()
	return !(r.Fit.Basis == line.FromStated && ok && consistent)
}

// refWord is what the references are called.
func refWord(k Kind) string {
	if k == PH {
		return "buffers"
	}
	return "references"
}

// lackRisk is the significance level of the test for lack of fit.
const lackRisk = 0.05

func (r *Result) warnAboutStated(f *line.Fit, rows []Row, o Options) {
	if limit, ok := r.chi2Limit(); ok && r.Misfit == nil {
		r.warn(fmt.Sprintf("the points scatter more than their stated uncertainties explain (chi-squared %.3g, 95 %% limit %.3g): the intervals are too narrow, or a point is wrong", f.Chi2, limit))
	}
	usesReadings := f.Method != line.MethodWeighted
	switch {
	case !usesReadings && (rows[0].UReading != nil || r.model.readOwn != nil) && !r.Chosen:
		r.warn("weighted takes the readings as exact: their uncertainty is not in these intervals; errors-in-both would use it")
	case rows[0].UReading == nil && r.model.readOwn == nil:
		text := "u_reading was not stated: the intervals take the readings as exact"
		if sd, dof := repeatability(rows); dof > 0 && sd > 0 {
			text += fmt.Sprintf("; the repeats show a spread of %.2g, which --u-reading %.2g would count", sd, sd)
		}
		r.warn(text)
	case rows[0].UReading == nil:
		r.warn("how well the readings repeat was not stated: of the readings' doubt only the display's resolution is in the intervals")
	}
	for _, st := range stocks(rows) {
		if rows[st.rows[0]].URefShared == nil {
			r.warn(fmt.Sprintf("%d references come from %s, but u_ref_shared was not stated: the error they share is not in these intervals", st.bottles, st.name))
		}
	}
	r.warnAboutSameReference(rows)
	if r.Misfit == nil {
		r.warnAboutPull(o)
	}
}

// warnAboutPull finds a line that the shared error pulls away from the points. An error that all
// references share in proportion to their true strength cannot move the line that is fitted
// through them, only its uncertainty; where its stated size follows each label's own error instead,
// it can (R.W. Peelle's puzzle, 1987), and the less the labels' own errors the more.
func (r *Result) warnAboutPull(o Options) {
	own := append([]Row(nil), r.Rows...)
	shared := false
	for i := range own {
		shared = shared || (own[i].URefShared != nil && *own[i].URefShared > 0)
		own[i].URefShared, own[i].RefParts = nil, nil
	}
	if !shared || r.Fit.DoF < 1 {
		return
	}
	d := doubtOf(own, o.Resolution)
	t, err := fitted(own, d, r.Fit.Method)
	if err != nil {
		return
	}
	alone, err := r.Fit.Method.Fit(t.points)
	if err != nil {
		return // nothing but the shared error was stated
	}
	for i, row := range r.Rows {
		e, err := alone.At(row.Reading, line.Level)
		if err != nil || math.IsNaN(e.U) {
			return
		}
		if pull := r.Fit.Corrected(row.Reading) - e.Corrected; math.Abs(pull) > e.U {
			r.warn(fmt.Sprintf("the shared error pulls the line by %.2g at %s, further than the points by themselves allow: u_ref_shared should be one percentage of the strengths planned (or true), not of each label with its own error; without it the line would be corrected = %s × reading %+.4g",
				pull, name(r.Rows, i), number(alone.Slope), alone.Intercept))
			return
		}
	}
}

// stock is a source that more than one reference was made from.
type stock struct {
	name    string
	rows    []int
	bottles int
}

// stocks lists the sources of more than one reference, in the order in which the rows name them.
func stocks(rows []Row) []stock {
	var list []stock
	at := map[string]int{}
	seen := map[[2]string]bool{}
	for i, row := range rows {
		if row.RefSource == "" {
			continue
		}
		k, ok := at[row.RefSource]
		if !ok {
			k = len(list)
			at[row.RefSource] = k
			list = append(list, stock{name: row.RefSource})
		}
		list[k].rows = append(list[k].rows, i)
		bottle := row.Bottle
		if bottle == "" {
			bottle = "ref " + number(row.Ref)
		}
		if !seen[[2]string{row.RefSource, bottle}] {
			seen[[2]string{row.RefSource, bottle}] = true
			list[k].bottles++
		}
	}
	return slices.DeleteFunc(list, func(s stock) bool { return s.bottles < 2 })
}

// warnAboutStock: a line judged by its scatter does not see the error of a stock, which moves all
// its bottles together.
func (r *Result) warnAboutStock() {
	for _, st := range stocks(r.Rows) {
		known, largest := r.Rows[st.rows[0]].URefShared != nil, 0.0
		for _, i := range st.rows {
			if u := r.Rows[i].URefShared; u != nil && r.Rows[i].Ref != 0 {
				largest = math.Max(largest, *u/math.Abs(r.Rows[i].Ref))
			}
		}
		common := fmt.Sprintf("%d references share the error of %s, which moves all of them together and cannot be seen in the scatter: these intervals leave it out", st.bottles, st.name)
		remedy := "use weighted or errors-in-both"
		if r.Rows[0].URef == nil {
			remedy = "state u_ref as well and " + remedy
		}
		switch {
		case !known:
			r.warn(common + "; state u_ref_shared and u_ref")
		case largest > 0:
			r.warn(fmt.Sprintf("%s, though it is up to %.2g %%; %s", common, 100*largest, remedy))
		}
	}
}

// warnAboutSameReference: equal references without a bottle's name count as different bottles.
func (r *Result) warnAboutSameReference(rows []Row) {
	seen := map[float64]int{}
	for i, row := range rows {
		if row.Bottle != "" || row.URef == nil || *row.URef == 0 {
			continue
		}
		if first, ok := seen[row.Ref]; ok {
			r.warn(fmt.Sprintf("%s and %s have the same reference, %s, and no bottle is named: they count as two bottles; where it is one, name it in the column bottle, so that its error counts once",
				name(rows, first), name(rows, i), number(row.Ref)))
			return
		}
		seen[row.Ref] = i
	}
}

// warnAboutPoints names the points that stand out.
func (r *Result) warnAboutPoints() {
	for i, p := range r.Points {
		if p.Flagged {
			r.warn(fmt.Sprintf("%s (ref %s, reading %s) stands out from the line by %s: look at it again; it was not left out",
				name(r.Rows, i), number(r.Rows[i].Ref), number(r.Rows[i].Reading), number(p.Residual)))
		}
	}
}

// resolutionNotable is the step of the display, as a fraction of the tolerance (or of the reading,
// without one), from which it is worth a word. Common practice.
const resolutionNotable = 0.5

// warnAboutResolution: a display in steps of 10 at 300 is 3 % from step to step.
func (r *Result) warnAboutResolution(o Options) {
	if o.Resolution == 0 {
		return
	}
	worst, at := 0.0, 0.0
	for _, row := range r.Rows {
		allowed := 0.01 * math.Abs(row.Ref)
		if o.Tolerance != nil {
			allowed = o.Tolerance.At(row.Ref)
		}
		if allowed > 0 && o.Resolution/allowed > worst {
			worst, at = o.Resolution/allowed, row.Ref
		}
	}
	if worst < resolutionNotable || at == 0 {
		return
	}
	what := "the display shows steps of " + number(o.Resolution)
	text := fmt.Sprintf("%s: at %s that is %.2g %%", what, number(at), 100*o.Resolution/math.Abs(at))
	if o.Tolerance != nil {
		text += fmt.Sprintf(", %.2g times the tolerance", worst)
	}
	r.warn(text + "; a stronger reference makes the step smaller beside it")
}
