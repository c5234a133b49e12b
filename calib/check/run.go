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
	if last := rows[len(rows)-1]; o.Zero != nil && o.UZero == nil && len(rows) > 1 && (rows[0].URef != nil || rows[0].UReading != nil) && last.URef == nil && last.UReading == nil {
		return nil, &RowError{Row: len(rows) - 1, Column: ColumnUZero, Found: "no uncertainty, though the other rows state theirs",
			Want: "the standard uncertainty of the zero point by --u-zero (0 where it is exact)", Cause: ErrMixed}
	}
	if err := checkRows(rows); err != nil {
		return nil, err
	}
	r := &Result{Kind: o.Kind, Rows: rows, Tolerance: o.Tolerance, WorstRow: -1, WorstError: math.NaN(), PWithin: math.NaN()}
	senseWarnings, err := checkSense(rows, o.Kind)
	if err != nil {
		return nil, err
	}
	if err := checkNegative(rows, o.Kind); err != nil {
		return nil, err
	}
	r.Warnings = append(r.Warnings, senseWarnings...)
	r.model = doubtOf(rows, o.Resolution)
	if err := r.fit(o); err != nil {
		return nil, err
	}
	r.LackOfFit = lackOfFit(rows)
	r.findMisfit(o)
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

// predict answers what was asked of the line.
func (r *Result) predict(o Options) error {
	for _, x := range o.At {
		e, err := r.Fit.AtU(x, o.UAt, line.Level)
		if err != nil {
			return err
		}
		if e.Outside && r.Fit.Method != line.MethodGain {
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
