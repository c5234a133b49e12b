// Package readings reads tables of readings from CSV text.
//
// People keep readings in spreadsheets, and spreadsheets write many sorts of
// CSV. This package reads all of them that have one meaning and refuses the
// rest with the place and the remedy:
//
//  1. The text is UTF-8, with or without a byte-order mark, with LF or CRLF.
//  2. The first row that is not blank is the header. The separator, ",", ";" or
//     a tab, is the one that finds most of the expected column names in it.
//  3. Columns may stand in any order. Names are compared without regard to
//     case and to space around them. Columns nobody asked for are ignored, and
//     [Table.Notes] says so.
//  4. Quoting is that of RFC 4180. Every row has as many fields as the header.
//     Blank rows, and rows with nothing but empty fields, are skipped.
//  5. Where the separator is not a comma, numbers may have a decimal comma. The
//     whole file has one sort of decimal mark: a file that mixes them is refused.
//  6. Cells are checked against the [Spec]: a number where a number belongs, a
//     time, one of a list of words. An empty cell, and a column that is not
//     there, are unknown; they are never read as zero.
//  7. Rows that were prepared and not filled in are left out where the [Spec]
//     says which those are ([Unread]), with a note that counts them.
//  8. A text behind an apostrophe that would be a formula without it, as
//     [SafeCell] writes it, is read without it.
//
// Row numbers in errors are line numbers of the file, as an editor shows them:
// the header of a file that begins with it is row 1, and blank lines count.
//
// What it declines to do: it converts no units, guesses no column names and
// repairs nothing. It holds the whole file (up to [MaxBytes]) in memory; a log
// of months is read row by row elsewhere.
package readings
