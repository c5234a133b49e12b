package check

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/brinemark/brinemark/calib/line"
)

// Misfit says that the points do not lie on a line by far more than their doubt explains, and, where
// one bottle or two that changed places explain it, which. The line of the fit then describes nobody.
type Misfit struct {
	// P is the chance that sound points scatter so about a line.
	P float64
	// Rows are those of the bottle that does not fit the others; nil where no single one explains it.
	Rows []int
	// Swapped are the rows of two bottles that seem to have changed places; nil for none.
	Swapped *[2][]int
	// Without is the meter judged without Rows, or with the two put back; nil where neither is named.
	Without *Result
}

const (
	// hopeless is the chance below which a line of stated uncertainties describes nothing. It is far
	// below the 5 % of a warning: a stated uncertainty that is a little too small is common.
	hopeless = 0.001
	// doubtful is the chance below which one bottle is looked for: where just one explains all, that is
	// a sign by itself.
	doubtful = 0.01
	// fitsWell is the chance from which points count as lying on a line once one bottle is left out. The
	// bottle named must be the only one that explains it: soleBy times better than any other does.
	fitsWell, soleBy = 0.01, 100
	// fitsPlainly is that from which one gain is believed of a meter that could have a zero error too.
	fitsPlainly = 0.1
	// supposed is the standard uncertainty of a reading, as a fraction, where nobody stated one, and
	// supposedRef that of a reference: what it takes to call a bottle bad. Common practice, no source.
	supposed, supposedRef = 0.005, 0.01
)

// findMisfit looks whether the points lie on a line at all, and for the one bottle, or the two that
// changed places, that explain it where they do not.
func (r *Result) findMisfit(o Options) {
	if o.inner || r.frozen || r.Fit.Method == line.MethodTheilSen || r.Kind == Other && r.Rows[0].URef == nil {
		return
	}
	s, ok := newSuspect(r, o)
	if !ok {
		return
	}
	if swapped := s.swapped(); swapped != nil {
		rows := exchanged(r.Rows, swapped)
		r.Misfit = &Misfit{P: s.p(s.rows), Swapped: swapped, Without: judgedAnew(rows, o)}
		return
	}
	if len(s.groups) < 3 {
		return
	}
	p := s.p(s.rows)
	if !(p < doubtful) {
		return
	}
	bad := s.bad()
	if bad == nil && (p >= hopeless || r.Rows[0].URef == nil) { // or nothing was stated that they contradict
		return
	}
	r.Misfit = &Misfit{P: p, Rows: bad}
	if r.Misfit.Rows != nil {
		for i := range r.Points { // the line is drawn to the bad bottle, and every point stands out from it
			r.Points[i].Flagged = slices.Contains(r.Misfit.Rows, i)
		}
		r.Misfit.Without = judgedAnew(without(r.Rows, r.Misfit.Rows), o)
	}
}

// judgedAnew judges other rows by the same wishes; nil where that cannot be.
func judgedAnew(rows []Row, o Options) *Result {
	o.inner, o.Zero, o.UZero, o.MonteCarlo, o.At, o.InverseOf, o.Method = true, nil, nil, false, nil, nil, ""
	r, err := run(rows, o)
	if err != nil {
		return nil
	}
	return r
}

// suspect is the search for what does not fit.
type suspect struct {
	kind       Kind
	rows       []Row // with the uncertainties that the search takes
	groups     []group
	resolution float64
	// nameless says that no bottle can be told from the others: an electrode, or a raw signal, has a slope
	// and a zero of its own, so that three references say only that they are on no line.
	nameless bool
}

