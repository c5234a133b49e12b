package drift

import (
	"errors"
	"fmt"
	"time"
)

// Event is something done to a meter that may move its error.
type Event string

// The events.
const (
	Adjusted Event = "adjusted" // set to a reference: the error restarts near zero
	Cleaned  Event = "cleaned"  // the error may jump; the rate goes on
	Replaced Event = "replaced" // another electrode or cell: error and rate restart
)

// Events lists them.
func Events() []Event { return []Event{Adjusted, Cleaned, Replaced} }

// State says on which side of an event of the same row a reading stands.
type State string

// The states. Where a row has a reading and an event and no state, both orders
// are tried and weighed by the data.
const (
	AsFound State = "as-found" // the reading, then the event
	AsLeft  State = "as-left"  // the event, then the reading
)

// Entry is one row of a meter's record: a reading of a reference, an event, or
// both. Ref and Reading are in one unit; uncertainties are standard ones
// (k = 1) in that unit, nil where nobody stated them, 0 for exact.
type Entry struct {
	Row  int    // line number in the file, for messages; 0 where there is none
	Name string // what messages call it where there is no row; "" for its time
	Time time.Time

	Ref, Reading *float64 // both, or neither for an event alone

	URef       *float64 // the reference's own part; shared by all rows of one Bottle
	RefSource  string   // what the reference was made from
	URefShared *float64 // the part shared by all rows of RefSource
	UReading   *float64
	Shared     []Part // further named parts of the reference's uncertainty

	Bottle string
	Event  Event // "" for none
	State  State
}

// Part is a named part of a reference's standard uncertainty: one error for
// all rows that name it, each moved by its own signed size.
type Part struct {
	ID   string
	Size float64 // in the unit of the reference
}

// Causes of errors of this package.
var (
	ErrNothing    = errors.New("no check")
	ErrOutOfRange = errors.New("outside its range")
	ErrWrongUnit  = errors.New("another unit")
	ErrFuture     = errors.New("in the future")
	ErrNoSource   = errors.New("no source named")
	ErrIncomplete = errors.New("incomplete")
	ErrOptions    = errors.New("options that make no sense")
)

// EntryError is a fault in one row.
type EntryError struct {
	Row    int    // 0 where unknown
	Name   string // of the entry, where it has no row
	Column string // as a table has it
	Found  string
	Want   string
	Cause  error
}

func (e *EntryError) Error() string {
	text := fmt.Sprintf("column %s: found %s; want %s", e.Column, e.Found, e.Want)
	switch {
	case e.Row > 0:
		return fmt.Sprintf("row %d, %s", e.Row, text)
	case e.Name != "":
		return e.Name + ", " + text
	}
	return text
}

// Unwrap returns the cause.
func (e *EntryError) Unwrap() error { return e.Cause }
