package check

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/line"
)

// judged is what the verdict was reached from, kept for the advice and for Monte Carlo.
type judged struct {
	joint conformity.Joint
	refs  []float64 // reference of each value of joint
	known bool      // there was a basis
	// byLine says that values are those of a line through all errors, not the errors found.
	byLine bool
	// parts of the typical variance: what is shared, what is the references' own, what is the
	// readings'. They tell what to improve.
	sharedShare, refShare, readShare float64
}

// judge finds the worst error and the probability that every true error lies within tolerance.
func (r *Result) judge(o Options) error {
	if o.Tolerance == nil {
		return nil
	}
	allowed := func(ref float64) float64 { return o.Tolerance.At(ref) }
	for i, row := range r.Rows {
		a := allowed(row.Ref)
		if a == 0 {
			continue
		}
		e := row.Reading - row.Ref
		if r.WorstRow < 0 || math.Abs(e)/a > math.Abs(r.Rows[r.WorstRow].Reading-r.Rows[r.WorstRow].Ref)/allowed(r.Rows[r.WorstRow].Ref) {
			r.WorstRow = i
		}
	}
	if r.WorstRow < 0 {
		return &RowError{Row: 0, Column: ColumnRef, Found: "0", Cause: ErrOutOfRange,
			Want: "a tolerance without %: a fraction of a reference of 0 allows nothing"}
	}
	worst := r.Rows[r.WorstRow]
	r.WorstError = worst.Reading - worst.Ref
	if o.Tolerance.Relative {
		r.WorstError /= math.Abs(worst.Ref)
	}
	r.settleBasis(o)
	r.Verdict = conformity.Undecided
	if !r.known {
		return nil
	}
	p, err := r.joint.Probability()
	if err != nil {
		return err
	}
	r.PWithin = p
	r.Verdict = conformity.Default.Decide(p)
	switch m := r.Misfit; {
	case m == nil:
	case m.Rows != nil:
		r.VerdictBasis += ", and " + r.bottleName(m.Rows[0]) + ", which does not fit the others"
	case m.Swapped != nil:
		r.VerdictBasis += ", and two bottles that seem to have changed places"
	default:
		r.VerdictBasis += ", which the points contradict"
	}
	return nil
}

// settleBasis gathers the errors at each reference and what their doubt is.
func (r *Result) settleBasis(o Options) {
	gs := r.judgedGroups(o)
	if len(gs) == 0 {
		return
	}
	rows, d := pooled(r.Rows, gs, r.model)
	j := conformity.Joint{Own: make([]float64, len(gs)), Shared: append(d.refShared, d.readShared...)}
	for _, row := range rows {
		j.Value = append(j.Value, row.Reading-row.Ref)
		j.Limits = append(j.Limits, conformity.Around(o.Tolerance.At(row.Ref)))
		r.refs = append(r.refs, row.Ref)
	}
	refKnown, readKnown := d.refOwn != nil, r.Rows[0].UReading != nil
	for i := range gs {
		j.Own[i] = math.Hypot(orZero(d.refOwn, i), orZero(d.readOwn, i))
	}
	repeat, repeatDoF := repeatability(r.Rows)
	var basis []string
	about := errorLineOf(j, r.refs)
	switch {
	case refKnown && readKnown:
		basis = append(basis, "the stated uncertainties of references and readings")
	case refKnown && repeatDoF > 0 && repeat > 0:
		r.addScatter(&j, gs, math.Max(repeat, o.Resolution/math.Sqrt(12)), float64(repeatDoF), true)
		about = errorLineOf(j, r.refs)
		basis = append(basis, fmt.Sprintf("the stated uncertainty of the references and the spread of repeated readings (%s)", freedom(repeatDoF)))
	case refKnown && !r.refsSuffice() && r.lineBasis(o, gs, d):
		return
	case refKnown && allZero(d.refOwn, d.refShared) && d.readOwn == nil:
		r.warn("there is no basis for a probability: the references are exact and nothing is known of the readings; state u_reading, or read three references or more")
		return
	case refKnown:
		if lookedUp(r.Rows) {
			basis = append(basis, "the published uncertainty of the buffers")
		} else {
			basis = append(basis, "the stated uncertainty of the references")
		}
		if d.readOwn != nil {
			basis = append(basis, "the display's resolution")
		}
		bent := about.contradicted()
		s, dof, ok := 0.0, 0, false
		if bent {
			s, dof, ok = r.lineScatter(o)
		}
		if ok {
			r.addScatter(&j, gs, s, float64(dof), false)
			about = nil
			basis = append(basis, "the scatter about the line, which is larger than they explain")
		} else {
			r.warn("how well the readings repeat was not stated: the verdict takes them as exact" + ifText(d.readOwn != nil, " but for the display's resolution"))
		}
	case r.lineBasis(o, gs, d):
		return
	default:
		s, dof, ok := r.scatterBasis(o, gs)
		if !ok {
			return
		}
		// The scatter holds the readings' own errors already.
		for i := range j.Own {
			j.Own[i] = 0
		}
		j.Shared = d.refShared
		r.addScatter(&j, gs, s, float64(dof), false)
		about = errorLineOf(j, r.refs)
		if about != nil {
			about.limit = math.Inf(1) // its own scatter cannot contradict it
		}
		basis = append(basis, fmt.Sprintf("the scatter of the points (%s)", freedom(dof)))
		if len(d.refShared) > 0 {
			basis = append(basis, "the stated shared part of the references")
		}
	}
	r.known = true
	free := j
	var weights *mat.Dense // of the errors in those judged; nil where each is its own
	switch {
	case about.contradicted():
		if _, said := r.chi2Limit(); said || r.Misfit != nil {
			r.warn("the verdict takes the error at each reference by itself, since they do not lie on a line")
		} else {
			r.warn(fmt.Sprintf("the errors do not lie on a straight line (chi-squared %.3g, 95 %% limit %.3g): the verdict takes the error at each reference by itself", about.chi2, about.limit))
		}
	case about != nil:
		var at []float64
		at, weights = about.judged(o.Tolerance)
		j = about.joint(free, at, weights, o.Tolerance)
		r.refs, r.byLine = at, true
	}
	r.joint, r.VerdictBasis = j, strings.Join(basis, " and ")
	r.shareOut(d, free, weights)
}

