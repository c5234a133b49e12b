package logbook

import (
	"database/sql"
	"database/sql/driver"
	"encoding/json"
	"fmt"
	"time"
)

// column is one column of a table and the place of its value: a pointer to a
// plain Go value, or one of the cells below. Rows declare their columns once,
// for writing and for reading.
type column struct {
	name string
	cell any
}

// arguments are the values to be written.
func arguments(columns []column) []any {
	out := make([]any, len(columns))
	for i, c := range columns {
		out[i] = c.cell
	}
	return out
}

// names joins column names for a statement.
func columnNames(columns []column) []string {
	out := make([]string, len(columns))
	for i, c := range columns {
		out[i] = c.name
	}
	return out
}

// cell is written as a driver.Valuer and read as a sql.Scanner.
type cell interface {
	driver.Valuer
	sql.Scanner
}

var _ = []cell{optionalText{}, moment{}, optionalMoment{}, amountCell{}, partsCell{}, rawJSON{}}

// optionalText is a text that is NULL where it is empty.
type optionalText struct{ text *string }

// Value gives NULL for an empty text.
func (c optionalText) Value() (driver.Value, error) {
	if *c.text == "" {
		return nil, nil
	}
	return *c.text, nil
}

// Scan reads NULL as an empty text.
func (c optionalText) Scan(v any) error {
	switch v := v.(type) {
	case nil:
		*c.text = ""
	case string:
		*c.text = v
	default:
		return fmt.Errorf("found %T; want text", v)
	}
	return nil
}

// timeLayout is how times stand in the file: in UTC, of one width, so that
// they sort as text.
const timeLayout = "2006-01-02T15:04:05.000000Z"

// moment is a time.
type moment struct{ time *time.Time }

// Value writes the time in UTC.
func (c moment) Value() (driver.Value, error) { return c.time.UTC().Format(timeLayout), nil }

// Scan reads what Value wrote.
func (c moment) Scan(v any) error {
	text, ok := v.(string)
	if !ok {
		return fmt.Errorf("found %T; want a time such as %s", v, timeLayout)
	}
	t, err := time.Parse(timeLayout, text)
	if err != nil {
		return fmt.Errorf("found %q; want a time such as %s", text, timeLayout)
	}
	*c.time = t
	return nil
}

// optionalMoment is a time that is NULL where it is the zero time.
type optionalMoment struct{ time *time.Time }

// Value gives NULL for the zero time.
func (c optionalMoment) Value() (driver.Value, error) {
	if c.time.IsZero() {
		return nil, nil
	}
	return moment(c).Value()
}

// Scan reads NULL as the zero time.
func (c optionalMoment) Scan(v any) error {
	if v == nil {
		*c.time = time.Time{}
		return nil
	}
	return moment(c).Scan(v)
}

// amountCell is an amount kept as JSON, NULL where the pointer is nil.
type amountCell struct{ amount **Amount }

// Value writes the JSON.
func (c amountCell) Value() (driver.Value, error) {
	if *c.amount == nil {
		return nil, nil
	}
	text, err := marshal(*c.amount)
	return string(text), err
}

// Scan reads the JSON.
func (c amountCell) Scan(v any) error {
	*c.amount = nil
	if v == nil {
		return nil
	}
	var a Amount
	if err := scanJSON(v, &a); err != nil {
		return err
	}
	*c.amount = &a
	return nil
}

// partsCell is a list of sources kept as JSON, NULL where it is empty.
type partsCell struct{ parts *Parts }

// Value writes the JSON.
func (c partsCell) Value() (driver.Value, error) {
	if len(*c.parts) == 0 {
		return nil, nil
	}
	text, err := marshal(*c.parts)
	return string(text), err
}

// Scan reads the JSON.
func (c partsCell) Scan(v any) error {
	*c.parts = nil
	if v == nil {
		return nil
	}
	return scanJSON(v, c.parts)
}

func scanJSON(v, into any) error {
	text, ok := v.(string)
	if !ok {
		return fmt.Errorf("found %T; want JSON", v)
	}
	return unmarshal([]byte(text), into)
}

// rawJSON is JSON that is kept as it is, NULL where there is none.
type rawJSON struct{ text *json.RawMessage }

// Value writes the text.
func (c rawJSON) Value() (driver.Value, error) {
	if len(*c.text) == 0 {
		return nil, nil
	}
	return string(*c.text), nil
}

// Scan reads the text.
func (c rawJSON) Scan(v any) error {
	switch v := v.(type) {
	case nil:
		*c.text = nil
	case string:
		*c.text = json.RawMessage(v)
	default:
		return fmt.Errorf("found %T; want JSON", v)
	}
	return nil
}
