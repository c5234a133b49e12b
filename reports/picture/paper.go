package picture

import (
	"image/color"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// paper is a canvas with a chart's axes on it, on which layers paint.
type paper struct {
	frame
	draw.Canvas // between the axes
	labels      []label
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

// drawOn draws the whole chart.
func (c *Chart) drawOn(all draw.Canvas) {
	p := &paper{frame: c.frame()}
	axes := c.axes(p.frame)
	legend := c.legend(all)
	area := draw.Crop(all, margin, -2*margin, margin+legend.height(), -margin)
	for _, l := range c.Layers { // find out what stands above the chart
		if up, ok := l.(Upright); ok {
			p.Canvas = axes.DataCanvas(area)
			p.labels = append(p.labels, up.above(p)...)
		}
	}
	rows := arrange(p.labels, all.Min.X+margin, all.Max.X-margin)
	top := area
	if c.Title != "" {
		area.Max.Y -= titleFont.Size + 2*gap
	}
	area.Max.Y -= vg.Length(len(rows))*rowHeight + gap
	for _, l := range c.Layers {
		axes.Add(plotted{p, l})
	}
	axes.Draw(area)
	data := axes.DataCanvas(area)
	if p.low < 0 && p.high > 0 {
		data.StrokeLine2(forms[zero].LineStyle, data.Min.X, data.Y(p.y(0)), data.Max.X, data.Y(p.y(0)))
	}
	for row, list := range rows {
		for _, l := range list {
			y := data.Max.Y + gap + vg.Length(row)*rowHeight
			all.FillText(style(textFont, ink, text.XLeft), vg.Point{X: l.x, Y: y}, l.text)
		}
	}
	if c.Title != "" {
		room := all.Max.X - margin - data.Min.X
		top.FillText(style(titleFont, ink, text.XLeft), vg.Point{X: data.Min.X, Y: top.Max.Y - titleFont.Size}, fit(clean(c.Title), room, titleFont))
	}
	p.Canvas = all
	legend.paint(p)
}

// axes are the axes of gonum/plot with our rules on them.
func (c *Chart) axes(f frame) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = f.left, f.right, f.low, f.high
	for _, a := range []struct {
		axis  *plot.Axis
		ours  Axis
		ticks []tick
	}{{&p.X, c.X, c.X.ticks(f.left, f.right, fewTicks)}, {&p.Y, c.Y, f.yTicks}} {
		a.axis.Padding = 0
		a.axis.LineStyle, a.axis.Tick.LineStyle, a.axis.Tick.Length = forms[axis].LineStyle, forms[axis].LineStyle, gap
		a.axis.Tick.Label.Font, a.axis.Label.TextStyle.Font = textFont, textFont
		a.axis.Tick.Label.Color, a.axis.Label.TextStyle.Color = ink, ink
		a.axis.Label.Text = fit(clean(a.ours.Name), height-8*margin, textFont)
		var marks plot.ConstantTicks
		for _, t := range a.ticks {
			marks = append(marks, plot.Tick{Value: t.at, Label: t.text})
		}
		a.axis.Tick.Marker = marks
	}
	p.Y.Label.Padding = gap
	return p
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
	for len(runes) > 0 && wideness(string(runes)+"...", f) > room {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "..."
}
