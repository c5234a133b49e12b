package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/urfave/cli/v2"
)

// calibrateSpec is what a table of readings of references may hold. A pH
// reference may be named as a buffer instead of given as a number.
func calibrateSpec(kind check.Kind) readings.Spec {
	byName := kind == check.PH
	return readings.Spec{Columns: []readings.Column{
		{Name: "ref", Type: readings.Number, Required: !byName, Filled: !byName},
		{Name: "reading", Type: readings.Number, Required: true, Filled: true},
		{Name: "u_ref", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "u_reading", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "ref_source"},
		{Name: "u_ref_shared", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "temp_C", Type: readings.Number},
		{Name: "bottle"},
		{Name: "buffer"},
		{Name: "meter"},
		{Name: "time", Type: readings.Time},
		{Name: "mv", Type: readings.Number},
		{Name: "state", Words: []string{"as-found", "as-left"}},
	}}
}

// takeFile makes rows of the file's rows that belong to the meter and state.
func (b *bench) takeFile(c *cli.Context, path string, kind check.Kind) error {
	table, err := readTable(c, path, calibrateSpec(kind))
	if err != nil {
		return err
	}
	b.table = table
	if err := b.choose(); err != nil {
		return err
	}
	for _, i := range b.index {
		row, err := calibrateRow(table, i, kind)
		if err != nil {
			return err
		}
		b.rows = append(b.rows, row)
		if moment, ok, err := table.Time(i, "time"); err != nil {
			return err
		} else if ok && !c.IsSet("time") && moment.After(b.about.Time) {
			b.about.Time = moment
		}
	}
	return nil
}

// choose picks the rows of one meter in one state, and settles which they are.
func (b *bench) choose() error {
	t := b.table
	for i := range t.Len() {
		cell := cellReader{table: t, row: i}
		meter, state := cell.text("meter"), cell.text("state")
		if cell.err != nil {
			return cell.err
		}
		if wanted := b.about.Meter; wanted != "" && !strings.EqualFold(meter, wanted) {
			if meter != "" {
				continue
			}
			if named, err := b.otherMeter(); err != nil {
				return err
			} else if named != "" {
				return t.Fault(i, "meter", fmt.Sprintf("the meter's name in every row, since others are named (%s)", named), readings.ErrBlank)
			}
		}
		if wanted := b.about.State; wanted != "" && state != "" && state != wanted {
			continue
		}
		b.index = append(b.index, i)
	}
	if len(b.index) == 0 {
		return fmt.Errorf("%s: found no row of meter %q%s; want the name of a meter in the file, without --meter for all rows",
			t.Name, b.about.Meter, inState(b.about.State))
	}
	for _, column := range []struct {
		name, flag string
		to         *string
	}{{"meter", "--meter", &b.about.Meter}, {"state", "--state", &b.about.State}} {
		for _, i := range b.index {
			cell := cellReader{table: t, row: i}
			found := cell.text(column.name)
			switch {
			case found == "":
			case *column.to == "":
				*column.to = found
			case !strings.EqualFold(found, *column.to):
				return t.Fault(i, column.name, fmt.Sprintf("one %s, %q as in the rows before, or %s to choose its rows", column.name, *column.to, column.flag), errSeveral)
			}
		}
	}
	return nil
}

// otherMeter is a meter of the file that is not the one wanted; "" for none.
func (b *bench) otherMeter() (string, error) {
	for i := range b.table.Len() {
		cell := cellReader{table: b.table, row: i}
		meter := cell.text("meter")
		if cell.err != nil || (meter != "" && !strings.EqualFold(meter, b.about.Meter)) {
			return meter, cell.err
		}
	}
	return "", nil
}

var errSeveral = errors.New("several in one file")

func inState(state string) string {
	if state == "" {
		return ""
	}
	return " in state " + state
}

// calibrateRow takes one row of the table.
func calibrateRow(t *readings.Table, i int, kind check.Kind) (check.Row, error) {
	cell := cellReader{table: t, row: i}
	row := check.Row{
		Name: fmt.Sprintf("row %d", t.Line(i)),
		URef: cell.number("u_ref"), UReading: cell.number("u_reading"),
		RefSource: cell.text("ref_source"), URefShared: cell.number("u_ref_shared"),
		Bottle: cell.text("bottle"), TempC: cell.number("temp_C"), MV: cell.number("mv"),
	}
	if v := cell.number("reading"); v != nil {
		row.Reading, row.ReadingText = *v, t.Typed(i, "reading")
	}
	ref, buffer := cell.number("ref"), cell.text("buffer")
	if cell.err != nil {
		return row, cell.err
	}
	switch {
	case ref != nil:
		row.Ref, row.RefText = *ref, t.Typed(i, "ref")
	case kind == check.PH && buffer != "":
		if err := row.SetBuffer(buffer); err != nil {
			return row, bufferFault(t, i, err)
		}
	case kind == check.PH:
		return row, t.Fault(i, "ref", "the buffer's pH, or its name in the column buffer", readings.ErrBlank)
	}
	return row, nil
}

// bufferFault points at the cell that a buffer's reference could not be had for.
func bufferFault(t *readings.Table, i int, err error) error {
	var at *check.RowError
	if !errors.As(err, &at) {
		return t.Fault(i, "buffer", err.Error(), err)
	}
	e := t.Fault(i, string(at.Column), at.Want, at.Cause)
	e.Found = at.Found
	return e
}
