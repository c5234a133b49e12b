package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// driftSpec is what a table of a meter's checks may hold.
func driftSpec() readings.Spec {
	return readings.Spec{Columns: []readings.Column{
		{Name: "time", Type: readings.Time, Required: true, Filled: true},
		{Name: "ref", Type: readings.Number, Required: true},
		{Name: "reading", Type: readings.Number, Required: true},
		{Name: "u_ref", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "ref_source"},
		{Name: "u_ref_shared", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "u_reading", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "temp_C", Type: readings.Number},
		{Name: "bottle"},
		{Name: "event", Words: words(drift.Events())},
		{Name: "state", Words: []string{string(drift.AsFound), string(drift.AsLeft)}},
		{Name: "meter"},
	}, Unread: unreadRows()}
}

// driftOfFile tells the drift of the meter, or with --all the meters, of a file.
func driftOfFile(c *cli.Context, path string, ask driftAsk) error {
	table, err := readTable(c, path, driftSpec())
	if err != nil {
		return err
	}
	list, err := driftMeters(table, ask, c.Bool("all"))
	if err != nil {
		return err
	}
	var meters []*reports.Drift
	var unchecked []reports.DriftWithout
	jobs := make([]driftJob, len(list))
	for i, rows := range list {
		jobs[i] = driftJob{rows: rows, options: ask.options}
	}
	runDrifts(jobs)
	for i := range jobs {
		rows, err := &jobs[i].rows, jobs[i].err
		switch {
		case err == nil:
			meters = append(meters, jobs[i].report())
		case c.Bool("all") && errors.Is(err, drift.ErrNothing):
			unchecked = append(unchecked, reports.DriftWithout{Meter: rows.meter, Why: "no row has a reading of a reference"})
		default:
			return rows.place(err)
		}
	}
	if c.Bool("all") {
		return finishDrifts(c, ask, meters, unchecked)
	}
	return finishDrift(c, ask, meters[0])
}

// driftRows is one meter's record, as it was read from a file or from the
// record.
type driftRows struct {
	meter    string
	entries  []drift.Entry
	table    *readings.Table // nil for the record
	warnings []string
	later    int // rows of the record that are later than now
}

// driftMeters takes the rows of one meter, or of all meters of the file each.
func driftMeters(table *readings.Table, ask driftAsk, all bool) ([]driftRows, error) {
	rows := []driftRows{{meter: ask.meter, table: table}}
	if all {
		rows = nil
	}
	for i := range table.Len() {
		entry, meter, err := driftEntry(table, i, ask)
		if err != nil {
			return nil, err
		}
		at := 0
		switch {
		case all:
			at = slices.IndexFunc(rows, func(r driftRows) bool { return strings.EqualFold(r.meter, meter) })
			if at < 0 {
				at = len(rows)
				rows = append(rows, driftRows{meter: meter, table: table})
			}
		case ask.meter != "" && meter != "" && !strings.EqualFold(meter, ask.meter):
			continue
		case meter == "" || strings.EqualFold(meter, rows[0].meter):
		case rows[0].meter == "":
			rows[0].meter = meter
		default:
			return nil, table.Fault(i, "meter", fmt.Sprintf("one meter, %q as in the rows before, or --meter to choose its rows, or --all", rows[0].meter), errSeveral)
		}
		rows[at].entries = append(rows[at].entries, entry)
	}
	if len(rows) == 0 || len(rows[0].entries) == 0 {
		return nil, fmt.Errorf("%s: found no row of meter %q; want the name of a meter in the file", table.Name, ask.meter)
	}
	return rows, nil
}

// driftEntry takes one row of the table.
func driftEntry(t *readings.Table, i int, ask driftAsk) (e drift.Entry, meter string, err error) {
	cell := cellReader{table: t, row: i}
	e = drift.Entry{
		Row: t.Line(i), Ref: cell.number("ref"), Reading: cell.number("reading"),
		URef: cell.number("u_ref"), RefSource: cell.text("ref_source"), URefShared: cell.number("u_ref_shared"),
		UReading: cell.number("u_reading"), Bottle: cell.text("bottle"),
		Event: drift.Event(cell.text("event")), State: drift.State(cell.text("state")),
	}
	meter = cell.text("meter")
	if cell.err != nil {
		return e, meter, cell.err
	}
	if e.Time, _, err = t.Time(i, "time"); err != nil {
		return e, meter, err
	}
	if e.URef == nil && e.Ref != nil {
		e.URef = standIn(ask.uRef, *e.Ref)
	}
	if e.UReading == nil && e.Reading != nil {
		e.UReading = standIn(ask.uReading, *e.Reading)
	}
	return e, meter, nil
}

// standIn is the uncertainty that stands in for one a row does not state.
func standIn(size *check.Size, of float64) *float64 {
	if size == nil {
		return nil
	}
	u := size.Value
	if size.Relative {
		u *= math.Abs(of)
	}
	return &u
}

// place names the file, or the meter, in an error about its rows.
func (r driftRows) place(err error) error {
	var at *drift.EntryError
	switch {
	case r.table == nil:
		return fmt.Errorf("meter %s: %w", r.meter, err)
	case errors.As(err, &at) && at.Row > 0:
		return fmt.Errorf("%s, %w", r.table.Name, err)
	}
	return fmt.Errorf("%s: %w", r.table.Name, err)
}
