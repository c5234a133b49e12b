package reports

import (
	"io"
	"strings"
)

// Style is how a rendering for people looks. The zero Style is plain text for
// a screen of [DefaultWidth] columns.
type Style struct {
	Color bool // terminal colours; never the only carrier of a meaning
	Width int  // columns of the screen; 0 stands for DefaultWidth
}

// DefaultWidth is the width a table keeps to unless told otherwise.
const DefaultWidth = 80

func (s Style) width() int {
	if s.Width <= 0 {
		return DefaultWidth
	}
	return max(s.Width, 20)
}

// Terminal colours: the ANSI escape sequences of ECMA-48, 8.3.117 (SGR).
const (
	bold   = "\x1b[1m"
	red    = "\x1b[31m"
	green  = "\x1b[32m"
	yellow = "\x1b[33m"
	plain  = "\x1b[0m"
)

// Bold marks a heading.
func (s Style) Bold(t string) string { return s.paint(bold, t) }

// Verdict colours a verdict word: pass and agree green, fail and disagree red,
// undecided yellow. No verdict ("") is written "none".
func (s Style) Verdict(word string) string {
	switch word {
	case "":
		return "none"
	case "pass", "agree":
		return s.paint(green, word)
	case "fail", "disagree":
		return s.paint(red, word)
	case "undecided":
		return s.paint(yellow, word)
	}
	return word
}

func (s Style) paint(code, t string) string {
	if !s.Color || t == "" {
		return t
	}
	return code + t + plain
}

// Heading writes a bold line with an empty line before it.
func Heading(w io.Writer, s Style, title string) error {
	_, err := io.WriteString(w, "\n"+s.Bold(s.cleanLine(title))+"\n")
	return err
}

// Paragraph writes text wrapped at the screen's width. With a lead, such as
// "1. " or "- ", the first line begins with it and the others are set in below.
func Paragraph(w io.Writer, s Style, lead, body string) error {
	lead = s.Clean(lead)
	indent := strings.Repeat(" ", columnsOf(lead))
	lines := strings.Split(wrap(s.cleanLine(body), max(s.width()-len(indent), 10)), "\n")
	var b strings.Builder
	for i, line := range lines {
		if i == 0 {
			b.WriteString(lead)
		} else {
			b.WriteString(indent)
		}
		b.WriteString(strings.TrimRight(line, " "))
		b.WriteByte('\n')
	}
	_, err := io.WriteString(w, b.String())
	return err
}
