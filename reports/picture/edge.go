package picture

import (
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
)

// What goes on beyond the edge of what is shown is cut there, and a mark at the
// edge says so.

// beyondName explains those marks.
const beyondName = "goes on beyond the edge"

// exit is where a layer leaves what is shown: upward (1) or downward (-1).
type exit struct {
	x    float64
	side int
}

// leaver is a layer of which a part may lie beyond the edge.
type leaver interface {
	exits(f frame) []exit // those that the edge is marked at
	leaves(f frame) bool
}

// middles are the middles of the runs of places that lie beyond on one side.
func middles(list []exit) (out []exit) {
	for i := 0; i < len(list); {
		end := i
		for end+1 < len(list) && list[end+1].side == list[i].side {
			end++
		}
		if list[i].side != 0 {
			out = append(out, exit{list[i].x/2 + list[end].x/2, list[i].side})
		}
		i = end + 1
	}
	return out
}

func (l Curve) exits(f frame) (out []exit) {
	for _, piece := range l.Pieces {
		var list []exit
		for _, p := range piece {
			list = append(list, exit{p.X, f.beyond(p.Y)})
		}
		out = append(out, middles(list)...)
	}
	return out
}

func (l Band) exits(f frame) (out []exit) {
	for _, piece := range l.Pieces {
		var high, low []exit
		for _, s := range piece {
			high = append(high, exit{s.X, max(f.beyond(s.High), 0)})
			low = append(low, exit{s.X, min(f.beyond(s.Low), 0)})
		}
		out = append(append(out, middles(high)...), middles(low)...)
	}
	return out
}

func (l Curve) leaves(f frame) bool { return len(l.exits(f)) > 0 }
func (l Band) leaves(f frame) bool  { return len(l.exits(f)) > 0 }

// leaves tells whether something of the panel lies beyond the edge.
func (p *panel) leaves() bool {
	return slices.ContainsFunc(p.layers, func(l Layer) bool {
		out, ok := l.(leaver)
		return ok && out.leaves(p.frame)
	})
}

// edges marks where the layers of a panel leave it.
type edges struct {
	Layer
	of []Layer
}

func (l edges) paint(p *paper) {
	var marked []vg.Point
	for _, layer := range l.of {
		out, ok := layer.(leaver)
		if !ok {
			continue
		}
		for _, e := range out.exits(p.frame) {
			at := vg.Point{X: p.X(p.x(e.x)), Y: p.Max.Y}
			if e.side < 0 {
				at.Y = p.Min.Y
			}
			near := func(o vg.Point) bool { return o.Y == at.Y && math.Abs(float64(o.X-at.X)) < 3*edgeSize }
			if slices.ContainsFunc(marked, near) {
				continue
			}
			marked = append(marked, at)
			p.edge(at, vg.Length(e.side))
		}
	}
}

// edge is a mark whose tip lies at the edge.
func (p *paper) edge(tip vg.Point, side vg.Length) {
	base := tip.Y - side*1.5*edgeSize
	p.FillPolygon(ink, []vg.Point{tip, {X: tip.X - edgeSize, Y: base}, {X: tip.X + edgeSize, Y: base}})
}

func (l edges) print(s *screen) {
	for _, layer := range l.of {
		out, ok := layer.(leaver)
		if !ok {
			continue
		}
		for _, e := range out.exits(s.frame) {
			s.edge(s.column(e.x), e.side)
		}
	}
}

func (s *screen) edge(x, side int) {
	if side > 0 {
		s.set(x, 0, signAbove)
	} else {
		s.set(x, len(s.cells)-1, signBelow)
	}
}

// beyondKey explains the marks at the edge.
func beyondKey() key {
	return key{name: beyondName, sign: signAbove, other: signBelow, draw: func(p *paper, s symbol) {
		p.edge(s.middle().Add(vg.Point{X: -1.5 * edgeSize, Y: 0.75 * edgeSize}), 1)
		p.edge(s.middle().Add(vg.Point{X: 1.5 * edgeSize, Y: -0.75 * edgeSize}), -1)
	}}
}
