package quantity

import (
	"errors"
	"strings"
)

// ParseUncertainty reads a standard uncertainty (k = 1), such as "0.2C",
// "3mg/L" or "1%", and returns it in the base unit of its kind. It is 0 or more.
// 0 means exact and needs no unit; without one it has the first of the kinds.
//
// An uncertainty of a temperature is a difference, not a point on a scale:
// kelvins are read as degrees Celsius, and degrees Fahrenheit are refused with
// the difference converted. Otherwise the errors are those of [Parse].
func ParseUncertainty(text string, allowed ...Kind) (Quantity, error) {
	text = clean(text)
	n, rest := scanNumber(text)
	v, err := n.value(0)
	isNumber := n.digits != "" && err == nil
	unit := spelt(rest)
	switch {
	case isNumber && v < 0:
		return Quantity{}, &ParseError{Text: text, Reason: "is negative", Want: "a standard uncertainty is 0 (exact) or more", Err: ErrOutOfRange}
	case isNumber && v == 0 && unit == "" && len(allowed) > 0:
		return Quantity{Kind: allowed[0], Text: text}, nil
	case isNumber && unit == "K" && permits(allowed, Temperature):
		return Quantity{Value: v, Kind: Temperature, Text: text}, nil
	case isNumber && permits(allowed, Temperature):
		if f, ok := foreignUnit(unit); ok && f.want == "C" && f.offset != 0 {
			f.offset = 0
			return Quantity{}, &ParseError{Text: text, Reason: "is in " + f.name, Want: f.hint(v), Err: ErrUnknownUnit}
		}
	}
	q, err := parse(text, allowed)
	var refused *ParseError
	if errors.As(err, &refused) && refused.Want == wanted(allowed) && len(allowed) > 0 {
		refused.Want = wantedUncertainty(allowed)
	}
	return q, err
}

// wantedUncertainty is [wanted] for a standard uncertainty.
func wantedUncertainty(allowed []Kind) string {
	examples := make([]string, len(allowed))
	for i, k := range allowed {
		examples[i] = kinds[k].small
	}
	last := len(examples) - 1
	list := examples[last]
	if last > 0 {
		list = strings.Join(examples[:last], ", ") + " or " + list
	}
	return "want a standard uncertainty such as " + list + ", or 0 for exact"
}
