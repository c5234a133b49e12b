package picture

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// Ends are the intervals of level lines, as bars beside one another behind the
// end of the lines. What little of them lies outside of what else is shown widens
// it; what lies far outside is cut at the edge.
type Ends struct {
	Name string
	X    float64 // where the lines end
	List []End
}

// End is a line's interval.
type End struct {
	At, Low, High float64
	Role          Role // of the line
}

func (l Ends) reach(e *extent) {
	e.x(l.X)
	e.beside = max(e.beside, len(l.List))
	for _, end := range l.List {
		e.y(end.At)
		e.ends = append(e.ends, end.Low, end.High)
	}
}

// endPart is how far beyond the rest, as a part of its span, an interval may
// widen what is shown.
const endPart = 0.5

// besidePart is the room for a bar beside the lines, as a part of the span of x.
const besidePart = 0.04

func (l Ends) exits(frame) []exit { return nil }

func (l Ends) leaves(f frame) bool {
	for _, end := range l.List {
		if f.beyond(end.Low) != 0 || f.beyond(end.High) != 0 {
			return true
		}
	}
	return false
}

func (l Ends) paint(p *paper) {
	for i, end := range l.List {
		from := p.X(p.x(l.X))
		x, y := from+vg.Length(i+1)*endStep, p.Y(p.y(end.At))
		p.StrokeLine2(forms[end.Role].LineStyle, from, y, x, y)
		low, high := p.Y(p.y(end.Low)), p.Y(p.y(end.High))
		look := forms[bar].LineStyle
		p.StrokeLine2(look, x, low, x, high)
		for _, tip := range []struct {
			value float64
			y     vg.Length
		}{{end.Low, low}, {end.High, high}} {
			if side := p.beyond(tip.value); side != 0 {
				p.edge(vg.Point{X: x, Y: tip.y}, vg.Length(side))
			} else {
				p.StrokeLine2(look, x-capSize, tip.y, x+capSize, tip.y)
			}
		}
		p.StrokeLine2(look, x-capSize, y, x+capSize, y)
	}
}

func (l Ends) print(s *screen) {
	for i, end := range l.List {
		x := s.column(l.X) + 2*(i+1)
		for y := s.row(math.Min(end.High, s.high)); y <= s.row(math.Max(end.Low, s.low)); y++ {
			s.set(x, y, forms[bar].sign)
		}
		for _, value := range []float64{end.Low, end.High} {
			if side := s.beyond(value); side != 0 {
				s.edge(x, side)
			}
		}
		s.set(x, s.row(end.At), forms[end.Role].sign)
	}
}

func (l Ends) keys() []key { return []key{barKey(l.Name)} }
