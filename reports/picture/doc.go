// Package picture draws the project's charts: on paper as SVG and PNG (by
// gonum/plot), and with characters on a terminal. All charts follow one set of
// rules, which stand in rules.go.
//
// A [Chart] is two axes and a list of layers, drawn in order: what was measured
// ([Points], with the bars of its uncertainty), what was fitted ([Curve]), how
// well it is known ([Band]), how far an error may go ([Across]), what happened
// when ([Upright]), which stretch is not to be believed ([Shade]), and how well
// level lines are known, behind their ends ([Ends]). More of them may stand below,
// each a [Panel]: with an axis of its own or that of the one above, and with names
// in place of numbers, for [Bars] and [Lanes]. A layer says what it shows, never
// how: colours, line widths, dashes, shapes and characters belong to the rules, so
// that the same thing looks the same in every chart.
//
// # The rules
//
//   - What differs, differs in form: dashes, shapes, hollow and full. Colour
//     only repeats it. A chart printed in black and white loses nothing.
//   - Axes carry a name with its unit, as people write it on paper and in ASCII on
//     a terminal (package typeset). Where the room is short the name is
//     shortened, never the unit. There is no grid, no frame and no
//     shadow: the axes, and a thin line at zero where zero lies within.
//   - No two texts overlap; one that finds no room is cut or left out, never
//     written over another. Of a text with names ([typeset.Name]) the names are cut
//     first, and each can still be told. A legend below says what each form is.
//   - A crowd of points does not hide the line through it: it lies below, as dots.
//   - What lies beyond the edge is pointed at with an arrow there, not dropped; a
//     line, a band or a bar that goes on there ends in a mark.
//   - The same chart gives the same bytes: there is no date and no chance in it.
//
// # What it leaves out
//
// The font of a PNG and of the widths is Liberation Sans, which covers Latin,
// Greek and Cyrillic; other scripts show as boxes in a PNG, while an SVG leaves
// the choice of font to whoever shows it.
package picture
