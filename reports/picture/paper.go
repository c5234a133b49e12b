package picture

import (
	"image/color"
	"slices"
	"sort"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// paper is a canvas with a chart's axes on it, on which layers paint.
type paper struct {
	frame
	draw.Canvas           // between the axes
	wide        vg.Length // of the whole paper
}

// label is a text above the chart, over a place of the x axis.
type label struct {
	x    vg.Length
	text string
}

// at is the point for a value, within the axes.
func (p *paper) at(x, y float64) vg.Point { return vg.Point{X: p.X(p.x(x)), Y: p.Y(p.y(y))} }

// plotted lets gonum/plot call a layer.
type plotted struct {
	*paper
	layer Layer
}

// Plot paints the layer between the axes.
func (l plotted) Plot(c draw.Canvas, _ *plot.Plot) {
	l.Canvas = c
	l.layer.paint(l.paper)
}

// sheet is a chart laid out on paper.
type sheet struct {
	format
	title  string
	panels []*panel
	legend legend
	high   vg.Length
}

// sheet lays a chart out. A chart of one panel has the usual height; one of
// several is as high as they need.
func (c *Chart) sheet(f format) *sheet {
	s := &sheet{format: f, title: clean(c.Title), panels: c.panels(), high: f.height}
	s.legend = newLegend(s.panels, f.width)
	if len(s.panels) == 1 && s.panels[0].y.Names == nil {
		return s
	}
	s.high = s.legend.height() + 2*margin + s.titleHeight()
	for _, p := range s.panels {
		s.high += p.named() + vg.Length(p.tall*float64(p.unnamed()))*f.height
	}
	return s
}

func (s *sheet) titleHeight() vg.Length {
	if s.title == "" {
		return 0
	}
	return titleFont.Size + 2*gap
}

// named is the height of a panel of names with all that belongs to it; 0 for
// another.
func (p *panel) named() vg.Length {
	if p.y.Names == nil {
		return 0
	}
	high := vg.Length(len(p.y.Names))*laneHeight + 2*gap + p.above(nil)
	if p.showsX {
		high += rowHeight + gap
	}
	if p.showsX && p.x.Name != "" {
		high += rowHeight
	}
	return high
}

func (p *panel) unnamed() int {
	if p.y.Names == nil {
		return 1
	}
	return 0
}

// above is the room for what stands over a panel.
func (p *panel) above(rows [][]label) vg.Length {
	high := vg.Length(len(rows))*rowHeight + gap
	if p.heading != "" {
		high += rowHeight
	}
	return high
}

// drawOn draws the whole chart.
func (s *sheet) drawOn(all draw.Canvas) {
	areas := s.areas(all)
	axes := make([]*plot.Plot, len(s.panels))
	for i, p := range s.panels {
		axes[i] = p.axes(s.width, areas[i].Max.Y-areas[i].Min.Y)
	}
	s.align(axes, areas)
	left := vg.Length(0)
	for i, p := range s.panels {
		left = p.drawOn(all, axes[i], areas[i])
	}
	if s.title != "" {
		at := vg.Point{X: left, Y: all.Max.Y - margin - titleFont.Size}
		all.FillText(style(titleFont, ink, text.XLeft), at, fit(s.title, all.Max.X-margin-left, titleFont))
	}
	s.legend.paint(&paper{Canvas: all})
}

// areas gives each panel its part of the paper, axes and all.
func (s *sheet) areas(all draw.Canvas) []draw.Canvas {
	area := draw.Crop(all, margin, -2*margin, margin+s.legend.height(), -margin-s.titleHeight())
	free, parts := area.Max.Y-area.Min.Y, 0.0
	for _, p := range s.panels {
		free -= p.named()
		parts += p.tall * float64(p.unnamed())
	}
	var list []draw.Canvas
	top := area.Max.Y
	for _, p := range s.panels {
		high := p.named()
		if high == 0 {
			high = free * vg.Length(p.tall/parts)
		}
		mine := area
		mine.Max.Y, mine.Min.Y = top, top-high
		if !p.showsX && p.y.Names == nil {
			mine.Min.Y += 2 * gap
		}
		top -= high
		list = append(list, mine)
	}
	return list
}

// align makes panels lie with their ends of the x axis below one another: what
// one of them needs beside its axes is left free beside all.
func (s *sheet) align(axes []*plot.Plot, areas []draw.Canvas) {
	for range 3 { // the room that labels need changes a little with the width
		left, titled, right := vg.Length(0), vg.Length(0), s.width
		for i, a := range axes {
			data := a.DataCanvas(areas[i])
			left, right = max(left, data.Min.X), min(right, data.Max.X)
			if a.Y.Label.Text != "" {
				titled = max(titled, data.Min.X)
			}
		}
		for i, a := range axes {
			data := a.DataCanvas(areas[i])
			areas[i].Max.X -= data.Max.X - right
			if a.Y.Label.Text != "" { // the names of the axes lie below one another
				a.Y.Label.Padding += titled - data.Min.X
				areas[i].Min.X += left - titled
			} else {
				areas[i].Min.X += left - data.Min.X
			}
		}
	}
}

// drawOn draws one panel, and returns where its x axis begins.
func (p *panel) drawOn(all draw.Canvas, axes *plot.Plot, area draw.Canvas) vg.Length {
	on := &paper{frame: p.frame, Canvas: axes.DataCanvas(area), wide: all.Max.X - all.Min.X}
	var labels []label
	for _, l := range p.layers { // find out what stands above the panel
		if up, ok := l.(Upright); ok {
			labels = append(labels, up.above(on)...)
		}
	}
	rows := arrange(labels, all.Min.X+margin, all.Max.X-margin)
	area.Max.Y -= p.above(rows)
	for _, l := range p.grounded() {
		axes.Add(plotted{on, l})
	}
	axes.Draw(area)
	data := axes.DataCanvas(area)
	y := data.Max.Y + gap
	for _, list := range rows {
		for _, l := range list {
			all.FillText(style(textFont, ink, text.XLeft), vg.Point{X: l.x, Y: y}, l.text)
		}
		y += rowHeight
	}
	if p.heading != "" {
		all.FillText(style(textFont, ink, text.XLeft), vg.Point{X: data.Min.X, Y: y}, fit(clean(p.heading), all.Max.X-margin-data.Min.X, textFont))
	}
	return data.Min.X
}

// grounded are the layers in the order in which they are drawn, with what is
// drawn of itself between the ground and what lies on it.
func (p *panel) grounded() []Layer {
	drawn := p.drawn()
	ground := slices.IndexFunc(drawn, func(l Layer) bool { return depth(l) > 1 })
	if ground < 0 {
		ground = len(drawn)
	}
	var between []Layer
	for _, l := range drawn[:ground] {
		if s, ok := l.(Shade); ok {
			between = append(between, hatching{s})
		}
	}
	if p.y.Names == nil {
		between = append(between, zeroLine{})
	}
	return slices.Insert(drawn, ground, between...)
}

// axes are the axes of gonum/plot with our rules on them, in an area of some
// width and height.
func (p *panel) axes(width, high vg.Length) *plot.Plot {
	a := plot.New()
	a.BackgroundColor = nil
	a.X.Min, a.X.Max, a.Y.Min, a.Y.Max = p.left, p.right, p.low, p.high
	xTicks := p.x.ticks(p.left, p.right, min(fewTicks, int(width/tickWide)))
	yTicks := p.y.ticks(p.low, p.high, min(fewTicks, int(high/(1.5*rowHeight))))
	if !p.showsX {
		xTicks = nil
	}
	for _, t := range []struct {
		axis  *plot.Axis
		name  string
		ticks []tick
		room  vg.Length // of a label
	}{{&a.X, p.x.Name, xTicks, width / 3}, {&a.Y, p.y.Name, yTicks, namesPart * width}} {
		t.axis.Padding = 0
		t.axis.LineStyle, t.axis.Tick.LineStyle, t.axis.Tick.Length = forms[axis].LineStyle, forms[axis].LineStyle, gap
		t.axis.Tick.Label.Font, t.axis.Label.TextStyle.Font = textFont, textFont
		t.axis.Tick.Label.Color, t.axis.Label.TextStyle.Color = ink, ink
		var marks plot.ConstantTicks
		for _, one := range t.ticks {
			marks = append(marks, plot.Tick{Value: one.at, Label: fit(one.text, t.room, textFont)})
		}
		t.axis.Tick.Marker = marks
	}
	a.Y.Label.Text = fit(clean(p.y.Name), high-3*margin, textFont)
	a.Y.Label.Padding = gap
	if p.showsX {
		a.X.Label.Text = fit(clean(p.x.Name), width/2, textFont)
	}
	return a
}

// arrange gives labels rows, the nearest to the chart first, so that no two
// touch. A label stands over the middle of its place unless the end of the
// paper is near. Labels are placed in order; one that finds no room in
// mostRows is left out.
func arrange(list []label, left, right vg.Length) [][]label {
	var rows [][]label
	for _, l := range list {
		wide := wideness(l.text, textFont)
		l.x = max(left, min(l.x-wide/slack/2, right-wide))
		for row := 0; row < mostRows; row++ {
			if row == len(rows) {
				rows = append(rows, nil)
			}
			clash := slices.ContainsFunc(rows[row], func(o label) bool {
				return l.x < o.x+wideness(o.text, textFont)+2*gap && o.x < l.x+wide+2*gap
			})
			if !clash {
				rows[row] = append(rows[row], l)
				break
			}
		}
	}
	for len(rows) > 0 && len(rows[len(rows)-1]) == 0 {
		rows = rows[:len(rows)-1]
	}
	return rows
}

const mostRows = 3

// style is a text in one of our fonts.
func style(f font.Font, c color.Color, x text.XAlignment) text.Style {
	return text.Style{Color: c, Font: f, XAlign: x, Handler: plot.DefaultTextHandler}
}

// wideness is the room that a text takes on paper.
func wideness(t string, f font.Font) vg.Length { return slack * style(f, ink, text.XLeft).Width(t) }

// fit cuts a text that is wider than its room.
func fit(t string, room vg.Length, f font.Font) string {
	if wideness(t, f) <= room {
		return t
	}
	runes := []rune(t)
	n := sort.Search(len(runes), func(n int) bool { return wideness(string(runes[:n+1])+"...", f) > room })
	return string(runes[:n]) + "..."
}
