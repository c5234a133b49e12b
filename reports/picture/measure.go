package picture

import (
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg/draw"
)

// boldWeight is Liberation's bold, in the steps of the font library.
const boldWeight = 3

// TextWidth is how wide a line of text is in Liberation Sans, whose widths are
// those of Arial and Helvetica, as a multiple of the size of its letters. Where
// the font lacks a character the width is a guess.
func TextWidth(line string, bold bool) float64 {
	const size = 100 // points; large, so that no width is rounded away
	f := font.Font{Typeface: "Liberation", Variant: "Sans", Size: size}
	if bold {
		f.Weight = boldWeight
	}
	return style(f, ink, draw.XLeft).Width(line).Points() / size
}
