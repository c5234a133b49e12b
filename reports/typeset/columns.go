package typeset

import "unicode"

// wide are the main blocks of letters that take two columns of a screen
// (Unicode, UAX #11: East Asian Wide and Fullwidth).
var wide = &unicode.RangeTable{
	R16: []unicode.Range16{
		{Lo: 0x1100, Hi: 0x115f, Stride: 1}, {Lo: 0x2e80, Hi: 0x303e, Stride: 1}, {Lo: 0x3041, Hi: 0x4dbf, Stride: 1}, {Lo: 0x4e00, Hi: 0xa4cf, Stride: 1},
		{Lo: 0xa960, Hi: 0xa97c, Stride: 1}, {Lo: 0xac00, Hi: 0xd7a3, Stride: 1}, {Lo: 0xf900, Hi: 0xfaff, Stride: 1}, {Lo: 0xfe30, Hi: 0xfe6f, Stride: 1},
		{Lo: 0xff01, Hi: 0xff60, Stride: 1}, {Lo: 0xffe0, Hi: 0xffe6, Stride: 1},
	},
	R32: []unicode.Range32{{Lo: 0x1f300, Hi: 0x1f64f, Stride: 1}, {Lo: 0x1f680, Hi: 0x1f6ff, Stride: 1}, {Lo: 0x1f900, Hi: 0x1f9ff, Stride: 1}, {Lo: 0x20000, Hi: 0x3fffd, Stride: 1}},
}

// Columns is how many columns of a screen a line takes: letters of East Asia
// take two, and marks on others none.
func Columns(line string) (n int) {
	for _, r := range line {
		switch {
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case unicode.Is(wide, r):
			n += 2
		default:
			n++
		}
	}
	return n
}
