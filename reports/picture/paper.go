package picture

import (
	"image/color"
	"slices"

	"github.com/brinemark/brinemark/reports/typeset"
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
	for _, l := range append(p.grounded(), edges{of: p.layers}) {
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
		all.FillText(style(textFont, ink, text.XLeft), vg.Point{X: data.Min.X, Y: y}, fit(p.heading, all.Max.X-margin-data.Min.X, textFont))
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
	xMost := min(fewTicks, int(width/tickWide))
	xTicks := p.x.ticks(p.left, p.right, xMost)
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
	a.Y.Label.Text = p.y.onPaper(p.frame, 0, high-3*margin)
	a.Y.Label.Padding = gap
	if p.showsX {
		a.X.Label.Text = p.x.onPaper(p.frame, xMost, width/2)
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

// fit is a text as it stands on paper, cut where it is wider than its room.
func fit(t string, room vg.Length, f font.Font) string {
	return typeset.Fit(typeset.Text(t), func(t string) bool { return wideness(t, f) <= room })
}
