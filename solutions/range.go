package solutions

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
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
	found := strings.TrimRight(fmt.Sprintf("%s %s %s", e.Range.Quantity, shortened(e.Got), e.Range.Unit), " ")
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

// roomFahrenheit is the temperatures of rooms, tubs and cups in degrees
// Fahrenheit: a number there may have been read on that scale.
var roomFahrenheit = Range{Quantity: "temperature", Unit: "F", Low: 55, High: 120}

// Check returns nil for x inside the range and a [*RangeError] in the name of
// what otherwise. A temperature more than two degrees above the range gets a
// hint if it would lie inside it in degrees Fahrenheit and is one that rooms
// and tubs have, and so does a pressure that would lie inside it in hPa.
func (r Range) Check(what string, x float64) error {
	if r.Contains(x) {
		return nil
	}
	e := &RangeError{What: what, Range: r, Got: x}
	switch celsius := (x - 32) / 1.8; {
	case r.Unit == "C" && x > r.High+2 && roomFahrenheit.Contains(x) && r.Contains(celsius):
		e.Hint = fmt.Sprintf("if that was degrees Fahrenheit, give it as %sC", number(math.Round(celsius*10)/10))
	case r.Unit == "kPa" && r.Contains(x/10):
		e.Hint = fmt.Sprintf("if that was hPa (the same as mbar), give it as %shPa", number(x))
	}
	return e
}

// String gives the limits with their unit, such as "0 to 50 C".
func (r Range) String() string {
	return strings.TrimRight(fmt.Sprintf("%s to %s %s", number(r.Low), number(r.High), r.Unit), " ")
}

// Within gives the part of r that lies in other too: the quantity and the unit
// are those of r.
func (r Range) Within(other Range) Range {
	r.Low, r.High = math.Max(r.Low, other.Low), math.Min(r.High, other.High)
	return r
}

// number prints x with as many digits as it needs, and an exponent only far
// from everyday size.
func number(x float64) string {
	if size := math.Abs(x); size >= 1e12 || size != 0 && size < 1e-7 {
		return strconv.FormatFloat(x, 'e', -1, 64)
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// shortened is number to ten significant digits: enough to show on which side
// of a limit a number that was computed lies.
func shortened(x float64) string {
	short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 10, 64), 64)
	if err != nil {
		return number(x)
	}
	return number(short)
}
