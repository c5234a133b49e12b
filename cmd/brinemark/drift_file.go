package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/readings"
)

// driftRows is one meter's record as it was read from a file.
type driftRows struct {
	meter   string
	entries []drift.Entry
	table   *readings.Table
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

// writeFile writes a file whole or not at all: into one beside it first, which
// then takes its place.
func writeFile(path string, write func(io.Writer) error) error {
	file, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if err != nil {
		return couldNotDo(fmt.Errorf("write %s: %w", path, err))
	}
	defer os.Remove(file.Name())
	err = write(file)
	if closed := file.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Chmod(file.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(file.Name(), path)
	}
	if err != nil {
		return couldNotDo(fmt.Errorf("write %s: %w", path, err))
	}
	return nil
}
