package watch

import "time"

// Kind is what happened.
type Kind string

// The kinds of events.
const (
	// Refill is a liquid that was renewed, or changed by a third or more: the
	// conductivity goes to another level and stays there.
	Refill Kind = "refill"
	// TopUp is a smaller change of the liquid: water or concentrate was added.
	TopUp Kind = "top-up"
	// OutOfLiquid is a stretch in which a conductivity probe hung in air.
	OutOfLiquid Kind = "dry"
	// Stuck is a reading that does not change for hours, where others do, and
	// where it usually does itself.
	Stuck Kind = "stuck"
	// Jump is one column that steps from one row to the next and stays, while the
	// others do not move: it looks like an adjustment that nobody wrote down.
	Jump Kind = "jump"
)

// Event is something that happened in a log.
type Event struct {
	Kind Kind
	// From and To are the times of the rows between which it happened: the last
	// before a change and the first at the new level, or the first and the last of a
	// stretch.
	From, To time.Time
	// Column is the column that shows it, and With the columns that moved with
	// it; both by their place.
	Column int
	With   []int
	// Before and After are the level before and after, as corrected; NaN where
	// there is none. Of a stuck sensor both are the reading.
	Before, After float64
	Rows          int64 // of a stretch; of a change, those until the new level was reached
	// AfterAir tells that the probe was out of the liquid in between.
	AfterAir bool
}

// State is whether a reading counts.
type State uint8

// The states of a reading.
const (
	InLiquid State = iota // a reading of the liquid
	Missing               // none
	InAir                 // the probe was out of the liquid
	Doubtful              // one that says nothing of the liquid, such as one at the end of the meter's range
)

// Seen is what a row says of one column.
type Seen struct {
	Reading, Value float64 // as logged, and corrected; NaN where there is none
	State          State
}

// Column is a column to be watched.
type Column struct {
	// Conductivity tells that it shows the strength of the liquid.
	Conductivity bool
	// Aside tells that it need not move when the liquid is changed: a temperature,
	// or what the air holds. That it stood still is then no sign that nothing
	// was added; that it moved still is one that something was.
	Aside bool
	// Least is the smallest change worth telling: in the unit of the values, or
	// where Relative is true a share of the level.
	Least    float64
	Relative bool
}
