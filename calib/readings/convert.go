package readings

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/spelling"
)

// convert checks and converts every cell, row by row, so that the first fault
// in the file is the one reported.
func (t *Table) convert() error {
	if err := t.detectDecimalComma(); err != nil {
		return err
	}
	for row := range t.lines {
		for _, column := range t.spec.Columns {
			c := t.columns[column.Name]
			if c == nil {
				continue
			}
			if err := t.convertCell(row, c); err != nil {
				return err
			}
		}
	}
	return nil
}

func (t *Table) convertCell(row int, c *cells) error {
	name, raw := c.column.Name, c.raw[row]
	if raw == "" && c.column.Filled {
		return t.Fault(row, name, "a value in every row", ErrBlank)
	}
	switch c.column.Type {
	case Number:
		v := 0.0
		if raw != "" {
			var err error
			if v, err = t.number(row, c, raw); err != nil {
				return err
			}
		}
		c.numbers = append(c.numbers, v)
	case Time:
		moment, remark, err := parseTime(raw, t.spec.zone())
		if raw != "" && err != nil {
			return t.Fault(row, name, err.Error(), ErrNotATime)
		}
		if remark != "" {
			t.Notes = append(t.Notes, fmt.Sprintf("%s, row %d, column %s: %s", t.Name, t.lines[row], name, remark))
		}
		c.times = append(c.times, moment)
	case Text:
		if raw != "" && c.column.Words != nil {
			word, err := t.word(row, c, raw)
			if err != nil {
				return err
			}
			c.raw[row] = word
		}
	}
	return nil
}

// number reads a cell as a number within the column's bounds.
func (t *Table) number(row int, c *cells, raw string) (float64, error) {
	text := raw
	if t.DecimalComma {
		text = strings.Replace(raw, ",", ".", 1)
	}
	v, err := quantity.ParseNumber(text)
	if err != nil {
		want := "a number"
		if !c.column.Filled {
			want = "a number, or an empty cell where it is not known"
		}
		if q, err := quantity.Parse(text); err == nil {
			want = "the number alone, without its unit " + strings.TrimSpace(strings.TrimLeft(q.Text, "+-0123456789.eE"))
		}
		if other := inUnitOf(c.column.Name, text); other != "" {
			want = other
		}
		if t.Separator == ',' && strings.Contains(raw, ",") {
			want = "a number with a decimal point (a decimal comma needs a semicolon or a tab between the fields)"
		}
		return 0, t.Fault(row, c.column.Name, want, ErrNotANumber)
	}
	if b := c.column.Bounds; b != nil && !b.Contains(v) {
		return 0, t.Fault(row, c.column.Name, "a number "+b.String(), ErrOutOfRange)
	}
	return v, nil
}

// inUnitOf says what a cell in another unit than that at the end of its column's name
// is in the right one, such as 63F in temp_C; "" for anything else.
func inUnitOf(column, text string) string {
	value, difference, unit, ok := quantity.InBase(text)
	if !ok || !strings.HasSuffix(column, "_"+unit) {
		return ""
	}
	if strings.HasPrefix(column, "u_") {
		value = difference
	}
	return fmt.Sprintf("the number in %s: %s is %.4g", unit, text, value)
}

// word reads a cell as one of the column's words.
func (t *Table) word(row int, c *cells, raw string) (string, error) {
	for _, word := range c.column.Words {
		if strings.EqualFold(raw, word) {
			return word, nil
		}
	}
	want := strings.Join(c.column.Words, ", ")
	if near, ok := spelling.Nearest(raw, c.column.Words); ok {
		want = near
	}
	return "", t.Fault(row, c.column.Name, want, ErrUnknownWord)
}

// detectDecimalComma looks through all numbers of a file whose separator is no
// comma. A number with one comma and no point has a decimal comma, and then no
// number of the file may have a point: "1.413" beside "0,5" could be either.
func (t *Table) detectDecimalComma() error {
	if t.Separator == ',' {
		return nil
	}
	commaRow, pointRow := -1, -1
	var comma, point *cells
	for row := range t.lines {
		for _, column := range t.spec.Columns {
			c := t.columns[column.Name]
			if c == nil || column.Type != Number {
				continue
			}
			commas, points := strings.Count(c.raw[row], ","), strings.Count(c.raw[row], ".")
			if commas == 1 && points == 0 && commaRow < 0 {
				commaRow, comma = row, c
			}
			if points == 1 && commas == 0 && pointRow < 0 {
				pointRow, point = row, c
			}
		}
	}
	if commaRow < 0 {
		return nil
	}
	if pointRow >= 0 {
		e := t.Fault(commaRow, comma.column.Name, "", ErrNotANumber)
		other := t.Fault(pointRow, point.column.Name, "", nil)
		e.Found += fmt.Sprintf(" with a comma, and %s with a point in row %d, column %s", other.Found, other.Row, other.Column)
		e.Want = "one decimal mark in the whole file"
		return e
	}
	t.DecimalComma = true
	example := comma.raw[commaRow]
	t.Notes = append(t.Notes, fmt.Sprintf("%s: commas in numbers are decimal commas (%s is %s)",
		t.Name, quoted(example), strings.Replace(example, ",", ".", 1)))
	return nil
}
