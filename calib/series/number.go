package series

import (
	"bytes"
	"math"
	"strconv"
)

// Reading and writing numbers takes most of the time that a log takes. Plain
// decimals, which is what logs hold, are read and written in integers, here and
// in digits.go; all else goes to strconv. A benchmark beside the tests shows the
// two.

// powers are the powers of ten that a float64 holds exactly.
var powers = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// exactDigits are the decimal digits that every whole number of a float64
// holds; a quotient of two numbers held exactly is the nearest float64.
const exactDigits = 15

// number reads a cell with a decimal mark, '.' or ','. A blank one is NaN with
// Blank, one that holds no finite decimal number NaN with NotANumber.
func number(text []byte, mark byte) (float64, Flag) {
	if x, ok := plainNumber(text, mark); ok {
		return x, Believed
	}
	text = bytes.TrimSpace(text)
	if len(text) == 0 {
		return math.NaN(), Blank
	}
	marks := 0
	for _, c := range text {
		switch {
		case c >= '0' && c <= '9', c == '-', c == '+', c == 'e', c == 'E':
		case c == mark:
			marks++
		default:
			// Neither hexadecimal numbers, nor the words inf and nan, nor marks of
			// thousands.
			return math.NaN(), NotANumber
		}
	}
	if marks > 1 {
		return math.NaN(), NotANumber
	}
	x, err := strconv.ParseFloat(string(pointed(text, mark)), 64)
	if err != nil || math.IsInf(x, 0) {
		return math.NaN(), NotANumber
	}
	return x, Believed
}

// pointed returns a number with a point for its decimal mark.
func pointed(text []byte, mark byte) []byte {
	if mark == '.' {
		return text
	}
	return bytes.Replace(text, []byte{mark}, []byte{'.'}, 1)
}

// plainNumber reads digits with at most one decimal mark and a sign, as the
// nearest float64.
func plainNumber(text []byte, mark byte) (float64, bool) {
	i, negative := 0, false
	if len(text) > 0 && text[0] == '-' {
		negative, i = true, 1
	}
	var whole uint64
	digits, decimals := 0, -1
	for ; i < len(text); i++ {
		switch c := text[i]; {
		case c >= '0' && c <= '9':
			whole = 10*whole + uint64(c-'0')
			digits++
			if decimals >= 0 {
				decimals++
			}
		case c == mark && decimals < 0:
			decimals = 0
		default:
			return 0, false
		}
	}
	if digits == 0 || digits > exactDigits {
		return 0, false
	}
	x := float64(whole)
	if decimals > 0 {
		x /= powers[decimals]
	}
	if negative {
		x = -x
	}
	return x, true
}
