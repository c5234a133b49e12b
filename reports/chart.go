package reports

import (
	"io"
	"strings"

	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/reports/picture"
)

// normal95 is half the width of a normal distribution's 95 % interval.
const normal95 = 1.959963984540054

// axisOf is an axis in a unit; one that nobody knows is that of the display. The
// factor of ppm@0.5 is written as people write it.
func axisOf(what, unit string) picture.Axis {
	if unit == "" {
		return picture.Axis{Name: what + ", as displayed"}
	}
	if word, factor, ok := strings.Cut(unit, "@"); ok && word == tempcomp.PPMUnit {
		unit = ppmTimes(factor)
	}
	return picture.Axis{Name: what, Unit: unit}
}

// ppmTimes is the unit of a display that shows so many ppm for each uS/cm.
func ppmTimes(factor string) string { return tempcomp.PPMUnit + " (x " + factor + ")" }

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
		} else if columnsOf(joined) > s.width() {
			if err := flush(); err != nil {
				return err
			}
			joined = text
		}
		line = joined
	}
	return flush()
}
