package picture

import (
	"image/color"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

func (l Band) paint(p *paper) {
	for _, piece := range l.Pieces {
		var there, back []vg.Point
		for _, s := range piece {
			there, back = append(there, p.at(s.X, s.High)), append(back, p.at(s.X, s.Low))
		}
		slices.Reverse(back)
		p.FillPolygon(mist, append(there, back...))
	}
}

// zeroLine is the thin line at zero.
type zeroLine struct{ Layer }

func (zeroLine) paint(p *paper) {
	if p.low < 0 && p.high > 0 {
		p.StrokeLine2(forms[zero].LineStyle, p.Min.X, p.Y(p.y(0)), p.Max.X, p.Y(p.y(0)))
	}
}

func (l Curve) paint(p *paper) {
	for _, piece := range l.Pieces {
		var points []vg.Point
		for _, xy := range piece { // not at: what lies beyond is cut, not bent
			points = append(points, vg.Point{X: p.X((xy.X - p.left) / (p.right - p.left)), Y: p.Y((xy.Y - p.low) / (p.high - p.low))})
		}
		p.StrokeLines(forms[l.Role].LineStyle, p.ClipLinesXY(points)...)
	}
}

func (l Across) paint(p *paper) {
	for _, y := range l.At {
		if p.beyond(y) == 0 {
			at := p.Y(p.y(y))
			p.StrokeLine2(forms[l.Role].LineStyle, p.Min.X, at, p.Max.X, at)
		}
	}
}

func (l Upright) paint(p *paper) {
	for _, m := range l.List {
		x := p.X(p.x(m.X))
		p.StrokeLine2(forms[l.Role].LineStyle, x, p.Min.Y, x, p.Max.Y)
	}
}

// above are the labels over the chart.
func (l Upright) above(p *paper) []label {
	var list []label
	for _, m := range l.List {
		list = append(list, label{p.X(p.x(m.X)), fit(m.Label, p.wide/3, textFont)})
	}
	return list
}

func (l Points) paint(p *paper) {
	size := vg.Length(glyphSize)
	if l.crowded() {
		size = dotSize
	}
	for _, point := range l.List {
		if p.beyond(point.Y) != 0 || l.crowded() {
			continue
		}
		low, high := p.at(point.X, point.Y-point.Bar), p.at(point.X, point.Y+point.Bar)
		if high.Y-low.Y > leastBar {
			p.bar(low, high)
		}
		low, high = p.at(point.X-point.Wide, point.Y), p.at(point.X+point.Wide, point.Y)
		if high.X-low.X > leastBar {
			p.bar(low, high)
		}
	}
	for _, point := range l.List {
		at := p.at(point.X, point.Y)
		p.mark(l.Shape, at, size)
		if side := p.beyond(point.Y); side != 0 {
			p.arrow(at, vg.Length(side))
		}
	}
}

// box is a filled rectangle.
func (p *paper) box(c color.Color, left, right, low, high vg.Length) {
	p.FillPolygon(c, []vg.Point{{X: left, Y: low}, {X: right, Y: low}, {X: right, Y: high}, {X: left, Y: high}})
}

// bar is that of an uncertainty, with its ends.
func (p *paper) bar(low, high vg.Point) {
	look := forms[bar].LineStyle
	p.StrokeLine2(look, low.X, low.Y, high.X, high.Y)
	across := vg.Point{X: capSize}
	if low.Y == high.Y {
		across = vg.Point{Y: capSize}
	}
	for _, end := range []vg.Point{low, high} {
		p.StrokeLine2(look, end.X-across.X, end.Y-across.Y, end.X+across.X, end.Y+across.Y)
	}
}

// mark is a point of a shape. A hollow one covers what lies below it.
func (p *paper) mark(s Shape, at vg.Point, size vg.Length) {
	m := marks[s]
	if m.hollow {
		p.DrawGlyphNoClip(draw.GlyphStyle{Color: paperColour, Radius: size, Shape: draw.CircleGlyph{}}, at)
	}
	p.DrawGlyphNoClip(draw.GlyphStyle{Color: m.colour, Radius: size, Shape: m.glyph}, at)
}

// arrow points from beside a mark at the edge to where it truly lies: up (1)
// or down (-1).
func (p *paper) arrow(at vg.Point, side vg.Length) {
	tip := vg.Point{X: at.X, Y: at.Y - side*2*glyphSize}
	end := vg.Point{X: at.X, Y: tip.Y - side*4*glyphSize}
	look := forms[bar].LineStyle
	p.StrokeLine2(look, end.X, end.Y, tip.X, tip.Y)
	p.StrokeLine2(look, tip.X-glyphSize, tip.Y-side*glyphSize, tip.X, tip.Y)
	p.StrokeLine2(look, tip.X+glyphSize, tip.Y-side*glyphSize, tip.X, tip.Y)
}
