package main

import (
	"time"

	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/logbook"
)

// When a meter was adjusted, as its record tells: between the last reading as
// found and the first as left.

// restarts tells that an event gives the meter another line.
func restarts(event drift.Event) bool { return event == drift.Adjusted || event == drift.Replaced }

// leftFrom is the time of the first reading of a calibration as left, and of the
// last; ok is false for one as found.
func leftFrom(c logbook.Calibration) (first, last time.Time, ok bool) {
	first, last = c.Began(), c.Time
	if first.After(last) {
		last = first
	}
	return first, last, drift.State(c.State) == drift.AsLeft
}

// happened is when an event counts. An adjustment that is written down with the
// time of one of the readings as left, but the first, was before all of them.
func happened(e logbook.Event, all []logbook.Calibration) time.Time {
	for _, c := range all {
		first, last, left := leftFrom(c)
		if left && restarts(drift.Event(e.Event)) && e.Time.After(first) && !e.Time.After(last) {
			return first
		}
	}
	return e.Time
}

// unwritten tells of an adjustment that nobody wrote down: readings as left,
// with no event between them and the calibration before. It was done before the
// first of them.
func unwritten(c logbook.Calibration, entries []drift.Entry, all []logbook.Calibration) (time.Time, bool) {
	first, last, left := leftFrom(c)
	if !left {
		return time.Time{}, false
	}
	var before time.Time
	for _, other := range all {
		if other.Time.Before(last) && other.ID != c.ID && other.Time.After(before) {
			before = other.Time
		}
	}
	for _, e := range entries {
		if restarts(e.Event) && !e.Time.Before(before) && !e.Time.After(last) {
			return time.Time{}, false
		}
	}
	return first, true
}