func freedom(dof int) string {
	if dof == 1 {
		return "1 degree of freedom"
	}
	return fmt.Sprintf("%d degrees of freedom", dof)
}

func orZero(v []float64, i int) float64 {
	if v == nil {
		return 0
	}
	return v[i]
}

func ifText(yes bool, text string) string {
	if yes {
		return text
	}
	return ""
}

// judgedGroups are the references that have a tolerance: not the zero, where it is relative.
func (r *Result) judgedGroups(o Options) []group {
	var gs []group
	left := false
	for _, g := range groups(r.Rows) {
		if o.Tolerance.At(r.Rows[g.rows[0]].Ref) == 0 {
			left = true
			continue
		}
		gs = append(gs, g)
	}
	if left {
		r.warn("the reference of 0 has no part in the verdict: a tolerance in % allows nothing there")
	}
	return gs
}

// addScatter adds an estimated part to each value: s for one reading, less for a mean where
// repeats average it.
func (r *Result) addScatter(j *conformity.Joint, gs []group, s, dof float64, average bool) {
	j.Scatter, j.DoF = make([]float64, len(gs)), dof
	for i, g := range gs {
		j.Scatter[i] = s
		if average {
			j.Scatter[i] /= math.Sqrt(float64(len(g.rows)))
		}
	}
}

// repeatability is the spread of readings of one reference, pooled.
func repeatability(rows []Row) (sd float64, dof int) {
	keys, y := make([]string, len(rows)), make([]float64, len(rows))
	for k, g := range groups(rows) {
		for _, i := range g.rows {
			keys[i], y[i] = fmt.Sprint(k), rows[i].Reading
		}
	}
	return line.Repeatability(keys, y)
}

