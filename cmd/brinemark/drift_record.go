package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// driftOfMeter tells the drift of one meter on record.
func driftOfMeter(c *cli.Context, book *logbook.Book, ask driftAsk) error {
	m, err := book.Meter(ask.meter)
	if err != nil {
		return err
	}
	if kind := check.Kind(m.Quantity); ask.quantityGiven && ask.options.Kind != kind {
		return usageError("--quantity %s: meter %s measures %s", ask.options.Kind, m.Name, kind)
	}
	job, err := driftOnRecord(book, m, ask)
	if err != nil {
		return err
	}
	job.run()
	if errors.Is(job.err, drift.ErrNothing) {
		return fmt.Errorf("meter %s: there is no check of it on record%s; \"calibrate FILE.csv --meter ID --save\" saves one", m.Name, job.rows.untilWhen(ask.options.Now))
	}
	if job.err != nil {
		return job.rows.place(job.err)
	}
	return finishDrift(c, ask, job.report())
}

// driftOfRecord tells the drift of all meters in use. What is wrong with one
// meter's checks does not keep the others from being told.
func driftOfRecord(c *cli.Context, book *logbook.Book, ask driftAsk) error {
	list, err := book.Meters(logbook.Current)
	if err != nil {
		return err
	}
	var jobs []driftJob
	for _, m := range list {
		if outOfUseOn(m, ask.options.Now) || ask.quantityGiven && string(ask.options.Kind) != m.Quantity {
			continue
		}
		job, err := driftOnRecord(book, m, ask)
		if err != nil {
			return err
		}
		jobs = append(jobs, job)
	}
	runDrifts(jobs)
	var meters []*reports.Drift
	var unchecked []reports.DriftWithout
	for i := range jobs {
		job := &jobs[i]
		var wrong *drift.EntryError
		switch {
		case job.err == nil:
			meters = append(meters, job.report())
		case errors.Is(job.err, drift.ErrNothing):
			unchecked = append(unchecked, reports.DriftWithout{Meter: job.rows.meter, Why: "there is no check on record" + job.rows.untilWhen(ask.options.Now)})
		case errors.As(job.err, &wrong):
			unchecked = append(unchecked, reports.DriftWithout{Meter: job.rows.meter, Why: wrong.Error()})
		default:
			return job.rows.place(job.err)
		}
	}
	if len(meters)+len(unchecked) == 0 {
		return fmt.Errorf("drift --all: there is no such meter in use on record; \"meter add\" adds one")
	}
	return finishDrifts(c, ask, meters, unchecked)
}

// driftOnRecord takes what the record knows of a meter and its checks.
func driftOnRecord(book *logbook.Book, m logbook.Meter, ask driftAsk) (driftJob, error) {
	o := ask.options
	o.Kind = check.Kind(m.Quantity)
	if o.Tolerance == nil && m.Tolerance != nil {
		o.Tolerance = &quantity.Tolerance{Value: *m.Tolerance, Relative: m.ToleranceRelative}
	}
	if !ask.resolutionGiven && m.Resolution != nil {
		o.Resolution = *m.Resolution
	}
	rows, err := driftRecord(book, m, ask)
	return driftJob{rows: rows, options: o, unit: m.Unit}, err
}

// driftRecord takes the checks and events of a meter on record, in order.
func driftRecord(book *logbook.Book, m logbook.Meter, ask driftAsk) (driftRows, error) {
	rows := driftRows{meter: m.Name}
	calibrations, err := book.Calibrations(m.Name, logbook.Current)
	if err != nil {
		return rows, err
	}
	events, err := book.Events(m.Name, logbook.Current)
	if err != nil {
		return rows, err
	}
	for _, e := range events {
		if event := drift.Event(e.Event); slices.Contains(drift.Events(), event) { // a battery or a note breaks nothing
			rows.entries = append(rows.entries, drift.Entry{Name: "the event of " + e.Time.Format(time.DateOnly), Time: happened(e, calibrations), Event: event})
		}
	}
	all := len(calibrations)
	calibrations = slices.DeleteFunc(calibrations, func(c logbook.Calibration) bool { return c.Quantity != m.Quantity })
	zeros, unstated := 0, []string(nil)
	for _, c := range calibrations {
		if at, ok := unwritten(c, rows.entries, calibrations); ok {
			rows.entries = append(rows.entries, drift.Entry{Name: "the adjustment before " + c.ID, Time: at, Event: drift.Adjusted})
		}
		for i, r := range c.Readings {
			if m.Quantity == string(check.EC) && r.Ref == 0 {
				zeros++ // an error is no fraction of nothing
				continue
			}
			rows.entries = append(rows.entries, recordEntry(c, i, r, ask))
			for _, p := range r.RefParts {
				if !p.Stated && !slices.Contains(unstated, p.Source.Label) {
					unstated = append(unstated, p.Source.Label)
				}
			}
		}
	}
	rows.warnAbout(all-len(calibrations), "calibration", "of another quantity than "+m.Quantity)
	rows.warnAbout(zeros, "reading", "of a reference of 0, of which an error is no fraction")
	if len(unstated) > 0 {
		rows.warnings = append(rows.warnings, "nobody stated how well these are known for the references on record, so the scatter of the checks has to tell: "+strings.Join(unstated, ", "))
	}
	rows.until(ask.options.Now, !ask.laterTold)
	slices.SortStableFunc(rows.entries, func(a, b drift.Entry) int {
		return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(turn(a), turn(b)))
	})
	return rows, nil
}

// until leaves out what the record holds of later times, so that --now shows
// how things looked then, and says so where it is asked to.
func (r *driftRows) until(now time.Time, told bool) {
	n := len(r.entries)
	latest := latestOf(now)
	r.entries = slices.DeleteFunc(r.entries, func(e drift.Entry) bool { return e.Time.After(latest) })
	r.later = n - len(r.entries)
	if told {
		r.warnAbout(r.later, "row", "later than "+now.Format(time.DateOnly))
	}
}

// untilWhen says, where the record has rows of later times alone, that it does.
func (r *driftRows) untilWhen(now time.Time) string {
	if r.later == 0 {
		return ""
	}
	return " until " + now.Format(time.DateOnly) + ", only later"
}

// warnAbout says how many things of the record were left out.
func (r *driftRows) warnAbout(n int, thing, which string) {
	if n > 1 {
		thing += "s"
	}
	if n > 0 {
		r.warnings = append(r.warnings, fmt.Sprintf("left out of the record: %d %s %s", n, thing, which))
	}
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
