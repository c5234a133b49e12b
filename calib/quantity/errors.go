package quantity

import (
	"errors"
	"fmt"
)

// The causes a [*ParseError] wraps, for programs; people read the text.
var (
	ErrNotANumber   = errors.New("not a number")
	ErrDecimalComma = errors.New("decimal comma")
	ErrNoUnit       = errors.New("no unit")
	ErrUnknownUnit  = errors.New("unknown unit")
	ErrWrongKind    = errors.New("unit of the wrong kind")
	ErrBarePPM      = errors.New("ppm without a meaning")
	ErrFactor       = errors.New("no factor of a ppm display")
	ErrOutOfRange   = errors.New("value out of range")
)

// ParseError tells what was found in a text that should have been a quantity,
// why it cannot be read, and what would be right.
type ParseError struct {
	Text   string // what was found
	Reason string // why it is refused, a phrase that follows the text
	Want   string // what would be right
	Err    error  // one of the causes above
}

// Error reads as one line: the text, the reason, the remedy.
func (e *ParseError) Error() string {
	return fmt.Sprintf("%s %s; %s", Quoted(e.Text), e.Reason, e.Want)
}

// Unwrap returns the cause.
func (e *ParseError) Unwrap() error { return e.Err }

// Quoted shows a text that was found, for a message: in quotes, on one line
// and not too long.
func Quoted(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		return fmt.Sprintf("%q...", string(r[:most]))
	}
	return fmt.Sprintf("%q", text)
}
