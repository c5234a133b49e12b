package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// ParseNumber reads a plain decimal number: an optional sign, digits with at
// most one decimal point, an optional exponent ("-0.5", "1e-3"). Space around
// it is ignored. NaN, infinities, hexadecimal, digit separators and a decimal
// comma are refused, and so is a number too large or too small for a float64:
// it would be read as infinite, or as a zero that nobody wrote.
func ParseNumber(text string) (float64, error) {
	fail := func(reason, want string, cause error) (float64, error) {
		return 0, &ParseError{Text: text, Reason: reason, Want: want, Err: cause}
	}
	n, rest := scanNumber(clean(text))
	switch {
	case n.digits == "":
		return fail("is not a number", "want a number such as 0.5", ErrNotANumber)
	case strings.HasPrefix(rest, ","):
		return fail("has a comma", commaHint(n, rest), ErrDecimalComma)
	case rest != "":
		return fail("is not a number alone", "want a number such as "+n.text(), ErrNotANumber)
	}
	v, err := n.value(0)
	if err != nil {
		return fail("is "+err.Error(), "want a number between 1e-300 and 1e300 in size", ErrOutOfRange)
	}
	return v, nil
}

// decimal is a number as text: sign and digits with at most one point, and a
// power of ten. Units shift the power, so that nothing is rounded on the way.
type decimal struct {
	digits   string // "" when there is no number
	exponent int
}

// maxExponent is beyond any float64 and far from overflowing an int.
const maxExponent = 9999

// scanNumber splits s into the number it starts with and the rest.
func scanNumber(s string) (decimal, string) {
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	digits, points := 0, 0
	for ; i < len(s); i++ {
		if isDigit(s[i]) {
			digits++
		} else if s[i] == '.' && points == 0 {
			points++
		} else {
			break
		}
	}
	if digits == 0 {
		return decimal{}, s
	}
	n, rest := decimal{digits: s[:i]}, s[i:]
	if len(rest) < 2 || rest[0] != 'e' && rest[0] != 'E' {
		return n, rest
	}
	j := 1
	if rest[j] == '+' || rest[j] == '-' {
		j++
	}
	start := j
	for j < len(rest) && isDigit(rest[j]) {
		j++
	}
	if j == start {
		return n, rest
	}
	exponent, err := strconv.Atoi(rest[1:j])
	if err != nil || exponent > maxExponent || exponent < -maxExponent {
		exponent = maxExponent
		if rest[1] == '-' {
			exponent = -maxExponent
		}
	}
	n.exponent = exponent
	return n, rest[j:]
}

// value is the number times ten to the power shift, correctly rounded once.
func (d decimal) value(shift int) (float64, error) {
	v, err := strconv.ParseFloat(fmt.Sprintf("%se%d", d.digits, d.exponent+shift), 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, fmt.Errorf("too large a number")
	}
	if v == 0 && strings.ContainsAny(d.digits, "123456789") {
		return 0, fmt.Errorf("too small a number to tell from zero")
	}
	return v + 0, nil // + 0 turns -0 into 0
}

// text writes the number again as it was.
func (d decimal) text() string {
	if d.exponent == 0 {
		return d.digits
	}
	return fmt.Sprintf("%se%d", d.digits, d.exponent)
}

// commaHint words the remedy for a comma after n: as a decimal comma, and, with
// exactly three digits behind it, as a separator of thousands too.
func commaHint(n decimal, rest string) string {
	next, unit := scanNumber(rest[1:])
	if next.digits == "" || !isDigit(next.digits[0]) || strings.ContainsAny(next.digits+n.digits, ".") || strings.Contains(unit, ",") {
		return "write the number without commas, and with a point where it has decimals"
	}
	if unit = spelt(unit); unit != "" {
		if _, known := lookUp(unit); !known {
			unit = "..." // say nothing about a unit that is wrong as well
		}
	}
	hint := fmt.Sprintf("write a decimal point, %s.%s%s", n.digits, next.text(), unit)
	if len(next.digits) == 3 && next.exponent == 0 {
		hint += fmt.Sprintf(", or %s%s%s if the comma parts the thousands", n.digits, next.digits, unit)
	}
	return hint
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// clean trims space of every sort and writes a typographic minus sign as "-".
func clean(text string) string {
	s := strings.TrimFunc(text, unicode.IsSpace)
	if rest, ok := strings.CutPrefix(s, "\u2212"); ok {
		s = "-" + rest
	}
	return s
}
