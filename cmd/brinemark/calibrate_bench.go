package main

import (
	"errors"
	"fmt"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// bench is what was read of one meter in one state, with the places of the rows
// in file or command line.
type bench struct {
	rows   []check.Row
	about  reports.CalibrateContext
	table  *readings.Table // nil for points
	index  []int           // row of the table for each of rows
	points []point
	// stateTold is false where nobody said whether the meter is as found.
	stateTold bool
	times     []time.Time // of the readings; the zero time where a row states none
	// bottles are the references that came from the record, by row of the table.
	bottles map[int]bottleReference
}

// place names the file, or the flag, in an error about a row.
func (b bench) place(err error) error {
	var at *check.RowError
	if !errors.As(err, &at) {
		if b.table != nil {
			return fmt.Errorf("%s: %w", b.table.Name, err)
		}
		return err
	}
	switch {
	case at.Row >= len(b.rows):
		return fmt.Errorf("--zero: found %s; want %s", at.Found, at.Want)
	case b.table == nil:
		return fmt.Errorf("--point %s, %s: found %s; want %s", b.points[at.Row].text, at.Column, at.Found, at.Want)
	}
	e := b.table.Fault(b.index[at.Row], string(at.Column), at.Want, at.Cause)
	e.Found = at.Found
	return e
}

// calibrateBenches reads the file, or takes the points: one bench, or two where
// the file has a meter as found and as left. Their rows are made by takeRows.
func calibrateBenches(c *cli.Context) ([]bench, error) {
	files, err := arguments(c, "[FILE.csv]")
	if err != nil {
		return nil, err
	}
	b := bench{about: reports.CalibrateContext{Meter: c.String("meter"), Unit: c.String("unit")}}
	if b.points, err = all[point](c, "point"); err != nil {
		return nil, err
	}
	switch {
	case files[0] != "" && len(b.points) > 0:
		return nil, usageError("calibrate takes readings from FILE.csv or from --point, not from both")
	case files[0] == "" && len(b.points) == 0:
		return nil, usageError("calibrate needs FILE.csv, or --point REF=READING")
	}
	if b.about.State, err = getWord(c, "state"); err != nil {
		return nil, err
	}
	b.stateTold = b.about.State != ""
	if b.about.Time, err = optionalTime(c, "time"); err != nil {
		return nil, err
	}
	if len(b.points) > 0 {
		if b.about.State == "" {
			b.about.State = asFound
		}
		b.times = make([]time.Time, len(b.points))
		return []bench{b}, nil
	}
	if b.table, err = readTable(c, files[0], calibrateSpec()); err != nil {
		return nil, err
	}
	if err := b.choose(); err != nil {
		return nil, err
	}
	list, err := b.byState()
	for i := range list {
		if err == nil {
			err = list[i].takeTimes()
		}
	}
	return list, err
}

// The states of a meter.
const asFound, asLeft = "as-found", "as-left"

// byState parts the rows of a file without --state: a meter that was adjusted
// stands there twice, as found and as left.
func (b bench) byState() ([]bench, error) {
	of := map[string][]int{}
	for _, i := range b.index {
		cell := cellReader{table: b.table, row: i}
		state := cell.text("state")
		if cell.err != nil {
			return nil, cell.err
		}
		of[state] = append(of[state], i)
	}
	if b.about.State != "" || len(of[asFound]) == 0 || len(of[asLeft]) == 0 {
		if b.about.State == "" && len(of[asLeft]) > 0 {
			b.about.State, b.stateTold = asLeft, true
		} else if b.about.State == "" {
			b.about.State, b.stateTold = asFound, len(of[asFound]) > 0
		}
		return []bench{b}, nil
	}
	if blank := of[""]; len(blank) > 0 {
		return nil, b.table.Fault(blank[0], "state", "as-found or as-left in every row, since the file has both, or --state to choose one", readings.ErrBlank)
	}
	found, left := b, b
	found.about.State, found.index = asFound, of[asFound]
	left.about.State, left.index = asLeft, of[asLeft]
	return []bench{found, left}, nil
}

// takeTimes reads the times of the rows; the last is that of the calibration
// where --time is not given.
func (b *bench) takeTimes() error {
	typed := !b.about.Time.IsZero()
	for _, i := range b.index {
		moment, _, err := b.table.Time(i, "time")
		if err != nil {
			return err
		}
		b.times = append(b.times, moment)
		if !typed && moment.After(b.about.Time) {
			b.about.Time = moment
		}
	}
	return nil
}

// takeRows makes the rows, with references from the record where the file has
// none.
func (b *bench) takeRows(c *cli.Context, m *meterOnRecord, kind check.Kind) error {
	take := func() error { return b.takePoints(c, kind) }
	if b.table != nil {
		take = func() error { return b.takeFile(c, m, kind) }
	}
	if err := take(); err != nil {
		return err
	}
	if len(b.bottles) == 0 && isGiven(c, "u-temp") {
		return usageError("--u-temp is about bottles on record, and no row takes its reference from one")
	}
	return nil
}
