package reports

import (
	"strings"

	"github.com/brinemark/brinemark/reports/typeset"
)

// mostOfNote is how much of a note a list shows, in columns of a screen: a line or
// two of a narrow table. Whoever shows the one thing alone shows all of it.
const mostOfNote = 60

// listNote is a note as it stands in a list.
func listNote(note *string) string {
	text := strings.TrimSpace(typeset.Line(wordOrEmpty(note)))
	return typeset.Fit(text, func(t string) bool { return typeset.Columns(t) <= mostOfNote })
}
