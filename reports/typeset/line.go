package typeset

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Commands tells a character that commands a screen, or turns the direction of
// what follows, from one that is shown.
func Commands(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)
}

// Line is a text on one line. A blank stands for what ends a line, and a mark
// (U+FFFD) for what commands a screen, for what has no place in XML, and for what
// is no text.
func Line(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t' || r == '\u2028' || r == '\u2029':
			return ' '
		case Commands(r) || r == '\ufffe' || r == '\uffff':
			return utf8.RuneError
		}
		return r
	}, text)
}
