package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
	"github.com/urfave/cli/v2"
)

// Bottles of the record in a table of readings: a row that names one in the
// column bottle needs no ref. What calibrate and compare share of it.

// bottleColumns are the columns of a table in which bottles of the record may
// stand in for references, beside those of every table of readings.
func bottleColumns() []readings.Column {
	return []readings.Column{
		{Name: "bottle"},
		{Name: "temp_C", Type: readings.Number},
		{Name: "u_temp_C", Type: readings.Number, Bounds: readings.NotNegative},
	}
}

// uTempFlag is for rows without a u_temp_C of their own.
func uTempFlag() *cli.GenericFlag {
	return uncertaintyFlag("u-temp", "standard `UNCERTAINTY` of temp_C beside bottles on record, where they state none", quantity.Temperature)
}

// bottleRow is a row of a table that names a bottle in its column bottle.
type bottleRow struct {
	row int // of the table, from 0
	// meter is that of the row; nil where it is not on record, and then
	// meterName is what the row calls it, "" for nothing.
	meter     *logbook.Meter
	meterName string
	// tempC stands in for an empty temp_C; nil for none.
	tempC *float64
	at    time.Time // of the reading; zero: now
}

// bottleReference is what the record says should stand in the row.
type bottleReference struct {
	Ref float64
	// URef and URefShared are nil where nobody stated how strong the bottle is
	// within what; RefParts are their sources.
	URef, URefShared *float64
	RefSource        string
	RefParts         []uncert.Contribution
	Bottle           logbook.Bottle // the version that held at the reading
	TempC            float64
}

// bottleReferences looks up the references of rows that have none. book is nil
// where there is no record. A row whose ref is typed keeps it; where its bottle
// is on record and says something else, a warning tells. The references are by
// row of the table.
func bottleReferences(c *cli.Context, book *logbook.Book, t *readings.Table, rows []bottleRow) (map[int]bottleReference, []string, error) {
	s := bottleSheet{table: t, book: book, versions: map[string][]logbook.Bottle{}}
	var err error
	if s.uTemp, err = figureOf(c, "u-temp"); err != nil {
		return nil, nil, err
	}
	out := map[int]bottleReference{}
	var found []int // rows
	var names []string
	var values []uncert.Value
	for _, r := range rows {
		cell := cellReader{table: t, row: r.row}
		name, ref := cell.text("bottle"), cell.number("ref")
		if cell.err != nil {
			return nil, nil, cell.err
		}
		switch {
		case name == "":
			continue
		case ref != nil:
			if err := s.hold(r, name, *ref); err != nil {
				return nil, nil, err
			}
			continue
		}
		value, reference, err := s.lookUp(r, name)
		if err != nil {
			return nil, nil, err
		}
		out[r.row] = reference
		found, names, values = append(found, r.row), append(names, reference.Bottle.Name), append(values, value)
	}
	for i, part := range shelf.Split(names, values) {
		r := out[found[i]]
		if shelf.Stated(r.Bottle) {
			r.URef, r.URefShared, r.RefSource = &part.Own, &part.Shared, part.Source
			r.RefParts = values[i].Parts()
		}
		out[found[i]] = r
	}
	return out, s.closing(names, values, out, found), nil
}

// bottleSheet looks bottles up for a table.
type bottleSheet struct {
	table    *readings.Table
	book     *logbook.Book
	uTemp    *float64
	versions map[string][]logbook.Bottle // by name in small letters
	warnings []string
}

func (s *bottleSheet) warn(text string) {
	if !slices.Contains(s.warnings, text) {
		s.warnings = append(s.warnings, text)
	}
}

// lookUp finds what a row's bottle is worth on its meter.
func (s *bottleSheet) lookUp(r bottleRow, name string) (uncert.Value, bottleReference, error) {
	fail := func(err error) (uncert.Value, bottleReference, error) {
		return uncert.Value{}, bottleReference{}, err
	}
	const beside = "ref as well, or neither: the bottle on record brings its own uncertainty"
	for _, column := range []string{"u_ref", "u_ref_shared"} {
		if _, given, err := s.table.Float(r.row, column); err != nil {
			return fail(err)
		} else if given {
			return fail(s.table.Fault(r.row, column, beside, errNoReference))
		}
	}
	if s.book == nil {
		return fail(s.table.Fault(r.row, "ref", "the reference, or a bottle on record in the column bottle (there is no record yet; \"bottle add\" begins one)", readings.ErrBlank))
	}
	versions, err := s.bottle(name)
	if errors.Is(err, logbook.ErrNotFound) {
		want := fmt.Sprintf("a bottle on record (%v; \"bottle add\" puts it there), or its value in the column ref", err)
		return fail(s.table.Fault(r.row, "bottle", want, err))
	}
	if err != nil {
		return fail(err)
	}
	b := logbook.Holding(versions, r.at)
	meter := logbook.Meter{Quantity: "ph"}
	switch {
	case r.meter != nil:
		meter = *r.meter
	case shelf.Quantity(b) != "ph" && r.meterName == "":
		return fail(s.table.Fault(r.row, "bottle", "beside it a meter on record, in --meter or the column meter, whose display and compensation say what it should show; or the value in the column ref", errNoReference))
	case shelf.Quantity(b) != "ph":
		return fail(s.table.Fault(r.row, "bottle", fmt.Sprintf("the meter %q on record (\"meter add\" puts it there), whose display and compensation say what it should show; or the value in the column ref", r.meterName), errNoReference))
	}
	temp, err := s.temperature(r)
	if err != nil {
		return fail(err)
	}
	value, err := shelf.On(b, meter, temp)
	if err != nil {
		column := "bottle"
		var outside *solutions.RangeError
		if errors.As(err, &outside) {
			column = "temp_C"
		}
		return fail(fmt.Errorf("%s, row %d, column %s: %w", s.table.Name, s.table.Line(r.row), column, err))
	}
	at := r.at
	if at.IsZero() {
		at = now()
	}
	for _, text := range shelf.Doubts(b, versions, at) {
		s.warn(text)
	}
	return value, bottleReference{Ref: value.Nominal(), Bottle: b, TempC: temp.Nominal()}, nil
}

