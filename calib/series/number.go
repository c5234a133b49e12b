package series

import (
	"bytes"
	"math"
	"slices"
	"strconv"
)

// Reading and writing numbers takes most of the time that a log takes. Plain
// decimals, which is what logs hold, are read and written here in integers; all
// else goes to strconv. A benchmark beside the tests shows the two.

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

// appendNumber writes a number with a number of significant digits, up to 12,
// without an exponent where it can be read so. Nothing is written for NaN and
// infinities.
func appendNumber(to []byte, x float64, digits int, mark byte) []byte {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return to
	}
	size := math.Abs(x)
	if size < 1e-4 || size >= 1e9 {
		if x == 0 {
			return append(to, '0')
		}
		at := len(to)
		to = strconv.AppendFloat(to, x, 'e', digits-1, 64)
		if k := bytes.IndexByte(to[at:], '.'); k >= 0 {
			to[at+k] = mark
		}
		return to
	}
	before := 0 // digits before the mark; below 0 for zeros behind it
	if size >= 1 {
		for before = 1; size >= powers[before]; before++ {
		}
	} else {
		for before = 0; size*powers[1-before] < 1; before-- {
		}
	}
	decimals := max(digits-before, 0)
	scaled := uint64(math.RoundToEven(size * powers[decimals]))
	if before = max(before, 1); scaled >= wholePowers[before+decimals] {
		before++ // rounded up to the next power of ten
	}
	if x < 0 {
		to = append(to, '-')
	}
	return appendDecimal(to, scaled, before, decimals, mark)
}

// wholePowers are the powers of ten that a uint64 holds.
var wholePowers = [...]uint64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19}

// pairs are the numbers 00 to 99.
const pairs = "00010203040506070809101112131415161718192021222324252627282930313233343536373839404142434445464748495051525354555657585960616263646566676869707172737475767778798081828384858687888990919293949596979899"

// appendDecimal writes a whole number of units of the last decimal, with so many
// digits before and behind the decimal mark.
func appendDecimal(to []byte, scaled uint64, before, decimals int, mark byte) []byte {
	size := before
	if decimals > 0 {
		size += 1 + decimals
	}
	at := len(to)
	to = slices.Grow(to, size)[:at+size]
	text := to[at:]
	if decimals > 0 {
		scaled = putDigits(text[before+1:], scaled)
		text[before] = mark
	}
	putDigits(text[:before], scaled)
	return to
}

// putDigits fills a text with the last digits of a number, and returns the number
// without them.
func putDigits(text []byte, n uint64) uint64 {
	i := len(text)
	for ; i >= 2; i -= 2 {
		q := n / 100
		k := 2 * (n - 100*q)
		text[i-1], text[i-2] = pairs[k+1], pairs[k]
		n = q
	}
	if i == 1 {
		q := n / 10
		text[0] = byte('0' + n - 10*q)
		n = q
	}
	return n
}
