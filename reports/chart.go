package reports

import (
	"io"
	"strings"
	"unicode/utf8"

	"github.com/brinemark/brinemark/reports/picture"
)

// normal95 is half the width of a normal distribution's 95 % interval.
const normal95 = 1.959963984540054

// writeChart draws a chart with characters, under a heading, with its legend.
func writeChart(w io.Writer, s Style, c *picture.Chart) error {
	if err := Heading(w, s, "Chart"); err != nil {
		return err
	}
	lines, legend := c.Screen(s.width())
	if _, err := io.WriteString(w, strings.Join(lines, "\n")+"\n"); err != nil {
		return err
	}
	return writePacked(w, s, legend)
}

// writePacked writes texts beside one another, as many on a line as fit, and
// breaks only those that do not fit on one.
func writePacked(w io.Writer, s Style, list []string) error {
	line := ""
	flush := func() error {
		if line == "" {
			return nil
		}
		text := line
		line = ""
		return Paragraph(w, s, "", text)
	}
	for _, text := range list {
		joined := line + "   " + text
		if line == "" {
			joined = text
		} else if utf8.RuneCountInString(joined) > s.width() {
			if err := flush(); err != nil {
				return err
			}
			joined = text
		}
		line = joined
	}
	return flush()
}
