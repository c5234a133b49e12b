package check

import (
	"fmt"
	"math"
	"strings"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/line"
)

// judged is what the verdict was reached from, kept for the advice and for Monte Carlo.
type judged struct {
	joint conformity.Joint
	refs  []float64 // reference of each value of joint
	known bool      // there was a basis
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
	switch {
	case refKnown && readKnown:
		r.known = true
		basis = append(basis, "the stated uncertainties of references and readings")
	case refKnown && repeatDoF > 0 && repeat > 0:
		r.known = true
		r.addScatter(&j, gs, repeat, float64(repeatDoF), true)
		basis = append(basis, fmt.Sprintf("the stated uncertainty of the references and the spread of repeated readings (%s)", freedom(repeatDoF)))
	case refKnown:
		r.known = true
		basis = append(basis, "the stated uncertainty of the references")
		if d.readOwn != nil {
			basis = append(basis, "the display's resolution")
		}
		if consistent, _, ok := r.Fit.Consistent(); ok && !consistent {
			if s, dof, ok := r.lineScatter(); ok {
				r.addScatter(&j, gs, s, float64(dof), false)
				basis = append(basis, "the scatter about the line, which is larger than they explain")
			}
		} else {
			r.warn("how well the readings repeat was not stated: the verdict takes them as exact" + ifText(d.readOwn != nil, " but for the display's resolution"))
		}
	case r.lineBasis(o, gs, d):
		return
	default:
		s, dof, ok := r.scatterBasis(repeat, repeatDoF)
		if !ok {
			r.warn("there is no basis for a probability: state u_ref (and u_reading), or read three references or more")
			return
		}
		r.known = true
		// The scatter holds the readings' own errors already; the display hides what is finer.
		for i := range j.Own {
			j.Own[i] = 0
		}
		j.Shared = d.refShared
		r.addScatter(&j, gs, math.Max(s, o.Resolution/math.Sqrt(12)), float64(dof), false)
		basis = append(basis, fmt.Sprintf("the scatter of the points (%s)", freedom(dof)))
		if len(d.refShared) > 0 {
			basis = append(basis, "the stated shared part of the references")
		}
	}
	r.joint, r.VerdictBasis = j, strings.Join(basis, " and ")
	r.shareOut(d)
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

// lineBasis judges by an ordinary line where the references' uncertainty was not stated and three
// of them or more lie on one: the error of the meter at a reference is then the line's, and its
// doubt that of the line's parameters, Student's. Since the error is linear in the reference, and a
// tolerance constant or proportional to it, the outermost references decide for all between them.
// It declines, and the errors are judged one by one, where the repeats show that the points do not
// lie on a line, or where a stated shared part adds to them.
func (r *Result) lineBasis(o Options, gs []group, d doubt) bool {
	if len(gs) < 3 || len(d.refShared) > 0 || (r.LackOfFit != nil && r.LackOfFit.P < lackRisk) {
		return false
	}
	f, ok := r.ordinary()
	if !ok {
		return false
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, g := range gs {
		low, high = math.Min(low, r.Rows[g.rows[0]].Ref), math.Max(high, r.Rows[g.rows[0]].Ref)
	}
	scale := 1.0
	if s, floor := f.ResidualSD/math.Abs(f.Slope), o.Resolution/math.Sqrt(12); s < floor {
		scale = floor / s
	}
	r.warnIfExact(f.ResidualSD)
	j := conformity.Joint{DoF: float64(f.DoF)}
	var x [2]float64
	for i, ref := range []float64{low, high} {
		x[i] = (ref - f.Intercept) / f.Slope
		j.Value = append(j.Value, x[i]-ref)
		j.Limits = append(j.Limits, conformity.Around(o.Tolerance.At(ref)))
		r.refs = append(r.refs, ref)
	}
	// Cholesky of the two errors' covariance: one common part, and what the second adds.
	cov := func(a, b float64) float64 { return f.CovarianceAt(a, b) / (f.Slope * f.Slope) }
	first := math.Sqrt(cov(x[0], x[0]))
	common := 0.0
	if first > 0 {
		common = cov(x[0], x[1]) / first
	}
	rest := math.Sqrt(math.Max(0, cov(x[1], x[1])-common*common))
	if math.IsInf(scale, 1) { // the points lie on the line exactly: only the display's step is left
		first, common, rest, scale = 1, 0, 1, o.Resolution/math.Sqrt(12)
	}
	j.SharedScatter = [][]float64{{scale * first, scale * common}}
	j.Scatter = []float64{0, scale * rest}
	r.known, r.joint = true, j
	r.VerdictBasis = fmt.Sprintf("the scatter of the points about their line (%s)", freedom(f.DoF))
	r.readShare = 1
	return true
}

// warnIfExact warns of a scatter of nothing.
func (r *Result) warnIfExact(s float64) {
	if s == 0 {
		r.warn("the points lie exactly on the line: the display hides the scatter; give --resolution, or the uncertainties")
	}
}

// scatterBasis is the scatter of a reading where the references' uncertainty was not stated: about
// the fitted line, in the unit of the readings; for one reference read again, the spread of its
// readings.
func (r *Result) scatterBasis(repeat float64, repeatDoF int) (s float64, dof int, ok bool) {
	if len(groups(r.Rows)) == 1 {
		if repeatDoF == 0 {
			return 0, 0, false
		}
		r.warn("the verdict rests on repeated readings of one reference: how well that reference is known was not stated and has no part in it")
		r.warnIfExact(repeat)
		return repeat, repeatDoF, true
	}
	if f := r.Fit; f.Basis == line.FromScatter && f.Slope != 0 {
		s, dof, ok = f.ResidualSD/math.Abs(f.Slope), f.DoF, true
	} else {
		s, dof, ok = r.lineScatter()
	}
	if ok {
		r.warnIfExact(s)
	}
	return s, dof, ok
}

// lineScatter is the scatter about an ordinary line, in the unit of the readings.
func (r *Result) lineScatter() (s float64, dof int, ok bool) {
	f, ok := r.ordinary()
	if !ok {
		return 0, 0, false
	}
	return f.ResidualSD / math.Abs(f.Slope), f.DoF, true
}

// ordinary is the ordinary line through the rows, where there is one that scatters.
func (r *Result) ordinary() (*line.Fit, bool) {
	var p line.Points
	for _, row := range r.Rows {
		p.X, p.Y = append(p.X, row.Reading), append(p.Y, row.Ref)
	}
	f, err := line.Ordinary(p)
	return f, err == nil && f.Basis == line.FromScatter && f.Slope != 0
}

// shareOut tells how the variance divides between what is shared, references and readings.
func (r *Result) shareOut(d doubt) {
	var shared, ref, read float64
	for i, limit := range r.joint.Limits {
		w := 1 / (limit.High * limit.High)
		for _, s := range d.refShared {
			shared += w * s[i] * s[i]
		}
		for _, s := range d.readShared {
			read += w * s[i] * s[i]
		}
		ref += w * orZero(d.refOwn, i) * orZero(d.refOwn, i)
		read += w * orZero(d.readOwn, i) * orZero(d.readOwn, i)
		if r.joint.Scatter != nil {
			read += w * r.joint.Scatter[i] * r.joint.Scatter[i]
		}
	}
	if total := shared + ref + read; total > 0 {
		r.sharedShare, r.refShare, r.readShare = shared/total, ref/total, read/total
	}
}
