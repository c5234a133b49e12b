package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/solutions"
	"github.com/urfave/cli/v2"
)

// compensationSpec is what a table of one bottle at several temperatures holds.
func compensationSpec() readings.Spec {
	return readings.Spec{Columns: []readings.Column{
		{Name: "temp_C", Type: readings.Number, Required: true, Filled: true},
		{Name: "reading", Type: readings.Number, Required: true, Filled: true},
		{Name: "u_reading", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "u_temp_C", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "meter"},
		{Name: "bottle"},
		{Name: "time", Type: readings.Time},
	}}
}

// compensationSheet is the rows of one meter in one bottle, with their places.
type compensationSheet struct {
	table *readings.Table
	rows  []reports.CompensationRow
	index []int // row of the table for each of rows
	unit  string
}

// readCompensationFile reads the file's rows of the meter and the bottle, and
// settles their names in q.
func readCompensationFile(c *cli.Context, path string, q *reports.CompensationQuestion) (compensationSheet, error) {
	s := compensationSheet{unit: q.Scale.Unit}
	table, err := readTable(c, path, compensationSpec())
	if err != nil {
		return s, err
	}
	s.table = table
	for i := range table.Len() {
		cell := cellReader{table: table, row: i}
		meter, bottle := cell.text("meter"), cell.text("bottle")
		row := reports.CompensationRow{Line: table.Line(i), Observation: tempcomp.Observation{
			UReading: cell.number("u_reading"), UTempC: cell.number("u_temp_C"),
		}}
		for column, to := range map[string]*float64{"temp_C": &row.TempC, "reading": &row.Reading} {
			if v := cell.number(column); v != nil {
				*to = *v
			}
		}
		if cell.err != nil {
			return s, cell.err
		}
		if (q.MeterName != "" && meter != "" && !strings.EqualFold(meter, q.MeterName)) ||
			(q.BottleName != "" && bottle != "" && !strings.EqualFold(bottle, q.BottleName)) {
			continue
		}
		if moment, ok, err := table.Time(i, "time"); err != nil {
			return s, err
		} else if ok {
			row.Time = moment
		}
		s.rows, s.index = append(s.rows, row), append(s.index, i)
	}
	if len(s.rows) == 0 {
		return s, noRow(table.Name, q.MeterName, q.BottleName)
	}
	if err := s.settle("meter", &q.MeterName); err != nil {
		return s, err
	}
	if err := s.settle("bottle", &q.BottleName); err != nil {
		return s, err
	}
	return s, s.wholeColumns(q)
}

// settle finds the one name in a column of the rows chosen.
func (s compensationSheet) settle(column string, to *string) error {
	for _, i := range s.index {
		cell := cellReader{table: s.table, row: i}
		found := cell.text(column)
		switch {
		case cell.err != nil:
			return cell.err
		case found == "":
		case *to == "":
			*to = found
		case !strings.EqualFold(found, *to):
			return s.table.Fault(i, column, fmt.Sprintf("one %s, %q as in the rows before, or --%s to choose its rows", column, *to, column), errSeveral)
		}
	}
	return nil
}

// wholeColumns refuses an uncertainty that some rows state and others do not.
func (s compensationSheet) wholeColumns(q *reports.CompensationQuestion) error {
	for _, column := range []struct {
		name, otherwise string
		stated          func(reports.CompensationRow) bool
		filled          bool // where a row leaves it out
	}{
		{"u_reading", ", or --u-reading for the others", func(r reports.CompensationRow) bool { return r.UReading != nil }, q.UReading != nil},
		{"u_temp_C", "", func(r reports.CompensationRow) bool { return r.UTempC != nil }, false},
	} {
		some, gap := false, -1
		for k, row := range s.rows {
			if column.stated(row) {
				some = true
			} else if gap < 0 {
				gap = k
			}
		}
		if some && gap >= 0 && !column.filled {
			return s.table.Fault(s.index[gap], column.name, "a number in every row or in none"+column.otherwise, readings.ErrBlank)
		}
	}
	return nil
}

// place points an error about a reading at its cell.
func (s compensationSheet) place(err error) error {
	var at *tempcomp.ReadingError
	if !errors.As(err, &at) {
		return fmt.Errorf("%s: %w", s.table.Name, err)
	}
	column, want := "reading", "a number above 0"
	if at.Of == tempcomp.OfTemperature {
		column, want = "temp_C", "a temperature of the liquid that its model covers"
	}
	var outside *solutions.RangeError
	switch {
	case errors.As(err, &outside):
		want = outside.Range.String()
		if outside.Hint != "" {
			want += "; " + outside.Hint
		}
	case errors.Is(err, tempcomp.ErrWrongUnit):
		want = fmt.Sprintf("readings in the unit of the display, %s (or give the unit with --display): this is a thousand times off what the bottle holds", s.unit)
	}
	return s.table.Fault(s.index[at.Index], column, want, at.Err)
}
