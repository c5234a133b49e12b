package check

import (
	"errors"
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/line"
)

// Run judges a meter from the rows. Errors are a [*RowError] where a row is to blame, and wrap a
// cause of this package or of package line.
func Run(rows []Row, o Options) (*Result, error) {
	r, err := run(rows, o)
	var at *RowError
	if errors.As(err, &at) && at.Name == "" {
		if filled := o.fill(rows); at.Row < len(filled) {
			at.Name = name(filled, at.Row)
		}
	}
	return r, err
}

func run(rows []Row, o Options) (*Result, error) {
	if o.Kind == "" {
		o.Kind = EC
	}
	if err := o.check(); err != nil {
		return nil, err
	}
	if len(rows) == 0 {
		return nil, fmt.Errorf("%w: no reading was given", line.ErrTooFew)
	}
	rows = o.fill(rows)
	if err := checkRows(rows); err != nil {
		return nil, err
	}
	r := &Result{Kind: o.Kind, Rows: rows, Tolerance: o.Tolerance, WorstRow: -1, WorstError: math.NaN(), PWithin: math.NaN()}
	senseWarnings, err := checkSense(rows, o.Kind)
	if err != nil {
		return nil, err
	}
	r.Warnings = append(r.Warnings, senseWarnings...)
	r.model = doubtOf(rows, o.Resolution)
	if err := r.fit(o); err != nil {
		return nil, err
	}
	r.LackOfFit = lackOfFit(rows)
	r.warnAboutFit(o)
	if err := r.predict(o); err != nil {
		return nil, err
	}
	if err := r.judge(o); err != nil {
		return nil, err
	}
	if err := r.judgeElectrode(o); err != nil {
		return nil, err
	}
	if o.MonteCarlo {
		if err := r.simulate(o); err != nil {
			return nil, err
		}
	}
	r.advise(o)
	return r, nil
}

// pools are the methods that take one point for each reference: repeats are averaged first.
func pools(m line.Method) bool { return m == line.MethodTwoPoint || m == line.MethodWeighted }

// fit chooses the method and fits.
func (r *Result) fit(o Options) error {
	rows, d := r.Rows, r.model
	if allZero(d.refOwn, d.refShared) && (d.readOwn == nil || allZero(d.readOwn, d.readShared)) {
		return &RowError{Row: 0, Column: ColumnURef, Found: "0 here and in every row: nothing is measured exactly",
			Want: "the standard uncertainties, or no such columns, and the scatter decides", Cause: line.ErrAllExact}
	}
	all, err := points(rows, d)
	if err != nil {
		return err
	}
	method := o.Method
	r.Why = "asked for"
	if method == "" {
		method, r.Why = line.Choose(all)
		r.Chosen = true
	}
	use, gs, err := fitted(rows, d, all, method)
	if err != nil {
		return err
	}
	f, err := method.Fit(use)
	if err != nil {
		return explain(err, method, rows, gs)
	}
	r.Fit, r.fitted = f, use
	r.Points = make([]Point, len(rows))
	for j, g := range gs {
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

// fitted is what a method fits: the rows, or the means of repeats where it pools them.
func fitted(rows []Row, d doubt, all line.Points, method line.Method) (line.Points, []group, error) {
	if gs := groups(rows); pools(method) && len(gs) < len(rows) {
		pr, pd := pooled(rows, gs, d)
		p, err := points(pr, pd)
		return p, gs, err
	}
	return all, ungrouped(len(rows)), nil
}

func ungrouped(n int) []group {
	gs := make([]group, n)
	for i := range gs {
		gs[i].rows = []int{i}
	}
	return gs
}

// explain puts a row, a column and a remedy to an error of package line.
func explain(err error, method line.Method, rows []Row, gs []group) error {
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
		return fault(last, ColumnRef, fmt.Sprintf("%s as in every row", number(rows[last].Ref)),
			fmt.Sprintf("at least two different references for %s; with one, use gain", method))
	case errors.Is(err, line.ErrZeroReading):
		return fault(last, ColumnReading, "0", "a reading that is not 0: a gain is their ratio")
	case errors.Is(err, line.ErrTooMany):
		return &said{fmt.Sprintf("two-point takes two references, there are %d; use line", len(gs)), err}
	case errors.Is(err, line.ErrTooFew):
		return &said{fmt.Sprintf("%s; there is %d", needs(method), len(gs)), err}
	case errors.Is(err, line.ErrNotStated):
		column := ColumnURef
		if method == line.MethodErrorsInBoth && rows[0].URef != nil {
			column = ColumnUReading
		}
		return fault(0, column, "nothing", fmt.Sprintf("a standard uncertainty in every row for %s", method))
	case errors.Is(err, line.ErrNotPositive):
		return fault(at, ColumnURef, "no uncertainty of its own beside the other rows'",
			"a standard uncertainty above 0: "+string(method)+" cannot weigh an exact point")
	}
	return err
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

// predict answers what was asked of the line.
func (r *Result) predict(o Options) error {
	for _, x := range o.At {
		e, err := r.Fit.AtU(x, o.UAt, line.Level)
		if err != nil {
			return err
		}
		if e.Outside && r.Fit.Parameters == 2 {
			low, high := readingRange(r.Rows)
			r.warn(fmt.Sprintf("a reading of %s lies outside the readings of the references, %s to %s: the interval there assumes that the line goes on straight",
				number(x), number(low), number(high)))
		}
		r.At = append(r.At, e)
	}
	for _, y := range o.InverseOf {
		v, err := r.Fit.Inverse(y, line.Seen{}, line.Level)
		if err != nil {
			return err
		}
		if v.Shape == line.TwoRays || v.Shape == line.Everything {
			r.warn(fmt.Sprintf("the interval for the reading at %s is unbounded: the slope is not told from 0", number(y)))
		}
		r.Inverse = append(r.Inverse, v)
	}
	return nil
}

func readingRange(rows []Row) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, r := range rows {
		low, high = math.Min(low, r.Reading), math.Max(high, r.Reading)
	}
	return low, high
}

// lackOfFit tests the straight line against whatever was repeated more: references read again, or
// readings seen again. nil where there is nothing to test.
func lackOfFit(rows []Row) *LackOfFit {
	var refs, readings []float64
	for _, r := range rows {
		refs, readings = append(refs, r.Ref), append(readings, r.Reading)
	}
	ways := []LackOfFit{{RepeatsOf: "ref"}, {RepeatsOf: "reading"}}
	of := []line.Points{{X: refs, Y: readings}, {X: readings, Y: refs}}
	if distinct(readings) < distinct(refs) {
		ways[0], ways[1], of[0], of[1] = ways[1], ways[0], of[1], of[0]
	}
	for i := range ways {
		if l, err := line.JudgeLackOfFit(of[i]); err == nil {
			ways[i].LackOfFit = l
			return &ways[i]
		}
	}
	return nil
}

func distinct(v []float64) int {
	seen := map[float64]bool{}
	for _, x := range v {
		seen[x] = true
	}
	return len(seen)
}
