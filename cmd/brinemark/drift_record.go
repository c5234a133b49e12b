package main

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
)

// driftRecord takes the checks and events of a meter on record.
func driftRecord(book *logbook.Book, m logbook.Meter, ask driftAsk) (driftRows, drift.Options, error) {
	rows, o := driftRows{meter: m.Name}, ask.options
	if kind := check.Kind(m.Quantity); !ask.quantityGiven {
		o.Kind = kind
	} else if o.Kind != kind {
		return rows, o, usageError("--quantity %s: meter %s measures %s", o.Kind, m.Name, kind)
	}
	if o.Tolerance == nil && m.Tolerance != nil {
		o.Tolerance = &quantity.Tolerance{Value: *m.Tolerance, Relative: m.ToleranceRelative}
	}
	if o.Resolution == 0 && m.Resolution != nil {
		o.Resolution = *m.Resolution
	}
	calibrations, err := book.Calibrations(m.Name, logbook.Current)
	if err != nil {
		return rows, o, err
	}
	events, err := book.Events(m.Name, logbook.Current)
	if err != nil {
		return rows, o, err
	}
	for _, e := range events {
		if event := drift.Event(e.Event); slices.Contains(drift.Events(), event) {
			rows.entries = append(rows.entries, drift.Entry{Name: "the event of " + e.Time.Format(time.DateOnly), Time: e.Time, Event: event})
		}
	}
	for _, c := range calibrations {
		if at, ok := unwritten(c, rows.entries, calibrations); ok {
			rows.entries = append(rows.entries, drift.Entry{Name: "the adjustment before " + c.ID, Time: at, Event: drift.Adjusted})
		}
		for i, r := range c.Readings {
			if o.Kind == check.EC && r.Ref == 0 {
				continue // the zero point: an error is no fraction of nothing
			}
			rows.entries = append(rows.entries, recordEntry(c, i, r, ask))
		}
	}
	slices.SortStableFunc(rows.entries, func(a, b drift.Entry) int {
		return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(turn(a), turn(b)))
	})
	return rows, o, nil
}

// turn orders what has one time: found, then done, then left.
func turn(e drift.Entry) int {
	switch {
	case e.Event != "":
		return 1
	case e.State == drift.AsLeft:
		return 2
	}
	return 0
}

// unwritten tells of an adjustment that nobody wrote down: readings as left,
// with no event between them and the calibration before.
func unwritten(c logbook.Calibration, entries []drift.Entry, all []logbook.Calibration) (time.Time, bool) {
	if drift.State(c.State) != drift.AsLeft {
		return time.Time{}, false
	}
	var before time.Time
	for _, other := range all {
		if other.Time.Before(c.Time) && other.Time.After(before) {
			before = other.Time
		}
	}
	for _, e := range entries {
		restarts := e.Event == drift.Adjusted || e.Event == drift.Replaced
		if restarts && !e.Time.Before(before) && !e.Time.After(c.Time) {
			return time.Time{}, false
		}
	}
	return c.Time, true
}

// recordEntry takes one reading of a calibration.
func recordEntry(c logbook.Calibration, i int, r logbook.Reading, ask driftAsk) drift.Entry {
	e := drift.Entry{
		Name: fmt.Sprintf("calibration %s, reading %d", c.ID, i+1), Time: r.Time, Ref: &r.Ref, Reading: &r.Reading,
		URef: r.URef, RefSource: r.RefSource, URefShared: r.URefShared, UReading: r.UReading, Bottle: r.Bottle, State: drift.State(c.State),
	}
	if e.Time.IsZero() {
		e.Time = c.Time
	}
	if len(r.RefParts) > 0 {
		e.URef, e.URefShared = nil, nil
		exact := 0.0
		stated := true
		for _, p := range r.RefParts {
			if !p.Stated {
				stated = false
				continue
			}
			e.Shared = append(e.Shared, drift.Part{ID: p.Source.ID, Size: p.Size})
		}
		if stated {
			e.URef = &exact // all of it stands in the parts
		}
	}
	if e.URef == nil && len(e.Shared) == 0 {
		e.URef = standIn(ask.uRef, r.Ref)
	}
	if e.UReading == nil {
		e.UReading = standIn(ask.uReading, r.Reading)
	}
	return e
}