// lineBasis judges by an ordinary line where the references' uncertainty was not stated (or, looked up
// or exact, leaves the readings' open) and three of them or more lie on one: the error of the meter at
// a reference is then the line's, and its doubt that of the line's parameters, Student's. Repeats of
// one reference are one point of it. Since the error is linear in the reference, and a tolerance
// constant or proportional to it, the outermost references decide for all between them. It declines
// where a stated shared part adds to the scatter.
func (r *Result) lineBasis(o Options, gs []group, d doubt) bool {
	if distinctRefs(r.Rows, gs) < 3 || len(d.refShared) > 0 {
		return false
	}
	f, ok := r.ordinary(o)
	if !ok {
		return false
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, g := range gs {
		low, high = math.Min(low, r.Rows[g.rows[0]].Ref), math.Max(high, r.Rows[g.rows[0]].Ref)
	}
	j := conformity.Joint{DoF: float64(f.DoF)}
	r.refs = nil
	var x [2]float64
	for i, ref := range []float64{low, high} {
		x[i] = (ref - f.Intercept) / f.Slope
		j.Value = append(j.Value, x[i]-ref)
		j.Limits = append(j.Limits, conformity.Around(o.Tolerance.At(ref)))
		r.refs = append(r.refs, ref)
	}
	cov := func(a, b int) float64 { return f.CovarianceAt(x[a], x[b]) / (f.Slope * f.Slope) }
	common, rest := commonAndRest(cov(0, 0), cov(0, 1), cov(1, 1))
	j.SharedScatter = [][]float64{common}
	j.Scatter = []float64{0, rest}
	r.known, r.byLine, r.joint = true, true, j
	r.VerdictBasis = fmt.Sprintf("the scatter of the points about their line (%s)", freedom(f.DoF))
	r.readShare = 1
	return true
}

// scatterBasis is the scatter of a reference's mean reading about the line, where the references'
// uncertainty was not stated. One or two references leave none: repeats show how well the meter
// repeats, and nothing of how well the references are known.
func (r *Result) scatterBasis(o Options, gs []group) (s float64, dof int, ok bool) {
	n := distinctRefs(r.Rows, gs)
	if n < 3 && len(gs) < len(r.Rows) {
		r.warn(fmt.Sprintf("there is no basis for a probability: how well the %s known was not stated, and repeated readings do not show it; state u_ref, or read three references or more", plural(n, "reference")+ifText(n == 1, " is")+ifText(n != 1, " are")))
		return 0, 0, false
	}
	if s, dof, ok = r.lineScatter(o); !ok {
		switch {
		case r.exact:
		case n >= 3:
			r.warn("there is no basis for a probability: the readings lie exactly on a line, whose step hides the scatter; give --resolution, or u_ref and u_reading")
		default:
			r.warn("there is no basis for a probability: state u_ref (and u_reading), or read three references or more")
		}
	}
	return s, dof, ok
}

func plural(n int, word string) string {
	if n == 1 {
		return "one " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// lineScatter is the scatter about an ordinary line, in the unit of the readings.
func (r *Result) lineScatter(o Options) (s float64, dof int, ok bool) {
	f, ok := r.ordinary(o)
	if !ok {
		return 0, 0, false
	}
	return f.PointSD / math.Abs(f.Slope), f.DoF, true
}

// ordinary is the ordinary line through the references, repeats averaged, where there is one that
// scatters, or is known to.
func (r *Result) ordinary(o Options) (*line.Fit, bool) {
	rows, _ := pooled(r.Rows, groups(r.Rows), doubt{})
	var p line.Points
	for _, row := range rows {
		p.X, p.Y = append(p.X, row.Reading), append(p.Y, row.Ref)
	}
	f, err := line.Ordinary(p)
	if err != nil || f.Basis != line.FromScatter || f.Slope == 0 {
		return f, false
	}
	least := leastScatter(r.Rows, o, f.Slope)
	f.RaiseScatter(least)
	return f, least > 0 || !f.Exact()
}

// shareOut tells how the variance divides between what is shared, references and readings. weights
// are those of the errors in what is judged; nil where each error is judged by itself.
func (r *Result) shareOut(d doubt, free conformity.Joint, weights *mat.Dense) {
	var shared, ref, read float64
	n := len(free.Value)
	row := make([]float64, n)
	for i, limit := range r.joint.Limits {
		for k := range row {
			row[k] = 0
		}
		if weights != nil {
			copy(row, weights.RawRowView(i))
		} else {
			row[i] = 1
		}
		w := 1 / (limit.High * limit.High)
		together := func(s []float64) float64 {
			var sum float64
			for k, g := range row {
				sum += g * s[k]
			}
			return w * sum * sum
		}
		for _, s := range d.refShared {
			shared += together(s)
		}
		for _, s := range d.readShared {
			read += together(s)
		}
		for k, g := range row {
			square := func(v float64) float64 { return w * g * g * v * v }
			ref += square(orZero(d.refOwn, k))
			read += square(orZero(d.readOwn, k)) + square(orZero(free.Scatter, k))
		}
	}
	if total := shared + ref + read; total > 0 {
		r.sharedShare, r.refShare, r.readShare = shared/total, ref/total, read/total
	}
}
