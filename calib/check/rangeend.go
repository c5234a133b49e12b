package check

import (
	"fmt"
)

// Range is what a display can show; nil where an end is not known.
type Range struct{ Low, High *float64 }

// LeftOut is a row that says only "at least" or "at most" of its reference.
type LeftOut struct {
	Row Row
	Why string
}

// AtEnd says that a reading stands at the end of what a display can show, or within one step of it: what
// was meant then is only "at least" or, at the lower end, "at most". "" elsewhere. The step is 0 where it
// is not known. A range that begins at 0 begins where the quantity does, and a 0 there is a reading.
func (g Range) AtEnd(reading, step float64) string {
	// A part in a million of the step keeps 19.99 from missing 20 - 0.01.
	step *= 1 + 1e-6
	switch {
	case g.High != nil && reading >= *g.High-step:
		return fmt.Sprintf("the display ends at %s, and %s says only that there is at least as much", number(*g.High), number(reading))
	case g.Low != nil && *g.Low != 0 && reading <= *g.Low+step:
		return fmt.Sprintf("the display begins at %s, and %s says only that there is at most as much", number(*g.Low), number(reading))
	}
	return ""
}

// SetAside parts rows from those that stand at an end of the range: they are no data for a line or a
// verdict. kept are the places of the others. It is a [*RowError] where none is left.
func (g Range) SetAside(rows []Row, step float64) (kept []int, out []LeftOut, err error) {
	for i, row := range rows {
		why := g.AtEnd(row.Reading, step)
		if why == "" {
			kept = append(kept, i)
			continue
		}
		row.Name = name(rows, i)
		out = append(out, LeftOut{row, why})
	}
	if len(kept) == 0 && len(out) > 0 {
		return nil, nil, &RowError{Row: 0, Name: out[0].Row.Name, Column: ColumnReading, Cause: ErrOutOfRange,
			Found: number(rows[0].Reading) + ", at the end of what the display can show, as in every row",
			Want:  "a reading within its range: a weaker reference, or the right --range"}
	}
	return kept, out, nil
}

// String words what was left out, and of which bottle.
func (l LeftOut) String() string {
	bottle := ""
	if l.Row.Bottle != "" {
		bottle = ", bottle " + l.Row.Bottle
	}
	return fmt.Sprintf("%s%s (ref %s) is left out of line and verdict: %s", l.Row.Name, bottle, asTyped(l.Row.RefText, l.Row.Ref), l.Why)
}
