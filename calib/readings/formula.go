package readings

import "strings"

// FormulaSigns are those with which a spreadsheet takes a cell for a formula, the
// wide ones of East Asian keyboards among them.
const FormulaSigns = "=+-@\uff1d\uff0b\uff0d\uff20"

// IsFormula tells a text that a spreadsheet takes for a formula.
func IsFormula(text string) bool {
	return text != "" && strings.ContainsRune(FormulaSigns, []rune(text)[0])
}

// mark in front of a text is what keeps a spreadsheet from taking it for a formula.
const mark = "'"

// SafeCell is a text as it is written into a table that people open with a
// spreadsheet: with an apostrophe in front where it would be a formula. [Table.Text]
// reads it as it was.
func SafeCell(text string) string {
	if IsFormula(text) {
		return mark + text
	}
	return text
}

// unmarked is a cell without the apostrophe of [SafeCell].
func unmarked(cell string) string {
	if text, ok := strings.CutPrefix(cell, mark); ok && IsFormula(text) {
		return text
	}
	return cell
}
