package agree

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Reading is what one meter showed once in one sample. A nil figure is not
// known, which is not zero: an uncertainty of 0 says exact.
type Reading struct {
	Row    int // row of the file, for messages; 0 where there is none
	Meter  string
	Sample string // rows with the same sample are the same liquid
	Value  float64
	// Step is the size of the last digit that Value was written with, 0.01 for
	// 6.00; 0 where that is not known and the shortest way to write Value tells.
	Step float64
	// UValue is the standard uncertainty of this reading alone (repeatability,
	// resolution), in the unit of Value.
	UValue *float64
	TempC  *float64 // temperature of the sample at the reading
	// Ref is what a perfect meter with this display would show in this sample
	// at this moment, in the unit of Value.
	Ref  *float64
	URef *float64 // the reference's own standard uncertainty
	// RefSource names what references share; URefShared is the standard
	// uncertainty that all references of one source share fully, with one sign.
	RefSource  string
	URefShared *float64
	// RefParts are the named sources of Ref's uncertainty, where they are known:
	// readings that name one source share it, with its sign. Verdicts of meters
	// then rest on them; URef and URefShared only sum them up, in squares.
	RefParts  []uncert.Contribution
	Time      *time.Time
	Replicate string // label of a repetition; may be empty
}

// InputError says which reading cannot be used and why.
type InputError struct {
	Row    int    // 0 where no single row is to blame
	Column string // empty where no single column is to blame
	Text   string // what was found and what would be right
}

// Error gives row and column in front of the text.
func (e *InputError) Error() string {
	var where []string
	if e.Row > 0 {
		where = append(where, fmt.Sprintf("row %d", e.Row))
	}
	if e.Column != "" {
		where = append(where, "column "+e.Column)
	}
	if len(where) == 0 {
		return e.Text
	}
	return strings.Join(where, ", ") + ": " + e.Text
}

func inputError(row int, column, format string, args ...any) error {
	return &InputError{Row: row, Column: column, Text: fmt.Sprintf(format, args...)}
}

// check refuses figures that are no measurement.
func (r Reading) check() error {
	switch {
	case strings.TrimSpace(r.Meter) == "":
		return inputError(r.Row, "meter", "is empty; name the meter of every reading")
	case strings.TrimSpace(r.Sample) == "":
		return inputError(r.Row, "sample", "is empty; name the sample of every reading")
	case !finite(r.Value):
		return inputError(r.Row, "reading", "%v is not a finite number", r.Value)
	case !(r.Step >= 0) || math.IsInf(r.Step, 1):
		return inputError(r.Row, "reading", "%v is no size of a last digit; want one of 0 or more", r.Step)
	}
	for _, f := range []struct {
		column    string
		value     *float64
		mayBeLess bool
	}{
		{"ref", r.Ref, true}, {"temp_C", r.TempC, true},
		{"u_reading", r.UValue, false}, {"u_ref", r.URef, false}, {"u_ref_shared", r.URefShared, false},
	} {
		switch {
		case f.value == nil:
		case !finite(*f.value):
			return inputError(r.Row, f.column, "%v is not a finite number", *f.value)
		case *f.value < 0 && !f.mayBeLess:
			return inputError(r.Row, f.column, "%v is below 0; want a standard uncertainty of 0 or more", *f.value)
		}
	}
	if _, err := uncert.FromParts(0, r.RefParts); err != nil {
		return inputError(r.Row, "ref", "%v", err)
	}
	return nil
}
