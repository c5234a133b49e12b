package check

import (
	"errors"
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/line"
)

// trial is a fit as it was made: the points it saw, the rows behind each, and what is known of them.
type trial struct {
	points line.Points
	groups []group
	doubt  doubt
}

// fit chooses the method and fits.
func (r *Result) fit(o Options) error {
	rows, d := r.Rows, r.model
	if allZero(d.refOwn, d.refShared) && d.readOwn != nil && allZero(d.readOwn, d.readShared) {
		return &RowError{Row: 0, Column: ColumnURef, Found: "0 here and in every row, as for the readings: nothing is measured exactly",
			Want: "the standard uncertainties, or no such columns, and the scatter decides", Cause: line.ErrAllExact}
	}
	method := o.Method
	r.Why = "asked for"
	if method == "" {
		t, err := r.choice()
		if err != nil {
			return err
		}
		method, r.Why = line.Choose(t.points)
		if n := len(rows); n > 1 && method != line.MethodOffset && len(bottles(rows)) == 1 {
			// Its reference may differ a little from reading to reading, as the temperature does.
			method, r.Why = line.MethodGain, fmt.Sprintf("%d readings of one reference: a gain through zero", n)
		}
		r.Chosen = true
		if r.frozen = r.frozenDisplay(); r.frozen {
			method, r.Why = line.MethodOffset, "the display is the same in every buffer: there is no line"
		}
	}
	t, err := fitted(rows, r.taken(method), method)
	if err != nil {
		return err
	}
	f, err := method.Fit(t.points)
	if err != nil {
		return explain(err, method, rows, t)
	}
	if method == line.MethodGain && f.Slope == 0 && t.noReference() {
		return &RowError{Row: len(rows) - 1, Column: ColumnRef, Found: "0", Cause: ErrOutOfRange,
			Want: "a reference other than 0: a gain is the ratio to a reading; with 0 alone use offset"}
	}
	r.Fit, r.fitted = f, t
	r.settleScatter(o)
	if r.frozen {
		f.DropInterval()
		r.warn(fmt.Sprintf("the display shows %s in every buffer: it is frozen, or not in the mode that measures; the line means nothing, and only the potentials are judged", r.readingText(0)))
	}
	r.Points = make([]Point, len(rows))
	for j, g := range t.groups {
		for _, i := range g.rows {
			p := &r.Points[i]
			p.Error, p.Allowed = rows[i].Reading-rows[i].Ref, math.NaN()
			if o.Tolerance != nil {
				p.Allowed = o.Tolerance.At(rows[i].Ref)
			}
			p.Corrected = f.Corrected(rows[i].Reading)
			p.Residual = rows[i].Ref - p.Corrected
			if len(g.rows) == 1 {
				p.Residual = f.Residuals[j]
			}
			p.Leverage, p.Standardised, p.Flagged = f.Leverage[j], f.Standardised[j], f.Flagged[j]
		}
	}
	return nil
}

// frozenDisplay tells a display that shows one pH in buffers that differ, beside potentials.
func (r *Result) frozenDisplay() bool {
	if r.Kind != PH || distinctRefs(r.Rows, alone(len(r.Rows))) < 2 {
		return false
	}
	for _, row := range r.Rows {
		if row.MV == nil || row.Reading != r.Rows[0].Reading {
			return false
		}
	}
	return true
}

// noReference tells that every reference is 0.
func (t trial) noReference() bool {
	for _, y := range t.points.Y {
		if y != 0 {
			return false
		}
	}
	return true
}

// choice is what the method is chosen from: the rows, and where nothing stated is there to fit with,
// the bottles.
func (r *Result) choice() (trial, error) {
	d := r.taken("")
	t := trial{groups: alone(len(r.Rows)), doubt: d}
	rows := r.Rows
	if d.refOwn == nil {
		t.groups = bottles(rows)
		rows, t.doubt = pooled(rows, t.groups, d)
	}
	var err error
	t.points, err = points(rows, t.doubt)
	return t, err
}

// taken is what a method ("" for the choice of one) takes as known. References whose uncertainty was
// only looked up, or is exactly none, leave the readings as what scatters: where nothing is known of
// those, the references' figures are no basis of a fit. Who asks for weighted or errors in both by
// name gets them.
func (r *Result) taken(method line.Method) doubt {
	d := r.model
	if method != line.MethodWeighted && method != line.MethodErrorsInBoth && !r.refsSuffice() {
		d.refOwn, d.refShared = nil, nil
	}
	return d
}

// refsSuffice tells that what is known of the references is a basis by itself.
func (r *Result) refsSuffice() bool {
	d := r.model
	return d.refOwn != nil && (d.readOwn != nil || (!allZero(d.refOwn, d.refShared) && !lookedUp(r.Rows)))
}

func lookedUp(rows []Row) bool {
	for _, row := range rows {
		if row.URefFound {
			return true
		}
	}
	return false
}

// fitted is what a method fits: the rows, or the means of repeats. Two-point and weighted take one
// point for each reference; and where the scatter is the witness, the repeats of one bottle are no
// witnesses of their own: its error is the same in all of them.
func fitted(rows []Row, d doubt, method line.Method) (trial, error) {
	t := trial{groups: alone(len(rows)), doubt: d}
	switch {
	case method == line.MethodTwoPoint || method == line.MethodWeighted:
		t.groups = groups(rows)
	case method == line.MethodOrdinary || method == line.MethodTheilSen || d.refOwn == nil:
		t.groups = bottles(rows)
	}
	if len(t.groups) < len(rows) {
		rows, t.doubt = pooled(rows, t.groups, d)
	}
	var err error
	t.points, err = points(rows, t.doubt)
	return t, err
}

