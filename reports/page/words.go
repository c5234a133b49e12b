package page

import (
	"unicode/utf8"

	"github.com/brinemark/brinemark/reports/typeset"
)

// Name marks what a person wrote within a sentence of ours: whatever is in it,
// the words around it stay as they are. It is written as one line.
func Name(text string) string { return typeset.Name(text) }

// longest is how many characters of a name a title holds.
const longest = 80

// Short is a text cut to what a title has room for.
func Short(text string) string {
	if utf8.RuneCountInString(text) <= longest {
		return text
	}
	return string([]rune(text)[:longest-1]) + "…"
}

// Span is a part of a text: a [Name] or the words around it.
type Span = typeset.Span

// Spans takes a text apart. Isolates that do not come from [Name] are dropped.
func Spans(text string) []Span { return typeset.Spans(text) }

// Words is a text as it is read aloud, without the marks of names.
func Words(text string) string { return typeset.Words(text) }
