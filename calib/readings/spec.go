package readings

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// Type says what the cells of a column hold. The zero Type is [Text].
type Type int

// The types of a column.
const (
	Text   Type = iota // any words, or those of Column.Words
	Number             // a finite decimal number
	Time               // a moment: see Spec.Zone
)

// Column declares one column that a file may have.
type Column struct {
	Name     string
	Type     Type
	Required bool     // the header must have it
	Filled   bool     // no row may leave it empty
	Bounds   *Bounds  // of a number; nil for none
	Words    []string // the only words a text may be, without regard to case; nil for any
}

// Bounds is a closed interval that numbers of a column lie in.
type Bounds struct{ Low, High float64 }

// NotNegative bounds a standard uncertainty: zero is exact, below is nonsense.
var NotNegative = &Bounds{Low: 0, High: math.Inf(1)}

// Contains tells whether x lies in the closed interval.
func (b Bounds) Contains(x float64) bool { return x >= b.Low && x <= b.High }

// String words the interval, such as "from 0 to 50" or "of 0 or more".
func (b Bounds) String() string {
	low, high := strconv.FormatFloat(b.Low, 'g', -1, 64), strconv.FormatFloat(b.High, 'g', -1, 64)
	switch {
	case math.IsInf(b.High, 1):
		return "of " + low + " or more"
	case math.IsInf(b.Low, -1):
		return "of " + high + " or less"
	}
	return "from " + low + " to " + high
}

// Spec declares what a file may hold.
type Spec struct {
	Columns []Column
	// Zone is the zone of times that are written without one; nil stands for UTC.
	Zone *time.Location
	// Unread says which rows were not filled in, and are left out; nil for none.
	Unread *Unread
}

// zone never is nil.
func (s Spec) zone() *time.Location {
	if s.Zone == nil {
		return time.UTC
	}
	return s.Zone
}

// find looks for the column a header's field names.
func (s Spec) find(field string) (Column, bool) {
	for _, c := range s.Columns {
		if strings.EqualFold(c.Name, field) {
			return c, true
		}
	}
	return Column{}, false
}
