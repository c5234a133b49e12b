package drift

import (
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/quantity"
)

// Figure is an estimate with what is known of it.
type Figure struct {
	Value     float64
	U         float64 // standard uncertainty: ±1.96 U is as wide as the interval, or wider where that is lopsided
	Low, High float64 // bound 95 %
}

// Component is a part of the error that goes its own way.
type Component struct {
	Now  Figure // zero: in the unit of the readings; gain: a fraction
	Rate Figure // per 30 days
}

// CheckView is one check as it looks from the whole record.
type CheckView struct {
	Time    time.Time
	Rows    []int // line numbers of its readings
	Ref     float64
	Error   float64 // a fraction for conductivity
	U       float64 // standard uncertainty of its own, as stated or as the scatter tells
	UShared float64 // of what it shares with other checks
	Bottle  string
	Wrong   float64 // probability that this check is wrong
	Stepped float64 // probability of a sudden step before it
}

// EventView is something done to the meter.
type EventView struct {
	Time   time.Time
	Event  Event
	Checks int // made before it; one beside a reading, whose order is not told, counts as before that
}

// AlarmKind names what raised an alarm.
type AlarmKind string

// The alarms there are.
const (
	AlarmEWMA    AlarmKind = "ewma"
	AlarmCUSUM   AlarmKind = "cusum"
	AlarmTrend   AlarmKind = "trend"
	AlarmStep    AlarmKind = "step"
	AlarmWrong   AlarmKind = "bad-check"
	AlarmOutside AlarmKind = "outside-tolerance"
	AlarmBottle  AlarmKind = "bottle"
	// What makes the error differ between references.
	AlarmWeakSlope AlarmKind = "weak-slope"
	AlarmZero      AlarmKind = "zero"
	AlarmGain      AlarmKind = "gain"
)

// Alarm is something to look at.
type Alarm struct {
	Time time.Time
	Kind AlarmKind
	Text string
}

// Trend is what the rank tests say of the errors, among checks that can be
// compared: same stretch between events, same source, same reference where
// zero and gain are told apart.
type Trend struct {
	Kendall
	// Slope is the Theil-Sen slope per 30 days with its 95 % limits; NaN where
	// no two checks can be compared. A limit that nothing bounds is infinite.
	Slope, Low, High float64
}

// Result is a meter's drift. Errors are reading - reference, as a fraction of
// the reference for conductivity and in the unit of the readings otherwise.
type Result struct {
	Kind     check.Kind
	Relative bool
	N        int // checks
	Now      time.Time
	Last     time.Time // of the last check

	// Ref is the reference at which Error and Rate are given: of those in use
	// the one where the error is worst against its tolerance. In use are those
	// that two checks have reached, and those of the last visit.
	Ref   float64
	Error Figure // now
	Rate  Figure // per 30 days, now
	// Walk is the size (root of the mean square) of what the error may wander
	// beside its rate, per root of 30 days.
	Walk float64
	// Zero and Gain are nil where the references do not tell them apart. For pH
	// zero is the error at pH 7.
	Zero, Gain *Component

	Tolerance *quantity.Tolerance
	Limit     float64            // the tolerance at Ref, as an error; NaN without one
	PWithin   float64            // now, at all references in use; NaN without a tolerance
	Verdict   conformity.Verdict // "" without a tolerance
	Risk      float64

	Due       time.Time // a day; zero where there is none within five years, or no tolerance
	NextCheck time.Time // a day
	// OverdueSince is the first day after the last check on which another was due,
	// by the risk or by common practice; zero where that day is not past.
	OverdueSince time.Time
	// Unsettled tells that the last visit found an error outside tolerance that
	// does not fit the checks before it: too unlikely a thing to fail a meter on,
	// and no meter passes on it.
	Unsettled bool
	Practice  Practice
	Why       string // of NextCheck, in one sentence

	// Bottle is the one all checks since the last new start were made with, as
	// long as no second one has agreed; "" otherwise. Until then a drift may be
	// the bottle's.
	Bottle string

	Alarms   []Alarm
	Warnings []string

	Checks  []CheckView
	Events  []EventView
	Path    []PathPoint // from the first check to Now, and on to the horizon of a chart
	Trend   Trend
	Control Control

	logged bool // of a log of two probes, see Options.Logged
}
