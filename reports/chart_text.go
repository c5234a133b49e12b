package reports

import (
	"io"
	"math"
	"strconv"
	"strings"
)

// textRows is the height of a chart on a terminal, without its axis.
const textRows = 17

// Signs of a chart on a terminal: plain ASCII, so that any font has them.
const (
	signBand   = '.'
	signRule   = '-'
	signMark   = ':'
	signStrong = '!'
	signLine   = '*'
	signAhead  = '~'
	signBar    = '|'
	signPoint  = 'o'
	signOdd    = 'x'
)

// textCanvas is a field of characters, row 0 at the top.
type textCanvas struct {
	frame
	cells [][]rune
	width int
}

func (t *textCanvas) set(x, y int, sign rune) {
	if x >= 0 && x < t.width && y >= 0 && y < textRows {
		t.cells[y][x] = sign
	}
}

func (t *textCanvas) column(x float64) int { return int(math.Round(x * float64(t.width-1))) }
func (t *textCanvas) row(v float64) int    { return textRows - 1 - int(math.Round(t.y(v)*(textRows-1))) }

// Text writes the chart with characters, within the width of the screen.
func (c *Chart) Text(w io.Writer, s Style) error {
	t := &textCanvas{frame: c.frame()}
	labels := c.textLabels(t)
	margin := 0
	for _, l := range labels {
		margin = max(margin, len(l))
	}
	t.width = max(s.width()-margin-3, 20)
	t.cells = make([][]rune, textRows)
	for y := range t.cells {
		t.cells[y] = []rune(strings.Repeat(" ", t.width))
	}
	t.draw(c)
	var b strings.Builder
	b.WriteString(c.YName + "\n")
	for y, row := range t.cells {
		b.WriteString(strings.TrimRight(strings.Repeat(" ", margin-len(labels[y]))+labels[y]+" |"+string(row), " ") + "\n")
	}
	b.WriteString(strings.Repeat(" ", margin+1) + "+" + strings.Repeat("-", t.width) + "\n")
	b.WriteString(strings.Repeat(" ", margin+2) + t.timeAxis() + "\n")
	if _, err := io.WriteString(w, b.String()); err != nil {
		return err
	}
	return Paragraph(w, s, "", c.textLegend())
}

// textLabels are the numbers beside the rows.
func (c *Chart) textLabels(t *textCanvas) []string {
	labels := make([]string, textRows)
	for _, tick := range t.ticks {
		labels[t.row(tick)] = strconv.FormatFloat(tick*c.scale()+0, 'f', t.decimals, 64)
	}
	return labels
}

func (t *textCanvas) draw(c *Chart) {
	for i, b := range c.Band {
		from := t.column(t.x(b.Time))
		to := from
		if i+1 < len(c.Band) && !c.Band[i+1].Break {
			to = max(from, t.column(t.x(c.Band[i+1].Time))-1)
		}
		for x := from; x <= to; x++ {
			for y := t.row(b.High); y <= t.row(b.Low); y++ {
				t.set(x, y, signBand)
			}
		}
	}
	for _, r := range c.Rules {
		for x := 0; x < t.width; x++ {
			t.set(x, t.row(r.Y), signRule)
		}
	}
	for _, m := range c.Marks {
		sign := signMark
		if m.Strong {
			sign = signStrong
		}
		for y := range textRows {
			t.set(t.column(t.x(m.Time)), y, sign)
		}
	}
	for _, l := range c.Lines {
		t.line(l)
	}
	for _, p := range c.Points {
		x := t.column(t.x(p.Time))
		if !t.clipped(p.Y) {
			for y := t.row(p.Y + p.Bar); y <= t.row(p.Y-p.Bar); y++ {
				t.set(x, y, signBar)
			}
		}
	}
	for _, p := range c.Points {
		sign := signPoint
		if p.Odd {
			sign = signOdd
		}
		t.set(t.column(t.x(p.Time)), t.row(p.Y), sign)
	}
}

// line draws a line, one character in every column it crosses.
func (t *textCanvas) line(l ChartLine) {
	sign := signLine
	if l.Ahead {
		sign = signAhead
	}
	for i := 1; i < len(l.Points); i++ {
		a, b := l.Points[i-1], l.Points[i]
		from, to := t.column(t.x(a.Time)), t.column(t.x(b.Time))
		for x := from; x <= to; x++ {
			part := 0.0
			if to > from {
				part = float64(x-from) / float64(to-from)
			}
			t.set(x, t.row(a.Y+part*(b.Y-a.Y)), sign)
		}
	}
}

// timeAxis is the row of dates below the chart.
func (t *textCanvas) timeAxis() string {
	row := []rune(strings.Repeat(" ", t.width))
	free := 0
	for _, tick := range timeTicks(t.from, t.to, max(2, t.width/11)) {
		at := t.column(t.x(tick.at))
		text := []rune(tick.text)
		if at < free || at+len(text) > t.width {
			continue
		}
		copy(row[at:], text)
		free = at + len(text) + 1
	}
	return strings.TrimRight(string(row), " ")
}

func (c *Chart) textLegend() string {
	var parts []string
	add := func(sign rune, name string) {
		if name != "" {
			parts = append(parts, string(sign)+" "+name)
		}
	}
	add(signPoint, c.PointName)
	add(signOdd, c.OddName)
	add(signLine, c.LineName)
	add(signAhead, c.AheadName)
	add(signBand, c.BandName)
	add(signBar, c.BarName)
	add(signRule, c.RuleName)
	var weak, strong []string
	for _, m := range c.Marks {
		text := m.Name + " " + m.Time.Format(dayFormat)
		if strings.HasSuffix(m.Name, m.Time.Format(dayFormat)) {
			text = m.Name
		}
		if m.Strong {
			strong = append(strong, text)
		} else {
			weak = append(weak, text)
		}
	}
	if len(weak) > 0 {
		add(signMark, strings.Join(weak, ", "))
	}
	if len(strong) > 0 {
		add(signStrong, strings.Join(strong, ", "))
	}
	return strings.Join(parts, "; ")
}
