// Package label lays out labels for bottles, several to a sheet of paper, and
// draws the sheets as SVG.
//
// A [Label] is an identity, a name to be read from afar, and lines in order of
// weight. [Layout] says which paper, how large a label, and how many places of a
// sheet are used up already. [Lay] gives the sheets, each of which draws itself
// as one SVG of the size of the paper: alone in a file, or inside a page.
//
// # The rules
//
//   - A label is printed at its true size: lengths are in millimetres.
//   - All of a label is in one size of letters, the largest at which everything
//     has room; the name is larger. Below [SmallestLetterMM] nobody can read it,
//     and the size of label is refused.
//   - A number is never cut, and never parted from its unit: a line with numbers
//     is broken between them. Only names and notes are cut, with three dots.
//   - Nothing a person typed can leave its label or become a part of the drawing:
//     it is escaped, what would turn the direction of a text is taken out, and
//     each label is a drawing of its own that ends at its edge.
//   - The code is a QR code (ISO/IEC 18004) of the identity, drawn with the four
//     empty modules around it that the standard wants. It is left out, with a
//     warning, where its modules would be smaller than [SmallestModuleMM].
//   - The same labels give the same bytes.
package label
