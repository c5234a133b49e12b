package picture

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// sheet is a chart laid out on paper.
type sheet struct {
	format
	title  string
	panels []*panel
	legend legend
	high   vg.Length
}

// usualRows is how many rows of a legend the usual height has room for.
const usualRows = 2

// sheet lays a chart out. A chart of one panel has the usual height, and more for
// a long legend; one of several is as high as they need.
func (c *Chart) sheet(f format) *sheet {
	s := &sheet{format: f, title: c.Title, panels: c.panels(), high: f.height}
	s.legend = newLegend(s.panels, f.width)
	if len(s.panels) == 1 && s.panels[0].y.Names == nil {
		s.high += vg.Length(max(0, len(s.legend.rows)-usualRows)) * rowHeight
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
	if p.showsX && (p.x.Name != "" || p.x.Unit != "" || p.x.Zone != nil) {
		high += rowHeight
	}
	if !p.showsX { // apart from the next one
		high += 2 * gap
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
		// Over the axes, or further left where it needs the room.
		right := all.Max.X - margin
		title := fit(s.title, right-2*margin, titleFont)
		at := vg.Point{X: max(2*margin, min(left, right-wideness(title, titleFont))), Y: all.Max.Y - margin - titleFont.Size}
		all.FillText(style(titleFont, ink, text.XLeft), at, title)
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
		if !p.showsX {
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