// pooled tells that the fit saw means of repeats.
func (t trial) pooled() bool {
	for _, g := range t.groups {
		if len(g.rows) > 1 {
			return true
		}
	}
	return false
}

// settleScatter sees to it that a fit that rests on scatter does not rest on less than is known to be
// there, and that points that lie exactly on a line, as far as a display shows, are not taken for
// exact.
func (r *Result) settleScatter(o Options) {
	f := r.Fit
	if f.Basis != line.FromScatter {
		return
	}
	if least := leastScatter(r.Rows, o, f.Slope); least > 0 {
		f.RaiseScatter(least)
		return
	}
	if f.Exact() {
		r.exact = true
		f.DropInterval()
		r.warn("the readings lie exactly on a line: their step hides the scatter, so there is no interval; give --resolution")
	}
}

// leastScatter is what the scatter of a point, in the unit of the references, cannot be below: the
// step of the display, which hides what is finer, and the uncertainty of references looked up.
func leastScatter(rows []Row, o Options, slope float64) float64 {
	var v float64
	for _, row := range rows {
		if row.URefFound {
			v += *row.URef * *row.URef / float64(len(rows))
		}
	}
	return math.Hypot(math.Sqrt(v), slope*o.Resolution/math.Sqrt(12))
}

// explain puts a row, a column and a remedy to an error of package line.
func explain(err error, method line.Method, rows []Row, t trial) error {
	gs := t.groups
	at := 0
	var pe *line.PointError
	if errors.As(err, &pe) && pe.Index < len(gs) {
		at = gs[pe.Index].rows[0]
	}
	fault := func(row int, column Column, found, want string) error {
		return &RowError{Row: row, Column: column, Found: found, Want: want, Cause: err}
	}
	last := len(rows) - 1
	switch {
	case errors.Is(err, line.ErrConstantX):
		return fault(last, ColumnReading, fmt.Sprintf("%s as in every row, though the references differ", number(rows[last].Reading)),
			"readings that follow the references (is the meter frozen, or its display full?)")
	case errors.Is(err, line.ErrConstantY):
		instead := line.MethodGain
		if rows[last].Ref == 0 {
			instead = line.MethodOffset
		}
		return fault(last, ColumnRef, fmt.Sprintf("%s as in every row", number(rows[last].Ref)),
			fmt.Sprintf("at least two different references for %s; with one, use %s", method, instead))
	case errors.Is(err, line.ErrZeroReading):
		return fault(last, ColumnReading, "0", "a reading that is not 0: a gain is their ratio")
	case errors.Is(err, line.ErrTooMany):
		return &said{fmt.Sprintf("two-point takes two references, there are %d; use line", len(gs)), err}
	case errors.Is(err, line.ErrTooFew):
		return &said{fmt.Sprintf("%s; there %s", needs(method), counted(gs, rows)), err}
	case errors.Is(err, line.ErrNotStated):
		column := ColumnURef
		if method == line.MethodErrorsInBoth && rows[0].URef != nil {
			column = ColumnUReading
		}
		return fault(0, column, "nothing", fmt.Sprintf("a standard uncertainty in every row for %s", method))
	case errors.Is(err, line.ErrAllExact):
		return fault(0, ColumnURef, "0 here and in every row", "the standard uncertainties: "+string(method)+" cannot weigh exact points")
	case errors.Is(err, line.ErrNotPositive):
		column, row := t.exactCell(rows, at)
		return fault(row, column, "no uncertainty of its own beside the other rows'",
			"a standard uncertainty above 0: "+string(method)+" cannot weigh an exact point")
	}
	return err
}

// exactCell finds the cell to blame for a point that nothing but what it shares makes uncertain: the
// point named, or the first before it that has no part of its own either. Repeats of one bottle differ
// by their readings alone.
func (t trial) exactCell(rows []Row, at int) (Column, int) {
	for k := -1; k < at; k++ {
		i := k
		if k < 0 {
			i = at
		}
		r := rows[i]
		repeat := false
		for other := range rows {
			repeat = repeat || other != i && oneBottle(rows, rows[other], r)
		}
		readExact := t.doubt.readOwn == nil || (r.UReading != nil && *r.UReading == 0)
		switch {
		case !readExact:
		case repeat && !t.pooled():
			return ColumnUReading, i
		case r.URef != nil && *r.URef == 0 && (i == at || len(t.doubt.refShared) > 0 && r.URefShared != nil && *r.URefShared > 0):
			return ColumnURef, i
		}
	}
	return ColumnURef, at
}

// counted says how many points there are, and why fewer than rows.
func counted(gs []group, rows []Row) string {
	is := "are"
	if len(gs) == 1 {
		is = "is"
	}
	text := fmt.Sprintf("%s %d", is, len(gs))
	if len(gs) < len(rows) {
		text += " (repeats of one bottle count as one)"
	}
	return text
}

// said is an error in words of its own around a cause.
type said struct {
	text  string
	cause error
}

func (e *said) Error() string { return e.text }
func (e *said) Unwrap() error { return e.cause }

func needs(m line.Method) string {
	switch m {
	case line.MethodGain:
		return "gain needs one reading"
	case line.MethodTheilSen:
		return "theil-sen needs three points"
	case line.MethodTwoPoint:
		return "two-point needs two references, one more than gain"
	}
	return fmt.Sprintf("%s needs two points: it has two parameters", m)
}