// newSuspect writes in what nobody stated, and leaves out an error that all references share: the line
// takes it up whole. ok is false where there is nothing to search.
func newSuspect(r *Result, o Options) (s suspect, ok bool) {
	s = suspect{kind: r.Kind, rows: slices.Clone(r.Rows), groups: groups(r.Rows), resolution: o.Resolution}
	if len(s.groups) < 2 || distinctRefs(r.Rows, s.groups) < 2 {
		return s, false
	}
	if r.Rows[0].URef == nil && r.Kind != EC {
		return s, false
	}
	s.nameless = (r.Kind == PH || r.Kind == Other) && len(s.groups) < 4
	var size float64
	for _, row := range r.Rows {
		size = math.Max(size, math.Abs(row.Ref))
	}
	one := oneSource(r.Rows)
	for i := range s.rows {
		row := &s.rows[i]
		if row.URef == nil {
			row.URef = pointer(math.Max(supposedRef*math.Abs(row.Ref), 0.1*supposedRef*size))
		}
		if row.UReading == nil {
			row.UReading = pointer(math.Max(supposed*math.Abs(row.Reading), 0.1*supposed*size))
		}
		if one {
			row.URefShared = nil
		}
		row.RefParts = ownParts(r.Rows, row.RefParts)
		if len(row.RefParts) == 0 && *row.URef == 0 && *row.UReading == 0 {
			row.UReading = pointer(1e-6 * size) // an exact point, kept weighable
		}
	}
	return s, true
}

// p is the chance that sound points scatter so about a line; NaN where that cannot be told.
func (s suspect) p(rows []Row) float64 {
	if len(groups(rows)) < 3 {
		return math.NaN()
	}
	return s.chance(rows, 2)
}

// chance is the p-value of a line with a zero error and a gain (two parameters), or of what a meter has
// that is only out of adjustment (one): a gain, on the scale of a thermometer or of pH a shift.
func (s suspect) chance(rows []Row, parameters int) float64 {
	gs := groups(rows)
	_, d := pooled(rows, gs, doubtOf(rows, s.resolution))
	means, _ := pooled(rows, gs, doubt{})
	n := len(means)
	if n <= parameters || d.refOwn == nil || d.readOwn == nil {
		return math.NaN()
	}
	slope := 1.0
	var chi2 float64
	for range 4 { // the readings' doubt counts by the slope, which settles at once
		var w, wx, wy, wxx, wxy float64
		weights := make([]float64, n)
		for i, m := range means {
			v := d.refOwn[i]*d.refOwn[i] + slope*slope*d.readOwn[i]*d.readOwn[i]
			for _, one := range d.refShared {
				v += one[i] * one[i]
			}
			for _, one := range d.readShared {
				v += slope * slope * one[i] * one[i]
			}
			if !(v > 0) {
				return math.NaN()
			}
			weights[i] = 1 / v
			w, wx, wy = w+weights[i], wx+weights[i]*m.Reading, wy+weights[i]*m.Ref
			wxx, wxy = wxx+weights[i]*m.Reading*m.Reading, wxy+weights[i]*m.Reading*m.Ref
		}
		intercept := 0.0
		switch {
		case parameters == 2:
			slope = (w*wxy - wx*wy) / (w*wxx - wx*wx)
			intercept = (wy - slope*wx) / w
		case s.kind == Temperature || s.kind == PH:
			slope, intercept = 1, (wy-wx)/w
		default:
			slope = wxy / wxx
		}
		chi2 = 0
		for i, m := range means {
			e := m.Ref - intercept - slope*m.Reading
			chi2 += weights[i] * e * e
		}
	}
	if math.IsNaN(chi2) || math.IsInf(chi2, 0) || slope <= 0 && s.kind != Other {
		return 0 // only a raw signal may fall
	}
	return distuv.ChiSquared{K: float64(n - parameters)}.Survival(chi2)
}

// bad is the one bottle without which the rest lies on a line, where without any other it does not. With
// two left the rest must agree in one gain; more may have a zero error as well, and are asked for one
// gain where several bottles would do.
func (s suspect) bad() []int {
	if s.nameless {
		return nil
	}
	for parameters := 2; parameters > 0; parameters-- {
		if len(s.groups)-1 <= parameters {
			continue
		}
		var found []int
		best, next, well := 0.0, 0.0, 0
		for _, g := range s.groups {
			p := s.chance(without(s.rows, g.rows), parameters)
			if p > fitsWell {
				well++
			}
			if p > best {
				best, next, found = p, best, g.rows
			} else {
				next = math.Max(next, p)
			}
		}
		switch {
		case well == 0:
			return nil
		case best > soleBy*next && (parameters == 2 || len(s.groups) == 3 || best > fitsPlainly):
			return found
		}
	}
	return nil
}

func without(rows []Row, left []int) (out []Row) {
	for i, row := range rows {
		if !slices.Contains(left, i) {
			row.Name = name(rows, i)
			out = append(out, row)
		}
	}
	return out
}
