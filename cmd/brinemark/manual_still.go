package main

import (
	"strings"
	"unicode/utf8"
)

// manualColumns is how wide the manual is on the usual terminal, and
// manualIndent how far the text of a section is set in there.
const manualColumns, manualIndent = 80, 7

// still writes lines that stay as they are, set in as far as they have room for
// on the usual terminal: an example of 80 columns is not to be broken by the
// reader of the manual.
func (m *roff) still(lines []string) {
	common, wide := manualColumns, 0
	for _, line := range lines {
		common = min(common, len(line)-len(strings.TrimLeft(line, " ")))
		wide = max(wide, utf8.RuneCountInString(line))
	}
	m.line(".EX")
	less := max(0, min(manualIndent, manualIndent+wide-manualColumns))
	if less > 0 && common > 0 { // its own blanks go first
		shorter := min(common, less)
		less -= shorter
		for i := range lines {
			lines[i] = lines[i][shorter:]
		}
	}
	if less > 0 {
		m.line(".in -%dn", less)
	}
	for _, line := range lines {
		m.line("%s", roffText(line))
	}
	if less > 0 {
		m.line(".in +%dn", less)
	}
	m.line(".EE")
}
