package reports

import (
	"strings"
	"unicode/utf8"

	"github.com/brinemark/brinemark/reports/typeset"
)

// CommandsScreen tells a character that commands a screen, or turns the
// direction of what follows, from one that is shown.
func CommandsScreen(r rune) bool { return typeset.Commands(r) }

// Clean takes from a text what would command the screen: a name or a note, of a
// person, a file or the record, may hold anything. It leaves a mark (U+FFFD) in
// its place. Lines stay, and so do the style's own colours where it has them.
func (s Style) Clean(body string) string {
	if strings.IndexFunc(body, CommandsScreen) < 0 {
		return body
	}
	var out strings.Builder
	for len(body) > 0 {
		if code := s.colorCode(body); code > 0 {
			out.WriteString(body[:code])
			body = body[code:]
			continue
		}
		r, size := utf8.DecodeRuneInString(body)
		if r == '\n' || !CommandsScreen(r) {
			out.WriteString(body[:size])
		} else {
			out.WriteRune(utf8.RuneError)
		}
		body = body[size:]
	}
	return out.String()
}

// cleanLine is a text without what would command the screen, on one line: what a
// person named begins no line of its own.
func (s Style) cleanLine(text string) string { return lineEnds.Replace(s.Clean(text)) }

var lineEnds = strings.NewReplacer("\n", " ", "\u2028", " ", "\u2029", " ")

// colorCode is the length of the code of one of the style's colours, where a
// text begins with one.
func (s Style) colorCode(body string) int {
	for _, code := range []string{bold, red, green, yellow, plain} {
		if s.Color && strings.HasPrefix(body, code) {
			return len(code)
		}
	}
	return 0
}
