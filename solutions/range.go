package solutions

import (
	"errors"
	"fmt"
	"math"
	"strconv"
)

// ErrOutOfRange is wrapped by every error that refuses an argument outside the
// range in which a formula or a table holds.
var ErrOutOfRange = errors.New("outside the range of the reference")

// Range is the closed interval in which a formula or a table holds. It is
// declared once, beside the coefficients, and yields the check, the message
// and the text for people.
type Range struct {
	Quantity string // what is limited, such as "temperature"
	Unit     string // unit of Low and High, such as "C"
	Low      float64
	High     float64
}

// RangeError reports an argument outside a Range. It wraps [ErrOutOfRange].
type RangeError struct {
	What  string // the formula or reference that refuses, such as "tartrate buffer"
	Range Range
	Got   float64 // in Range.Unit; may be NaN or infinite
	Hint  string  // a remedy, or empty
}

// Error names the reference, what was found and what would be right.
func (e *RangeError) Error() string {
	found := fmt.Sprintf("%s %s %s", e.Range.Quantity, shortened(e.Got), e.Range.Unit)
	text := fmt.Sprintf("%s: %s is outside its range, %s", e.What, found, e.Range)
	if e.Hint != "" {
		text += "; " + e.Hint
	}
	return text
}

// Unwrap returns [ErrOutOfRange].
func (e *RangeError) Unwrap() error { return ErrOutOfRange }

// Contains tells whether x lies in the closed interval. NaN does not.
func (r Range) Contains(x float64) bool { return x >= r.Low && x <= r.High }

// Check returns nil for x inside the range and a [*RangeError] in the name of
// what otherwise. A temperature above the range that would lie inside it if it
// had been read in degrees Fahrenheit gets a hint that says so, and so does a
// pressure that would lie inside it in hPa.
func (r Range) Check(what string, x float64) error {
	if r.Contains(x) {
		return nil
	}
	e := &RangeError{What: what, Range: r, Got: x}
	switch celsius := (x - 32) / 1.8; {
	case r.Unit == "C" && x > r.High && r.Contains(celsius):
		e.Hint = fmt.Sprintf("if that was degrees Fahrenheit, give it as %sC", number(math.Round(celsius*10)/10))
	case r.Unit == "kPa" && r.Contains(x/10):
		e.Hint = fmt.Sprintf("if that was hPa (the same as mbar), give it as %shPa", number(x))
	}
	return e
}

// String gives the limits with their unit, such as "0 to 50 C".
func (r Range) String() string {
	return fmt.Sprintf("%s to %s %s", number(r.Low), number(r.High), r.Unit)
}

// number prints x with as many digits as it needs and no exponent.
func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// shortened is number to ten significant digits: enough to show on which side
// of a limit a number that was computed lies.
func shortened(x float64) string {
	short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 10, 64), 64)
	if err != nil {
		return number(x)
	}
	return number(short)
}
