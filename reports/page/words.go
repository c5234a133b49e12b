package page

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// A name is kept apart from the words around it by the isolates of the Unicode
// bidirectional algorithm (UAX #9, 2.5): first strong isolate, pop directional
// isolate.
const (
	isolate    = '\u2068'
	endIsolate = '\u2069'
)

// Name marks what a person wrote within a sentence of ours: whatever is in it,
// the words around it stay as they are. It is written as one line.
func Name(text string) string { return string(isolate) + Plain(text) + string(endIsolate) }

// Plain is a text on one line without what would command a screen or turn the
// direction of what follows; a mark (U+FFFD) stands in its place.
func Plain(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r):
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(text, string(utf8.RuneError)))
}

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
type Span struct {
	Text string
	Name bool
}

// Spans takes a text apart. Isolates that do not come from [Name] are dropped.
func Spans(text string) []Span {
	var list []Span
	add := func(text string, name bool) {
		if text = Plain(text); text != "" {
			list = append(list, Span{text, name})
		}
	}
	for text != "" {
		before, rest, found := strings.Cut(text, string(isolate))
		add(dropEnds(before), false)
		if !found {
			break
		}
		name, after, closed := strings.Cut(rest, string(endIsolate))
		add(strings.ReplaceAll(name, string(isolate), ""), closed)
		text = after
	}
	return list
}

func dropEnds(text string) string { return strings.ReplaceAll(text, string(endIsolate), "") }

// Words is a text as it is read aloud, without the marks of names.
func Words(text string) string {
	var b strings.Builder
	for _, s := range Spans(text) {
		b.WriteString(s.Text)
	}
	return b.String()
}
