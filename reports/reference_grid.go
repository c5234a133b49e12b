package reports

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/quantity"
)

// mostRows is the longest table that is worth printing.
const mostRows = 1000

// Grid asks for the rows of a table; what is unknown is taken as the reference
// has it, 5 to 35 C in steps of 1 C for most. All in the unit of the axis.
type Grid struct {
	From, To, Step Number
}

// AxisKind is the kind of quantity a table of the reference runs along; false
// if its rows are fixed (years) or it has no table.
func (m ReferenceMaker) AxisKind() (quantity.Kind, bool) { return m.along.kind, m.along.kind != 0 }

// ends are the first and the last row: as asked for, or the axis's own. An end
// that was not asked for gives way to one that was, and to the range.
func (a axis) ends(g Grid, warnings *Warnings) (from, to float64, err error) {
	from, to = a.from, a.to
	if x, known := g.From.Get(); known {
		if err := a.limits.Check(a.what, x); err != nil {
			return 0, 0, err
		}
		if from = x; !(to > from) && !g.To.IsKnown() {
			to = math.Min(a.limits.High, from+a.to-a.from)
		}
	}
	if x, known := g.To.Get(); known {
		if err := a.limits.Check(a.what, x); err != nil {
			return 0, 0, err
		}
		if to = x; !(from < to) && !g.From.IsKnown() {
			from = math.Max(a.limits.Low, to-(a.to-a.from))
		}
	}
	if from < a.limits.Low {
		*warnings = append(*warnings, fmt.Sprintf("the table begins at %s and not at %s: the range of the %s is %s", a.text(a.limits.Low), a.text(from), a.what, a.limits))
		from = a.limits.Low
	}
	if to > a.limits.High {
		*warnings = append(*warnings, fmt.Sprintf("the table ends at %s and not at %s: the range of the %s is %s", a.text(a.limits.High), a.text(to), a.what, a.limits))
		to = a.limits.High
	}
	return from, to, nil
}

// grid lists the rows asked for, or the axis's own. The last one is always
// there, whatever the step.
func (m ReferenceMaker) grid(g Grid, warnings *Warnings) ([]float64, error) {
	a := m.along
	if a.input < 0 {
		return nil, fmt.Errorf("no table for this reference: %s", a.whyNot)
	}
	from, to, err := a.ends(g, warnings)
	if err != nil {
		return nil, err
	}
	step := a.step
	if x, known := g.Step.Get(); known {
		step = x
	}
	switch {
	case !(step > 0):
		return nil, fmt.Errorf("the step of a table is %s; want more than 0", a.text(step))
	case !(to >= from):
		return nil, fmt.Errorf("the table would run from %s to %s; want the lower one first", a.text(from), a.text(to))
	case (to-from)/step > mostRows:
		return nil, fmt.Errorf("a step of %s from %s to %s makes more than %d rows; want a larger step", a.text(step), a.text(from), a.text(to), mostRows)
	}
	var xs []float64
	for i := 0; ; i++ {
		// Rounding to 1e-9 keeps steps such as 0.1 on the numbers people expect.
		x := math.Round((from+float64(i)*step)*1e9) / 1e9
		if x > to-1e-9 {
			return append(xs, to), nil
		}
		xs = append(xs, x)
	}
}

func (a axis) text(x float64) string {
	if a.unit == "" {
		return fmt.Sprintf("%g", x)
	}
	return fmt.Sprintf("%g %s", x, a.unit)
}
