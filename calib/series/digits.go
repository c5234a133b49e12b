package series

import (
	"bytes"
	"encoding/binary"
	"math"
	"slices"
	"strconv"
)

// appendNumber writes a number with a number of significant digits, up to 12,
// without an exponent where it can be read so. Nothing is written for NaN and
// infinities.
func appendNumber(to []byte, x float64, digits int, mark byte) []byte {
	size := math.Abs(x)
	if !(size >= 1e-4 && size < 1e9) {
		return appendFar(to, x, digits, mark)
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
	scaled := uint64(int64(size*powers[decimals] + 0.5))
	if before = max(before, 1); scaled >= wholePowers[before+decimals] {
		before++ // rounded up to the next power of ten
	}
	if x < 0 {
		to = append(to, '-')
	}
	return appendDecimal(to, decimal{scaled, before, decimals}, mark)
}

// appendFar writes what is too small or too large to be read without an exponent,
// and zero.
func appendFar(to []byte, x float64, digits int, mark byte) []byte {
	switch {
	case math.IsNaN(x) || math.IsInf(x, 0):
		return to
	case x == 0:
		return append(to, '0')
	}
	at := len(to)
	to = strconv.AppendFloat(to, x, 'e', digits-1, 64)
	if k := bytes.IndexByte(to[at:], '.'); k >= 0 {
		to[at+k] = mark
	}
	return to
}

// wholePowers are the powers of ten that a uint64 holds.
var wholePowers = [...]uint64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19}

// decimal is a whole number of units of the last decimal, with so many digits
// before and behind the decimal mark, 16 at most.
type decimal struct {
	scaled           uint64
	before, decimals int
}

// appendDecimal writes a decimal. Its digits are found eight at a time, and
// written in words: what a word holds too much is written over, or cut off.
func appendDecimal(to []byte, d decimal, mark byte) []byte {
	const word = 8
	high, low := uint64(0), d.scaled
	if d.before+d.decimals > word {
		high = low / 1e8
		low -= high * 1e8
		high = eightDigits(high)
	}
	low = eightDigits(low)
	at := len(to)
	to = slices.Grow(to, 5*word)
	out := to[at : at+5*word]
	skip := 2*word - d.before - d.decimals // zeros before the first digit
	binary.LittleEndian.PutUint64(out, digitsFrom(high, low, skip))
	if d.before > word {
		binary.LittleEndian.PutUint64(out[word:], digitsFrom(high, low, skip+word))
	}
	if d.decimals == 0 {
		return to[:at+d.before]
	}
	out[d.before] = mark
	out = out[d.before+1:]
	binary.LittleEndian.PutUint64(out, digitsFrom(high, low, 2*word-d.decimals))
	if d.decimals > word {
		binary.LittleEndian.PutUint64(out[d.decimals-word:], low)
	}
	return to[:at+d.before+1+d.decimals]
}

// digitsFrom returns eight of the sixteen digits in two words, after those to
// skip; nothing stands behind the last.
func digitsFrom(high, low uint64, skip int) uint64 {
	if skip >= 8 {
		return low >> (8 * (uint(skip) - 8))
	}
	return high>>(8*uint(skip)) | low<<(64-8*uint(skip))
}

// eightDigits returns the digits of a number below 10^8 as text in a word, the
// first in its lowest byte. It divides several digits at once, each in a part of
// the word: by 10000, 100 and 10, as products with their inverses.
func eightDigits(n uint64) uint64 {
	high := n / 10000
	fours := high | (n-10000*high)<<32
	hundreds := fours * 10486 >> 20 & 0x7f_0000_007f
	pairs := hundreds | (fours-100*hundreds)<<16
	tens := pairs * 103 >> 10 & 0x000f_000f_000f_000f
	return (tens | (pairs-10*tens)<<8) + 0x3030303030303030
}
