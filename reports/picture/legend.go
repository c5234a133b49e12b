package picture

import (
	"slices"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// key is an entry of a legend: a symbol and its name.
type key struct {
	name  string
	sign  rune // on a terminal
	other rune // another sign for the same; 0 for none
	draw  func(p *paper, s symbol)
}

// symbol is where a symbol is drawn: its left end and its middle height.
type symbol struct{ x, y vg.Length }

func (s symbol) middle() vg.Point { return vg.Point{X: s.x + symbolWide/2, Y: s.y} }

// stroke is the key of a line.
func stroke(name string, r Role) key {
	return key{name: name, sign: forms[r].sign, draw: func(p *paper, s symbol) {
		p.StrokeLine2(forms[r].LineStyle, s.x, s.y, s.x+symbolWide, s.y)
	}}
}

func (l Curve) keys() []key  { return []key{stroke(l.Name, l.Role)} }
func (l Across) keys() []key { return []key{stroke(l.Name, l.Role)} }

// What stands above a chart explains itself.
func (l Upright) keys() []key { return nil }

func (l Band) keys() []key {
	return []key{{name: l.Name, sign: signBand, draw: func(p *paper, s symbol) {
		p.box(mist, s.x, s.x+symbolWide, s.y-4, s.y+4)
	}}}
}

func (l Points) keys() []key {
	list := []key{{name: l.Name, sign: marks[l.Shape].sign, draw: func(p *paper, s symbol) { p.mark(l.Shape, s.middle(), glyphSize) }}}
	if l.BarName != "" && !l.crowded() {
		list = append(list, barKey(l.BarName))
	}
	return list
}

// barKey is the key of an interval.
func barKey(name string) key {
	return key{name: name, sign: forms[bar].sign, draw: func(p *paper, s symbol) {
		m := s.middle()
		p.bar(vg.Point{X: m.X, Y: m.Y - 5}, vg.Point{X: m.X, Y: m.Y + 5})
	}}
}

// keys are the entries of the whole chart, panel by panel, those of the topmost
// layer first, each once: two pieces of one thing need one explanation.
func keys(panels []*panel) []key {
	var list []key
	type look struct {
		name string
		sign rune
	}
	seen := map[look]bool{}
	for _, p := range panels {
		for _, l := range slices.Backward(p.layers) {
			for _, k := range l.keys() {
				if this := (look{k.name, k.sign}); k.name != "" && !seen[this] {
					seen[this] = true
					list = append(list, k)
				}
			}
		}
	}
	if slices.ContainsFunc(panels, (*panel).leaves) {
		list = append(list, beyondKey())
	}
	return list
}

// legend is laid out in rows below the chart.
type legend struct {
	rows [][]placed
	left vg.Length
}

type placed struct {
	key
	x vg.Length
}

// newLegend lays the keys out within the width of the paper, row by row, in as
// many columns as there is room for.
func newLegend(panels []*panel, width vg.Length) legend {
	g := legend{left: 2 * margin}
	room := width - margin - g.left
	list := keys(panels)
	for i := range list {
		list[i].name = fit(list[i].name, room-symbolWide-gap, textFont)
	}
	for n := len(list); n > 0; n-- {
		wide, all := columnsOf(list, n)
		if all > room && n > 1 {
			continue
		}
		for i, k := range list {
			if i%n == 0 {
				g.rows = append(g.rows, nil)
			}
			last, x := len(g.rows)-1, g.left
			for _, w := range wide[:i%n] {
				x += w + betweenKeys
			}
			g.rows[last] = append(g.rows[last], placed{k, x})
		}
		break
	}
	return g
}

// columnsOf are the widths of so many columns, and of all with what lies between.
func columnsOf(list []key, n int) (wide []vg.Length, all vg.Length) {
	wide = make([]vg.Length, n)
	for i, k := range list {
		wide[i%n] = max(wide[i%n], symbolWide+gap+wideness(k.name, textFont))
	}
	for _, w := range wide {
		all += w
	}
	return wide, all + vg.Length(n-1)*betweenKeys
}

func (g legend) height() vg.Length { return vg.Length(len(g.rows))*rowHeight + gap }

// paint draws the legend at the bottom of the paper.
func (g legend) paint(p *paper) {
	if len(g.rows) == 0 {
		return
	}
	y := p.Min.Y + margin + g.height() - gap - rowHeight
	for _, row := range g.rows {
		for _, k := range row {
			k.draw(p, symbol{k.x, y + textFont.Size/3})
			p.FillText(style(textFont, ink, text.XLeft), vg.Point{X: k.x + symbolWide + gap, Y: y}, k.name)
		}
		y -= rowHeight
	}
}
