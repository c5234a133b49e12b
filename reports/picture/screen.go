package picture

import (
	"math"
	"strings"

	"github.com/brinemark/brinemark/reports/typeset"
)

// screenRows is the height of a chart on a terminal, without its axis, and
// leastRows that of the lowest panel.
const screenRows, leastRows = 17, 5

// leastColumns is the narrowest chart on a terminal.
const leastColumns = 20

// screenNames is the part of the columns that names on the y axis may take.
const screenNames = 0.4

// screen is a field of characters, row 0 at the top.
type screen struct {
	frame
	cells [][]rune
	width int
	named bool // rows are those of names on the y axis
}

func (s *screen) set(x, y int, sign rune) {
	if x >= 0 && x < s.width && y >= 0 && y < len(s.cells) {
		s.cells[y][x] = sign
	}
}

func (s *screen) column(x float64) int { return int(math.Round(s.x(x) * float64(s.width-1))) }
func (s *screen) row(y float64) int {
	if s.named {
		return int(math.Round(-y))
	}
	return len(s.cells) - 1 - int(math.Round(s.y(y)*float64(len(s.cells)-1)))
}

// Screen draws the chart with ASCII characters, so that any font has them, in
// lines of at most so many columns; and says in a legend, one entry for each
// sign, what they are.
func (c *Chart) Screen(columns int) (lines, legend []string) {
	panels, wide := c.panels(), 0
	for i, p := range panels {
		if i == 0 || panels[i-1].showsX { // the first of those that share an x axis
			wide = 0
			for _, q := range panels[i:] {
				for _, t := range q.screenTicks() {
					wide = max(wide, typeset.Columns(typeset.Words(t.text)))
				}
				if q.showsX {
					break
				}
			}
			wide = min(wide, int(screenNames*float64(columns)))
		}
		lines = append(lines, p.screen(columns, wide)...)
	}
	return lines, screenLegend(panels)
}

// screenTicks are the labels of the y axis, not on every row.
func (p *panel) screenTicks() []tick {
	return p.y.ticks(p.low, p.high, min(fewTicks, p.rows()/2+1))
}

// rows is the height of a panel on a terminal.
func (p *panel) rows() int {
	if p.y.Names != nil {
		return len(p.y.Names)
	}
	return max(leastRows, int(math.Round(p.tall*screenRows)))
}

// screen draws a panel whose labels take some columns.
func (p *panel) screen(columns, wide int) (lines []string) {
	s := &screen{frame: p.frame, width: max(columns-wide-2, leastColumns), cells: make([][]rune, p.rows()), named: p.y.Names != nil}
	labels := make([]string, len(s.cells))
	for _, t := range p.screenTicks() {
		labels[s.row(t.at)] = cut(t.text, wide)
	}
	for y := range s.cells {
		s.cells[y] = []rune(strings.Repeat(" ", s.width))
	}
	for _, l := range append(p.drawn(), edges{of: p.layers}) {
		l.print(s)
	}
	for _, head := range []string{cut(p.heading, columns), p.y.onScreen(p.frame, 0, columns)} {
		if head != "" {
			lines = append(lines, head)
		}
	}
	blank := func(n int) string { return strings.Repeat(" ", max(n, 0)) }
	for y, row := range s.cells {
		lines = append(lines, strings.TrimRight(blank(wide-typeset.Columns(labels[y]))+labels[y]+" |"+string(row), " "))
	}
	lines = append(lines, blank(wide+1)+"+"+strings.Repeat("-", s.width))
	if !p.showsX {
		return lines
	}
	lines = append(lines, blank(wide+2)+s.below(p.x))
	if name := p.x.onScreen(p.frame, s.mostTicks(p.x), s.width); name != "" && name != dateName {
		lines = append(lines, blank(wide+2+s.width-typeset.Columns(name))+name)
	}
	return lines
}

// below is the row of labels under the axis.
func (s *screen) below(a Axis) string {
	row := []rune(strings.Repeat(" ", s.width))
	free := 0
	for _, t := range a.ticks(s.left, s.right, s.mostTicks(a)) {
		text := []rune(t.text)
		at := max(0, min(s.column(t.at)-len(text)/2, s.width-len(text)))
		if at < free {
			continue
		}
		copy(row[at:], text)
		free = at + len(text) + 1
	}
	return strings.TrimRight(string(row), " ")
}

// mostTicks is for how many labels there is room below the axis.
func (s *screen) mostTicks(a Axis) int {
	wide := 6 // columns for a number, and for a date
	if a.Zone != nil {
		wide = 11
	}
	return max(2, s.width/wide)
}

func screenLegend(panels []*panel) []string {
	var list []string
	for _, k := range keys(panels) {
		signs := string(k.sign)
		if k.other != 0 {
			signs += " " + string(k.other)
		}
		list = append(list, signs+" "+typeset.Words(k.name))
	}
	said := map[string]int{}
	var layers []Layer
	for _, p := range panels {
		layers = append(layers, p.layers...)
	}
	for _, l := range layers {
		up, ok := l.(Upright)
		if !ok {
			continue
		}
		sign := string(forms[up.Role].sign)
		for _, m := range up.List {
			text := typeset.Words(m.Label)
			if at, ok := said[sign]; ok {
				list[at] += ", " + text
				continue
			}
			said[sign] = len(list)
			list = append(list, sign+" "+text)
		}
	}
	return list
}

func (l Band) print(s *screen) {
	for _, piece := range l.Pieces {
		for i, a := range piece {
			b := piece[min(i+1, len(piece)-1)]
			s.between(a.X, b.X, func(x int, part float64) {
				low, high := a.Low+part*(b.Low-a.Low), a.High+part*(b.High-a.High)
				for y := s.row(high); y <= s.row(low); y++ {
					s.set(x, y, signBand)
				}
			})
		}
	}
}

func (l Curve) print(s *screen) {
	for _, piece := range l.Pieces {
		for i, a := range piece {
			b := piece[min(i+1, len(piece)-1)]
			s.between(a.X, b.X, func(x int, part float64) {
				if y := a.Y + part*(b.Y-a.Y); s.beyond(y) == 0 {
					s.set(x, s.row(y), forms[l.Role].sign)
				}
			})
		}
	}
}

// between visits every column from one place to another, with the part of the
// way there.
func (s *screen) between(from, to float64, visit func(x int, part float64)) {
	first, last := s.column(from), s.column(to)
	for x := first; x <= last; x++ {
		part := 0.0
		if last > first {
			part = float64(x-first) / float64(last-first)
		}
		visit(x, part)
	}
}

func (l Across) print(s *screen) {
	for _, y := range l.At {
		for x := range s.width {
			s.set(x, s.row(y), forms[l.Role].sign)
		}
	}
}

func (l Upright) print(s *screen) {
	for _, m := range l.List {
		for y := range s.cells {
			s.set(s.column(m.X), y, forms[l.Role].sign)
		}
	}
}

func (l Points) print(s *screen) {
	for _, p := range l.List {
		if p.Bar > 0 && s.beyond(p.Y) == 0 && !l.crowded() {
			for y := s.row(p.Y + p.Bar); y <= s.row(p.Y-p.Bar); y++ {
				s.set(s.column(p.X), y, forms[bar].sign)
			}
		}
	}
	for _, p := range l.List {
		s.set(s.column(p.X), s.row(p.Y), marks[l.Shape].sign)
	}
}

// cut is a text as a terminal shows it, cut where there is no room for it.
func cut(text string, room int) string {
	return typeset.Fit(text, func(t string) bool { return typeset.Columns(t) <= room })
}
