package picture

import (
	"slices"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// key is an entry of a legend: a symbol and its name.
type key struct {
	name string
	sign rune // on a terminal
	draw func(p *paper, s symbol)
}

// symbol is where a symbol is drawn: its left end and its middle height.
type symbol struct{ x, y vg.Length }

func (s symbol) middle() vg.Point { return vg.Point{X: s.x + symbolWide/2, Y: s.y} }

// stroke is the key of a line.
func stroke(name string, r Role) key {
	return key{name, forms[r].sign, func(p *paper, s symbol) {
		p.StrokeLine2(forms[r].LineStyle, s.x, s.y, s.x+symbolWide, s.y)
	}}
}

func (l Curve) keys() []key  { return []key{stroke(l.Name, l.Role)} }
func (l Across) keys() []key { return []key{stroke(l.Name, l.Role)} }

// What stands above a chart explains itself.
func (l Upright) keys() []key { return nil }

func (l Band) keys() []key {
	return []key{{l.Name, signBand, func(p *paper, s symbol) {
		p.box(mist, s.x, s.x+symbolWide, s.y-4, s.y+4)
	}}}
}

func (l Points) keys() []key {
	list := []key{{l.Name, marks[l.Shape].sign, func(p *paper, s symbol) { p.mark(l.Shape, s.middle(), glyphSize) }}}
	if l.BarName != "" && !l.crowded() {
		list = append(list, key{l.BarName, forms[bar].sign, func(p *paper, s symbol) {
			m := s.middle()
			p.bar(vg.Point{X: m.X, Y: m.Y - 5}, vg.Point{X: m.X, Y: m.Y + 5})
		}})
	}
	return list
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

// newLegend lays the keys out within the width of the paper.
func newLegend(panels []*panel, width vg.Length) legend {
	g := legend{left: 2 * margin}
	right := width - margin
	x := right
	for _, k := range keys(panels) {
		k.name = fit(clean(k.name), right-g.left-symbolWide-gap, textFont)
		wide := symbolWide + gap + wideness(k.name, textFont)
		if len(g.rows) == 0 || x+wide > right {
			g.rows, x = append(g.rows, nil), g.left
		}
		last := len(g.rows) - 1
		g.rows[last] = append(g.rows[last], placed{k, x})
		x += wide + 1.5*margin
	}
	return g
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