var errNoReference = errors.New("no reference")

// hold compares a reference that was typed with what the record says of its
// bottle, where it can tell.
func (s *bottleSheet) hold(r bottleRow, name string, typed float64) error {
	if s.book == nil || r.meter == nil {
		return nil
	}
	versions, err := s.bottle(name)
	if errors.Is(err, logbook.ErrNotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	temp, err := s.temperature(r)
	if err != nil {
		return nil // without it the record cannot say
	}
	value, err := shelf.On(logbook.Holding(versions, r.at), *r.meter, temp)
	if err != nil {
		return nil
	}
	u := value.U()
	for _, column := range []string{"u_ref", "u_ref_shared"} {
		if x, given, err := s.table.Float(r.row, column); err != nil {
			return err
		} else if given {
			u = math.Hypot(u, x)
		}
	}
	if off := math.Abs(typed - value.Nominal()); off > coverage*u+lastDigit(s.table, r.row) {
		s.warn(fmt.Sprintf("row %d: ref is typed, %s, and used; the record says %.5g of bottle %s on %s: they differ by more than their uncertainty",
			s.table.Line(r.row), s.table.Typed(r.row, "ref"), value.Nominal(), logbook.Holding(versions, r.at).Name, r.meter.Name))
	}
	return nil
}

// coverage is k of a 95 % interval.
const coverage = 2.0

// lastDigit is the step of the last digit with which a ref was typed.
func lastDigit(t *readings.Table, row int) float64 {
	step, _ := t.LastDigit(row, "ref")
	return step
}

const temperatureLabel = "temperature"

// temperature is that of a row, with its uncertainty: one thermometer is taken
// to have read all rows, so that its error is shared.
func (s *bottleSheet) temperature(r bottleRow) (uncert.Value, error) {
	cell := cellReader{table: s.table, row: r.row}
	temp, u := cell.number("temp_C"), cell.number("u_temp_C")
	if cell.err != nil {
		return uncert.Value{}, cell.err
	}
	if temp == nil {
		temp = r.tempC
	}
	if u == nil {
		u = s.uTemp
	}
	source := uncert.Source{ID: solutions.TemperatureID, Label: temperatureLabel}
	switch {
	case temp == nil:
		return uncert.Value{}, s.table.Fault(r.row, "temp_C", "the temperature of the bottle in C, on which its value depends, in the row or for all by --temp", readings.ErrBlank)
	case u == nil:
		return uncert.Unstated(*temp, source), nil
	}
	if err := solutions.UTempRange.Check("u_temp_C", *u); err != nil {
		return uncert.Value{}, fmt.Errorf("%s, row %d: %w", s.table.Name, s.table.Line(r.row), err)
	}
	return uncert.New(*temp, *u, source)
}

// bottle finds all versions of a bottle.
func (s *bottleSheet) bottle(name string) ([]logbook.Bottle, error) {
	key := strings.ToLower(name)
	if list, ok := s.versions[key]; ok {
		return list, nil
	}
	list, err := s.book.BottleVersions(name)
	if err == nil {
		s.versions[key] = list
	}
	return list, err
}

// closing says what nobody stated of the bottles that were used.
func (s *bottleSheet) closing(names []string, values []uncert.Value, refs map[int]bottleReference, rows []int) []string {
	var unknown, labels []string
	for i, v := range values {
		if !shelf.Stated(refs[rows[i]].Bottle) {
			if !slices.Contains(unknown, names[i]) {
				unknown = append(unknown, names[i])
			}
			continue
		}
		for _, source := range v.Unstated() {
			if !slices.Contains(labels, source.Label) {
				labels = append(labels, source.Label)
			}
		}
	}
	if len(unknown) > 0 {
		s.warn("how strong the bottle is within what is not on record, of bottle " + strings.Join(unknown, ", ") + ": its uncertainty is unknown, not zero")
	}
	if len(labels) > 0 {
		text := "left out of the uncertainty of the bottles, since nobody stated them: " + strings.Join(labels, ", ")
		if slices.Contains(labels, temperatureLabel) {
			text += " (the column u_temp_C or --u-temp states that of the temperature)"
		}
		s.warn(text)
	}
	return s.warnings
}
