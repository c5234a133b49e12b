package readings

import (
	"errors"
	"fmt"
	"strings"
)

// The causes an [*Error] wraps, for programs; people read the text.
var (
	ErrEmpty           = errors.New("nothing to read")
	ErrTooLarge        = errors.New("too large")
	ErrEncoding        = errors.New("not UTF-8 text")
	ErrQuoting         = errors.New("wrong quoting")
	ErrMissingColumn   = errors.New("missing column")
	ErrDuplicateColumn = errors.New("duplicate column")
	ErrRagged          = errors.New("wrong number of fields")
	ErrBlank           = errors.New("empty cell")
	ErrNotANumber      = errors.New("not a number")
	ErrNotATime        = errors.New("not a time")
	ErrUnknownWord     = errors.New("unknown word")
	ErrOutOfRange      = errors.New("out of range")
	ErrUndeclared      = errors.New("column not declared with this type")
)

// Error points at the place in a file that cannot be read.
type Error struct {
	File   string // the name given to Read
	Row    int    // line number in the file; 0 where no row is to blame
	Column string // name of the column; "" where no column is to blame
	Found  string // what stands there, as a phrase
	Want   string // what would be right, as a phrase
	Err    error  // one of the causes above, or the reader's own error
}

// Error reads as one line: "readings.csv, row 7, column ref: found "x"; want a number".
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Row > 0 {
		fmt.Fprintf(&b, ", row %d", e.Row)
	}
	if e.Column != "" {
		fmt.Fprintf(&b, ", column %s", e.Column)
	}
	fmt.Fprintf(&b, ": found %s", e.Found)
	if e.Want != "" {
		fmt.Fprintf(&b, "; want %s", e.Want)
	}
	return b.String()
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// quoted shows a cell's text on one line and not too long.
func quoted(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		return fmt.Sprintf("%q...", string(r[:most]))
	}
	return fmt.Sprintf("%q", text)
}
