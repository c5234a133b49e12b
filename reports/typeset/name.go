package typeset

import (
	"sort"
	"strings"
	"unicode/utf8"
)

// Name marks what a person wrote within a sentence of ours: whatever is in it,
// the words around it stay as they are. It is written as one line.
func Name(text string) string { return isolate + Line(text) + endIsolate }

// Span is a part of a text: a [Name] or the words around it.
type Span struct {
	Text string
	Name bool
}

// Spans takes a text apart. Isolates that do not come from [Name] are dropped.
func Spans(text string) []Span {
	var list []Span
	add := func(text string, name bool) {
		if text = Line(text); text != "" {
			list = append(list, Span{text, name})
		}
	}
	for text != "" {
		before, rest, found := strings.Cut(text, isolate)
		add(strings.ReplaceAll(before, endIsolate, ""), false)
		if !found {
			break
		}
		name, after, closed := strings.Cut(rest, endIsolate)
		add(strings.ReplaceAll(name, isolate, ""), closed)
		text = after
	}
	return list
}

// Words is a text as it is read aloud, without the marks of names.
func Words(text string) string {
	var b strings.Builder
	for _, s := range Spans(text) {
		b.WriteString(s.Text)
	}
	return b.String()
}

// leastName is how many letters of a name are kept before the words around it
// are cut.
const leastName = 6

// Ellipsis stands for what was cut.
const Ellipsis = "..."

// Fit is a text without the marks of names, cut to its room. Its names are cut
// first, the longest to begin with, so that each can be told; the words after
// them only where that is not enough.
func Fit(text string, fits func(string) bool) string {
	if whole := Words(text); fits(whole) {
		return whole
	}
	spans, longest := Spans(text), 0
	for _, s := range spans {
		if s.Name {
			longest = max(longest, utf8.RuneCountInString(s.Text))
		}
	}
	within := func(most int) string {
		var b strings.Builder
		for _, s := range spans {
			if s.Name {
				s.Text = first(s.Text, most)
			}
			b.WriteString(s.Text)
		}
		return b.String()
	}
	if longest > leastName {
		// The first that does not fit, among names of 6 letters, of 7, ...
		n := sort.Search(longest-leastName, func(n int) bool { return !fits(within(leastName + n)) })
		if n > 0 {
			return within(leastName + n - 1)
		}
	}
	runes := []rune(within(leastName))
	n := sort.Search(len(runes), func(n int) bool { return !fits(string(runes[:n+1]) + Ellipsis) })
	return string(runes[:n]) + Ellipsis
}

// first is the beginning of a name.
func first(name string, most int) string {
	if runes := []rune(name); len(runes) > most {
		return strings.TrimRight(string(runes[:most]), " ") + Ellipsis
	}
	return name
}
