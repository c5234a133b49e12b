package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/urfave/cli/v2"
)

// calibrateSpec is what a table of readings of references may hold. Whether a
// row may go without ref is settled row by row.
func calibrateSpec() readings.Spec {
	return readings.Spec{Columns: append([]readings.Column{
		{Name: "ref", Type: readings.Number},
		{Name: "reading", Type: readings.Number, Required: true, Filled: true},
		{Name: "u_ref", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "u_reading", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "ref_source"},
		{Name: "u_ref_shared", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "buffer"},
		{Name: "meter"},
		{Name: "time", Type: readings.Time},
		{Name: "mv", Type: readings.Number},
		{Name: "state", Words: []string{asFound, asLeft}},
	}, bottleColumns()...), Unread: unreadRows()}
}

// needsRecord tells that a row names a bottle and nothing else to be its
// reference.
func (b *bench) needsRecord() bool {
	if b.table == nil {
		return false
	}
	empty := func(row int, column string) bool { return b.table.Typed(row, column) == "" }
	for _, i := range b.index {
		if !empty(i, "bottle") && empty(i, "ref") && empty(i, "buffer") {
			return true
		}
	}
	return false
}

// takeFile makes rows of the rows that were chosen.
func (b *bench) takeFile(c *cli.Context, m *meterOnRecord, kind check.Kind) error {
	temp, err := figureOf(c, "temp")
	if err != nil {
		return err
	}
	if b.bottles, err = m.bottles(c, b, temp); err != nil {
		return err
	}
	for _, i := range b.index {
		row, err := calibrateRow(b.table, i, kind, b.bottles, temp)
		if err != nil {
			return err
		}
		b.rows = append(b.rows, row)
	}
	tieToRecord(b.rows)
	return b.allStated(c)
}

// allStated wants the uncertainty of all bottles of the record to be known, or
// of none: half a column has no meaning.
func (b *bench) allStated(c *cli.Context) error {
	unknown, known := -1, false
	for k, i := range b.index {
		if _, ok := b.bottles[i]; ok && b.rows[k].URef == nil && unknown < 0 {
			unknown = i
		}
		known = known || b.rows[k].URef != nil
	}
	if unknown < 0 || !known || isGiven(c, "u-ref") {
		return nil
	}
	e := b.table.Fault(unknown, "bottle", "one whose uncertainty is stated, as that of the other references is (bottle add ID … --u-strength 1% --correct), or --u-ref for those that state none", check.ErrMixed)
	e.Found += ", of which nobody stated how strong it is within what"
	return e
}

// choose picks the rows of one meter, in one state where one is asked for, and
// settles which meter it is.
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
	for _, i := range b.index {
		cell := cellReader{table: t, row: i}
		found := cell.text("meter")
		switch {
		case found == "":
		case b.about.Meter == "":
			b.about.Meter = found
		case !strings.EqualFold(found, b.about.Meter):
			return t.Fault(i, "meter", fmt.Sprintf("one meter, %q as in the rows before, or --meter to choose its rows", b.about.Meter), errSeveral)
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

// calibrateRow takes one row of the table. temp stands in for an empty temp_C.
func calibrateRow(t *readings.Table, i int, kind check.Kind, bottles map[int]bottleReference, temp *float64) (check.Row, error) {
	cell := cellReader{table: t, row: i}
	row := check.Row{
		Name: fmt.Sprintf("row %d", t.Line(i)),
		URef: cell.number("u_ref"), UReading: cell.number("u_reading"),
		RefSource: cell.text("ref_source"), URefShared: cell.number("u_ref_shared"),
		Bottle: cell.text("bottle"), TempC: cell.number("temp_C"), MV: cell.number("mv"),
	}
	if row.TempC == nil {
		row.TempC = temp
	}
	if v := cell.number("reading"); v != nil {
		row.Reading, row.ReadingText = *v, t.Typed(i, "reading")
	}
	ref, buffer := cell.number("ref"), cell.text("buffer")
	if cell.err != nil {
		return row, cell.err
	}
	recorded, onRecord := bottles[i]
	switch {
	case ref != nil:
		row.Ref, row.RefText = *ref, t.Typed(i, "ref")
	case onRecord:
		recorded.into(&row, t, i)
	case kind == check.PH && buffer != "":
		if err := row.SetBuffer(buffer); err != nil {
			return row, bufferFault(t, i, err)
		}
	default:
		return row, missingRef(t, i, kind)
	}
	return row, nil
}

// missingRef is about a row that nothing can be held against.
func missingRef(t *readings.Table, i int, kind check.Kind) error {
	want := "what a perfect meter with this display shows in it, or a bottle on record in the column bottle"
	if kind == check.PH {
		want = "the buffer's pH, its name in the column buffer, or a bottle on record in the column bottle"
	}
	e := t.Fault(i, "ref", want, readings.ErrBlank)
	if !t.Has("ref") {
		e.Found = "no such column"
	}
	return e
}

// into writes a reference from the record into a row.
func (r bottleReference) into(row *check.Row, t *readings.Table, i int) {
	row.Ref, row.Bottle, row.TempC = r.Ref, r.Bottle.Name, &r.TempC
	if step, ok := t.LastDigit(i, "reading"); ok { // one place more than the reading has
		row.RefText = strconv.FormatFloat(r.Ref, 'f', max(0, 1-int(math.Round(math.Log10(step)))), 64)
	}
	if r.URef != nil {
		row.URef, row.URefShared, row.RefSource, row.RefParts = r.URef, r.URefShared, r.RefSource, r.RefParts
		row.URefFound = r.Bottle.Buffer != ""
	}
}

// tieToRecord lets a reference that was typed share its error with bottles on
// record of the same source: "stock 1" in the column ref_source is the stock 1
// of "bottle add --source".
func tieToRecord(rows []check.Row) {
	labels := map[string]uncert.Source{}
	for _, row := range rows {
		for _, p := range row.RefParts {
			if strings.HasPrefix(p.Source.ID, shelf.SourceID) {
				labels[p.Source.Label] = p.Source
			}
		}
	}
	for i := range rows {
		row := &rows[i]
		source, known := labels[row.RefSource]
		if !known || len(row.RefParts) > 0 || row.URef == nil || row.URefShared == nil {
			continue
		}
		own := row.Bottle
		if own == "" {
			own = row.Name
		}
		row.RefParts = []uncert.Contribution{
			{Source: uncert.Source{ID: "typed:" + own, Label: "reference as typed"}, Size: *row.URef, Stated: true},
			{Source: source, Size: *row.URefShared, Stated: true},
		}
	}
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
