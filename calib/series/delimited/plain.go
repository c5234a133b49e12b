package delimited

import (
	"encoding/binary"
	"math/bits"
)

// Nearly all of a log are short fields without quotes. plain finds them eight
// bytes at a time: a word in which some byte is the separator, a line feed or a
// quote has its highest bit set there and nowhere else.

const (
	ones    = 0x0101010101010101
	lowBits = 0x7f7f7f7f7f7f7f7f
)

// zeros has the highest bit of each byte of x set that is zero.
func zeros(x uint64) uint64 { return ^((x&lowBits + lowBits) | x | lowBits) }

// plain appends fields from text[at:] on, as long as there are no quotes. Where
// that takes it to the end of the row, next is above 0, and end and next are
// those of the row; otherwise the field that begins at rest is left.
func (f Form) plain(text []byte, at int, fields []Field) (_ []Field, rest, end, next int) {
	separators := uint64(f.Separator) * ones
	start := at
	for i := at; i+8 <= len(text); i += 8 {
		word := binary.LittleEndian.Uint64(text[i:])
		found := zeros(word^separators) | zeros(word^'\n'*ones) | zeros(word^'"'*ones)
		for ; found != 0; found &= found - 1 {
			k := i + bits.TrailingZeros64(found)/8
			switch text[k] {
			case f.Separator:
				fields = append(fields, Field{start, k, false})
				start = k + 1
			case '\n':
				end = k
				if end > start && text[end-1] == '\r' {
					end--
				}
				return append(fields, Field{start, end, false}), k + 1, end, k + 1
			default:
				return fields, start, 0, 0
			}
		}
	}
	return fields, start, 0, 0
}
