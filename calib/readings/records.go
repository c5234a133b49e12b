package readings

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// record is one row of fields and the line it begins on.
type record struct {
	fields []string
	line   int
}

// blank tells a row without a word in it.
func (r record) blank() bool {
	for _, f := range r.fields {
		if strings.TrimSpace(f) != "" {
			return false
		}
	}
	return true
}

// separators are tried in this order; the first wins a tie.
var separators = []rune{',', ';', '\t'}

// newReader reads RFC 4180 with rows of any length.
func newReader(data []byte, separator rune) *csv.Reader {
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma = separator
	r.FieldsPerRecord = -1
	return r
}

// next reads the next row that is not blank. The error is io.EOF at the end.
func next(r *csv.Reader) (record, error) {
	for {
		fields, err := r.Read()
		if err != nil {
			return record{}, err
		}
		line, _ := r.FieldPos(0)
		if row := (record{fields, line}); !row.blank() {
			return row, nil
		}
	}
}

// detectSeparator chooses the separator under which the header has most of the
// declared names, and then most fields.
func detectSeparator(data []byte, spec Spec) rune {
	best, bestKnown, bestFields := separators[0], -1, -1
	for _, separator := range separators {
		header, err := next(newReader(data, separator))
		if err != nil {
			continue
		}
		known := 0
		for _, field := range header.fields {
			if _, ok := spec.find(strings.TrimSpace(field)); ok {
				known++
			}
		}
		if known > bestKnown || known == bestKnown && len(header.fields) > bestFields {
			best, bestKnown, bestFields = separator, known, len(header.fields)
		}
	}
	return best
}

// records reads the header and the rows below it, all of one length.
func records(data []byte, separator rune, name string) (header record, rows []record, err error) {
	r := newReader(data, separator)
	header, err = next(r)
	if err == io.EOF {
		return record{}, nil, &Error{File: name, Found: "an empty file", Want: "a header row and rows of readings", Err: ErrEmpty}
	}
	if err != nil {
		return record{}, nil, quotingError(err, name)
	}
	for i, field := range header.fields {
		header.fields[i] = strings.TrimSpace(field)
	}
	for {
		row, err := next(r)
		if err == io.EOF {
			break
		}
		if err != nil {
			return record{}, nil, quotingError(err, name)
		}
		if len(row.fields) != len(header.fields) {
			return record{}, nil, raggedError(row, len(header.fields), separator, name)
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		return record{}, nil, &Error{File: name, Row: header.line, Found: "a header and no rows below it",
			Want: "at least one row of readings", Err: ErrEmpty}
	}
	return header, rows, nil
}

func raggedError(row record, want int, separator rune, name string) error {
	e := &Error{File: name, Row: row.line, Err: ErrRagged,
		Found: fmt.Sprintf("%d fields", len(row.fields)), Want: fmt.Sprintf("%d, as in the header", want)}
	if len(row.fields) == 1 {
		e.Found = "1 field"
	}
	if separator == ',' && len(row.fields) > want {
		e.Want += " (numbers with a decimal comma need a semicolon or a tab between the fields)"
	}
	return e
}

// quotingError words what the CSV reader says about quotes.
func quotingError(err error, name string) error {
	e := &Error{File: name, Found: err.Error(), Want: "fields quoted as RFC 4180 says", Err: ErrQuoting}
	var at *csv.ParseError
	if errors.As(err, &at) {
		e.Row = at.Line
		switch {
		case errors.Is(at.Err, csv.ErrBareQuote):
			e.Found, e.Want = `a " inside a field`, `the whole field in quotes, and "" for a quote in it`
		case errors.Is(at.Err, csv.ErrQuote):
			e.Row = at.StartLine
			e.Found, e.Want = `a quoted field that does not end where it should`, `a closing " followed by a separator or the end of the row`
		}
	}
	return e
}
