package quantity

import (
	"strconv"
	"strings"
)

// String writes the quantity in the base unit of its kind, in ASCII, with as
// many digits as it needs: "1413uS/cm", "600ppm@0.5", "2%". [Parse] reads it
// back to the very same value. The zero Quantity gives "".
func (q Quantity) String() string {
	switch q.Kind {
	case 0:
		return ""
	case Display:
		return shifted(q.Value, 0) + "ppm@" + shifted(q.Factor, 0)
	case Fraction:
		return shifted(q.Value, 2) + "%"
	}
	return shifted(q.Value, 0) + q.Kind.Unit()
}

// shifted writes v times ten to the power shift, moving the point in the
// shortest decimal text instead of multiplying. Very large and very small
// numbers keep an exponent.
func shifted(v float64, shift int) string {
	if v == 0 {
		return "0"
	}
	text := strconv.FormatFloat(v, 'e', -1, 64)
	mantissa, exponentText, ok := strings.Cut(text, "e")
	exponent, err := strconv.Atoi(exponentText)
	if !ok || err != nil {
		return text // NaN or infinite: nothing Parse has made
	}
	exponent += shift
	sign := ""
	if strings.HasPrefix(mantissa, "-") {
		sign, mantissa = "-", mantissa[1:]
	}
	if exponent < -7 || exponent > 20 {
		return sign + mantissa + "e" + strconv.Itoa(exponent)
	}
	digits := strings.Replace(mantissa, ".", "", 1)
	switch point := exponent + 1; {
	case point <= 0:
		return sign + "0." + strings.Repeat("0", -point) + digits
	case point >= len(digits):
		return sign + digits + strings.Repeat("0", point-len(digits))
	default:
		return sign + digits[:point] + "." + digits[point:]
	}
}
