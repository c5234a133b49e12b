package delimited

import (
	"bytes"
	"errors"
)

// The causes of an error in quoting.
var (
	// ErrBareQuote is a quote inside a field that does not begin with one.
	ErrBareQuote = errors.New(`a " inside a field that does not begin with one`)
	// ErrQuote is a closing quote that neither a separator nor the end of the
	// row follows.
	ErrQuote = errors.New(`a closing " with text behind it`)
	// ErrUnclosed is a quoted field that the text ends in.
	ErrUnclosed = errors.New(`a quoted field without a closing "`)
)

// Form is how a text separates its fields. The zero Form is of no use; see
// [Detect].
type Form struct {
	Separator byte
}

// Row finds the fields of the row that begins at text[at:] and appends them to
// fields[:0]. end is where the row's line end begins, next where the row after
// it begins. An empty line is a row without fields. At the end of the text next
// is len(text); the text must hold the whole row.
func (f Form) Row(text []byte, at int, fields []Field) (_ []Field, end, next int, err error) {
	fields = fields[:0]
	i, size := at, len(text)
	if i < size && text[i] == '\n' {
		return fields, i, i + 1, nil
	}
	if i+1 < size && text[i] == '\r' && text[i+1] == '\n' {
		return fields, i, i + 2, nil
	}
	if i+1 == size && text[i] == '\r' {
		return fields, i, size, nil
	}
	fields, i, end, next = f.plain(text, i, fields)
	if next > 0 {
		return fields, end, next, nil
	}
	separator := f.Separator
	for {
		start := i
		if i < size && text[i] == '"' {
			if i, err = quotedEnd(text, i); err != nil {
				return fields, start, size, err
			}
			fields = append(fields, Field{start, i, true})
			switch {
			case i < size && text[i] == separator:
				i++
				continue
			case lineEnd(text, i) < 0:
				return fields, i, size, ErrQuote
			}
			return fields, i, lineEnd(text, i), nil
		}
		for i < size && text[i] != separator && text[i] != '\n' {
			if text[i] == '"' {
				return fields, i, size, ErrBareQuote
			}
			i++
		}
		if i < size && text[i] == separator {
			fields = append(fields, Field{start, i, false})
			i++
			continue
		}
		end = i
		if end > start && text[end-1] == '\r' {
			end--
		}
		return append(fields, Field{start, end, false}), end, min(i+1, size), nil
	}
}

// quotedEnd returns the end of the quoted field that begins at text[at], behind
// its closing quote.
func quotedEnd(text []byte, at int) (int, error) {
	for i := at + 1; ; i += 2 {
		k := bytes.IndexByte(text[i:], '"')
		if k < 0 {
			return at, ErrUnclosed
		}
		i += k
		if i+1 == len(text) || text[i+1] != '"' {
			return i + 1, nil
		}
	}
}

// lineEnd returns where the next row begins if a line end, or the end of the
// text, stands at i, and -1 otherwise.
func lineEnd(text []byte, i int) int {
	switch rest := text[i:]; {
	case len(rest) == 0:
		return i
	case rest[0] == '\n':
		return i + 1
	case rest[0] == '\r' && (len(rest) == 1 || rest[1] == '\n'):
		return min(i+2, len(text))
	}
	return -1
}
