package readings

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/spelling"
)

// Table is a file that has been read and checked: rows in the order of the
// file, and typed cells by the name of their column. Row indices count from 0;
// [Table.Line] gives the number people see.
type Table struct {
	Name         string   // the name given to Read
	Notes        []string // how the file was read where that may surprise: ignored columns, a decimal comma
	Separator    rune     // ',', ';' or '\t'
	DecimalComma bool     // numbers were written with a decimal comma

	spec    Spec
	lines   []int
	columns map[string]*cells // those declared that the file has
}

// cells is one declared column that the file has.
type cells struct {
	column  Column
	raw     []string // as in the file, without the space around
	numbers []float64
	times   []time.Time
}

// Read reads and checks a CSV text. name is what errors and notes call it:
// its file name, or "standard input". Every error about the text is an
// [*Error]; an error of r itself is passed on, with the name before it.
func Read(r io.Reader, name string, spec Spec) (*Table, error) {
	data, err := load(r, name)
	if err != nil {
		return nil, err
	}
	t := &Table{Name: name, Separator: detectSeparator(data, spec), spec: spec, columns: map[string]*cells{}}
	header, rows, err := records(data, t.Separator, name)
	if err != nil {
		return nil, err
	}
	if err := t.takeHeader(header, rows); err != nil {
		return nil, err
	}
	for _, row := range rows {
		t.lines = append(t.lines, row.line)
	}
	if err := t.leaveOutUnread(); err != nil {
		return nil, err
	}
	if err := t.convert(); err != nil {
		return nil, err
	}
	return t, nil
}

// takeHeader finds the declared columns and picks their cells.
func (t *Table) takeHeader(header record, rows []record) error {
	seen := map[string]string{}
	var ignored []string
	for i, field := range header.fields {
		if field == "" {
			if err := t.checkNameless(i, rows); err != nil {
				return err
			}
			continue
		}
		column, declared := t.spec.find(field)
		key := field
		if declared {
			key = column.Name
		}
		if before, twice := seen[key]; twice {
			return &Error{File: t.Name, Row: header.line, Column: key,
				Found: fmt.Sprintf("it twice in the header, as %s and %s", quoted(before), quoted(field)),
				Want:  "each column once", Err: ErrDuplicateColumn}
		}
		seen[key] = field
		if !declared {
			ignored = append(ignored, field)
			continue
		}
		c := &cells{column: column}
		for _, row := range rows {
			c.raw = append(c.raw, strings.TrimSpace(row.fields[i]))
		}
		t.columns[column.Name] = c
	}
	for _, field := range ignored {
		t.noteIgnored(field)
	}
	return t.checkRequired(header)
}

// checkNameless allows a column without a name only while it is empty, as
// spreadsheets write them behind the last one.
func (t *Table) checkNameless(i int, rows []record) error {
	for _, row := range rows {
		if cell := strings.TrimSpace(row.fields[i]); cell != "" {
			return &Error{File: t.Name, Row: row.line, Err: ErrMissingColumn,
				Found: fmt.Sprintf("%s in field %d, whose column has no name", quoted(cell), i+1),
				Want:  "a name in the header for every column in use"}
		}
	}
	return nil
}

// noteIgnored notes a column that nobody asked for, with the nearest name
// that was not found, since a misspelt optional column is lost otherwise.
func (t *Table) noteIgnored(field string) {
	var absent []string
	for _, c := range t.spec.Columns {
		if t.columns[c.Name] == nil {
			absent = append(absent, c.Name)
		}
	}
	note := fmt.Sprintf("%s: the column %s is ignored", t.Name, quoted(field))
	if near, ok := spelling.Nearest(field, absent); ok {
		note += fmt.Sprintf("; the nearest one in use is %s", near)
	}
	t.Notes = append(t.Notes, note)
}

func (t *Table) checkRequired(header record) error {
	for _, c := range t.spec.Columns {
		if !c.Required || t.columns[c.Name] != nil {
			continue
		}
		e := &Error{File: t.Name, Row: header.line, Column: c.Name, Err: ErrMissingColumn,
			Found: fmt.Sprintf("no such column among %s", quoted(strings.Join(header.fields, ", "))),
			Want:  fmt.Sprintf("a header with a column %s", c.Name)}
		if len(header.fields) == 1 {
			e.Want += ", and a comma, a semicolon or a tab between columns"
		}
		return e
	}
	return nil
}

// Len is the number of rows below the header.
func (t *Table) Len() int { return len(t.lines) }

// Line is the line number in the file of a row, counted from 0.
func (t *Table) Line(row int) int { return t.lines[row] }

// Has tells whether the file has the column.
func (t *Table) Has(name string) bool { return t.columns[name] != nil }

// Float is the number in a cell; ok is false where the cell is empty or the
// file has no such column: the number is unknown then, not zero. An error
// means that the Spec declares no such column of this type.
func (t *Table) Float(row int, name string) (v float64, ok bool, err error) {
	c, err := t.cell(name, Number)
	if c == nil || c.raw[row] == "" {
		return 0, false, err
	}
	return c.numbers[row], true, nil
}

// Text is the text in a cell, without the space around it, and in the spelling
// of Column.Words where the column has them; ok is false where it is empty.
func (t *Table) Text(row int, name string) (text string, ok bool, err error) {
	c, err := t.cell(name, Text)
	if c == nil || c.raw[row] == "" {
		return "", false, err
	}
	return unmarked(c.raw[row]), true, nil
}

// Typed is a cell as it stands in the file, a decimal comma as a point: for naming a number with the
// digits a person typed. "" where the cell is empty or the column missing.
func (t *Table) Typed(row int, name string) string {
	c := t.columns[name]
	if c == nil {
		return ""
	}
	if t.DecimalComma && c.column.Type == Number {
		return strings.Replace(c.raw[row], ",", ".", 1)
	}
	return c.raw[row]
}

// Time is the moment in a cell; ok is false where the cell is empty.
func (t *Table) Time(row int, name string) (moment time.Time, ok bool, err error) {
	c, err := t.cell(name, Time)
	if c == nil || c.raw[row] == "" {
		return time.Time{}, false, err
	}
	return c.times[row], true, nil
}

// cell finds a column and checks that it was declared with the type it is
// asked for, so that a name misspelt in a program is not an unknown value. A
// column that the file does not have is nil.
func (t *Table) cell(name string, wanted Type) (*cells, error) {
	for _, declared := range t.spec.Columns {
		if declared.Name == name && declared.Type == wanted {
			return t.columns[name], nil
		}
	}
	return nil, fmt.Errorf("column %s: %w", name, ErrUndeclared)
}

// Fault makes an error that points at a cell, for what only the caller can
// judge: two references that are the same, say. want is what would be right.
func (t *Table) Fault(row int, name, want string, cause error) *Error {
	e := &Error{File: t.Name, Row: t.lines[row], Column: name, Found: "nothing", Want: want, Err: cause}
	if c := t.columns[name]; c != nil && c.raw[row] != "" {
		e.Found = quoted(c.raw[row])
	}
	return e
}
