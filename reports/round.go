package reports

import (
	"math"
	"strconv"
	"strings"
)

// Digits of a printed uncertainty: "It usually suffices to quote [the
// uncertainty] to at most two significant digits"; the value is then rounded
// to the same place (GUM, JCGM 100:2008, 7.2.6).
const uncertaintyDigits = 2

// Digits of a value whose uncertainty is unknown or zero. House rule: an
// unknown uncertainty supports no more digits than a good meter shows; an
// exact value is shown as it is, to the ten digits that hide binary noise.
const (
	unknownDigits = 4
	exactDigits   = 10
)

// floatDigits is how many significant digits tell any float64 from all others.
const floatDigits = 17

// Round writes a value and its uncertainty (both in one unit, k as the caller
// says) for people: the uncertainty to two significant digits, the value to
// the same place. An unknown uncertainty gives the value to four significant
// digits and "unknown"; an exact one (zero) gives the value in full and "0".
// A value that is not finite, or an uncertainty that is negative or not
// finite, is written as unknown.
func Round(value float64, u Number) (valueText, uText string) {
	size, known := u.Get()
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return unknown, unknown
	}
	switch {
	case !known || math.IsNaN(size) || math.IsInf(size, 0) || size < 0:
		return Significant(value, unknownDigits), unknown
	case size == 0:
		return trimZeros(Significant(value, exactDigits)), "0"
	}
	place := leadingPlace(size, uncertaintyDigits) - (uncertaintyDigits - 1)
	return toPlace(value, place), toPlace(size, place)
}

// PlusMinus writes a value with its uncertainty and unit in one text, such as
// "1413.2 ± 2.1 uS/cm", "1413 uS/cm (exact)" or "1413 uS/cm (uncertainty unknown)".
func PlusMinus(value float64, u Number, unit string) string {
	v, size := Round(value, u)
	if unit != "" {
		unit = " " + unit
	}
	switch {
	case v == unknown:
		return unknown
	case size == unknown:
		return v + unit + " (uncertainty unknown)"
	case size == "0":
		return v + unit + " (exact)"
	}
	return v + " ± " + size + unit
}

// Significant writes x to a number of significant digits (1 or more), without
// an exponent where the number is of everyday size.
func Significant(x float64, digits int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return unknown
	}
	digits = max(digits, 1)
	if x == 0 {
		return "0"
	}
	return toPlace(x, leadingPlace(x, digits)-(digits-1))
}

// Percent writes a fraction as a percentage to a number of significant
// digits, such as "0.52 %".
func Percent(fraction float64, digits int) string {
	text := Significant(fraction*100, digits)
	if text == unknown {
		return unknown
	}
	return text + " %"
}

// firstPlace is the power of ten of x's first digit in its shortest decimal
// form, which for 1e-7 is -7 though the float64 next to it is a little less.
func firstPlace(x float64) int {
	_, exponent, _ := strings.Cut(strconv.FormatFloat(x, 'e', -1, 64), "e")
	place, _ := strconv.Atoi(exponent)
	return place
}

// leadingPlace is the power of ten of x's first digit, after rounding x to so
// many significant digits: 9.96 rounded to two is 10, whose place is 1.
func leadingPlace(x float64, digits int) int {
	_, exponent, _ := strings.Cut(strconv.FormatFloat(x, 'e', digits-1, 64), "e")
	place, _ := strconv.Atoi(exponent)
	return place
}

// toPlace rounds x to the decimal place 10^place and writes it, with an
// exponent only for numbers far from everyday size. The rounding is done by
// strconv on the exact decimal value, not by a division.
func toPlace(x float64, place int) string {
	text := ""
	switch first := firstPlace(x); {
	case x == 0:
		text = fixed(0, place)
	case first >= place:
		rounded, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', first-place, 64), 64)
		text = fixed(rounded, place)
	case math.Abs(x) > 0.5*math.Pow10(place):
		text = fixed(math.Copysign(math.Pow10(place), x), place)
	default:
		text = fixed(0, place)
	}
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}

// fixed writes a number already rounded to a place.
func fixed(x float64, place int) string {
	size := math.Abs(x)
	if size == 0 && place < -exactDigits {
		return "0"
	}
	if size != 0 && (size >= 1e15 || size < 1e-6) {
		digits := max(0, firstPlace(x)-place)
		return strconv.FormatFloat(x, 'e', digits, 64)
	}
	decimals := min(-place, floatDigits-1-firstPlace(size)) // more would be binary noise
	return strconv.FormatFloat(x, 'f', max(0, decimals), 64)
}

// trimZeros takes trailing zeros off a decimal fraction.
func trimZeros(text string) string {
	mantissa, exponent, hasExponent := strings.Cut(text, "e")
	if strings.Contains(mantissa, ".") {
		mantissa = strings.TrimRight(strings.TrimRight(mantissa, "0"), ".")
	}
	if hasExponent {
		return mantissa + "e" + exponent
	}
	return mantissa
}
