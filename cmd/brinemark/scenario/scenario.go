// Package scenario is an invented winter for the demonstration: a shelf of
// lettuce over a washing machine, one jar of table salt, a pocket scale, two
// conductivity pens that disagree, a pH pen that has grown slow, and a probe in
// the tub that drifts while its log is written.
//
// Nothing in it was measured. What is true stands in truth.go, the faults of the
// meters in meters.go, what the tub went through in tub.go; what a person weighs
// and reads follows from them, with scatter from fixed seeds, so that every run
// of the demonstration is the same. None of it is told to the commands, which
// have to find it.
package scenario

import (
	"math"
	"time"
)

// What happens when. The bench days are Saturdays, at six in the evening.
var (
	// Made is when the bottles are filled, and the meters first read in them.
	Made = at(2025, time.December, 6, 18, 0)
	// Again is the next day, when the pens are read in a cold and a warm cup.
	Again = at(2025, time.December, 7, 11, 0)
	// Cleaned is when the old pen is cleaned and trimmed.
	Cleaned = at(2025, time.December, 7, 15, 0)
	// Replaced is when the pH pen gets a new electrode.
	Replaced = at(2025, time.December, 20, 15, 0)
	// WeighedAgain is when the bottles are weighed the second time, before the
	// probe is read in them and adjusted.
	WeighedAgain = at(2026, time.January, 31, 17, 30)
	// Adjusted is when the probe is adjusted, between the readings as found and
	// as left.
	Adjusted = at(2026, time.January, 31, 18, 0)
	// Today is the day on which the story is told.
	Today = at(2026, time.March, 1, 12, 0)
)

// Checks are the days on which the probe is read in the bottles.
var Checks = []time.Time{
	Made, at(2025, time.December, 20, 18, 0), at(2026, time.January, 3, 18, 0), at(2026, time.January, 17, 18, 0),
	Adjusted, at(2026, time.February, 14, 18, 0), at(2026, time.February, 28, 18, 0),
}

func at(year int, month time.Month, day, hour, minute int) time.Time {
	return time.Date(year, month, day, hour, minute, 0, 0, time.UTC)
}

// days is how many days lie between two times.
func days(from, to time.Time) float64 { return to.Sub(from).Hours() / 24 }

func round(x, step float64) float64 { return math.Round(x/step) * step }
