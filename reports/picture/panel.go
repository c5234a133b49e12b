package picture

import (
	"math"
	"slices"
)

// panel is a panel on its way to be drawn.
type panel struct {
	heading string
	x, y    Axis
	layers  []Layer
	tall    float64
	frame
	showsX bool // the labels of the x axis stand below it
}

// crowd is how many points are too many to be seen one by one.
const crowd = 80

// panels are those of a chart from the top. Panels that share an x axis show
// the same part of it.
func (c *Chart) panels() []*panel {
	list := []*panel{{heading: c.Heading, x: c.X, y: c.Y, layers: c.Layers, tall: c.Tall}}
	groups := []int{0}
	for i, b := range c.Below {
		p := &panel{heading: b.Heading, x: list[i].x, y: b.Y, layers: b.Layers, tall: b.Tall}
		if b.X != nil {
			p.x, groups = *b.X, append(groups, i+1)
		}
		list = append(list, p)
	}
	groups = append(groups, len(list))
	for g, first := range groups[:len(groups)-1] {
		share := list[first:groups[g+1]]
		share[len(share)-1].showsX = true
		all := emptyExtent()
		extents := make([]extent, len(share))
		for i, p := range share {
			extents[i] = p.extent()
			all.x(extents[i].left)
			all.x(extents[i].right)
			all.flush = all.flush || extents[i].flush
			all.beside = max(all.beside, extents[i].beside)
		}
		for i, p := range share {
			if p.tall == 0 {
				p.tall = 1
			}
			extents[i].left, extents[i].right, extents[i].flush, extents[i].beside = all.left, all.right, all.flush, all.beside
			p.frame = p.framed(extents[i])
		}
	}
	return list
}

// drawn are the layers in the order in which they are drawn.
func (p *panel) drawn() []Layer {
	list := slices.Clone(p.layers)
	slices.SortStableFunc(list, func(a, b Layer) int { return depth(a) - depth(b) })
	return list
}

// depth tells what lies lower: what is shaded lowest, bands above it, and
// crowded points under everything else, since they would hide it.
func depth(l Layer) int {
	switch l := l.(type) {
	case Shade:
		return 0
	case Band:
		return 1
	case Points:
		if l.crowded() {
			return 1
		}
	}
	return 2
}

// frame is the part of the world that a panel shows.
type frame struct {
	left, right, low, high float64
}

// tick is a place on an axis with its label.
type tick struct {
	at   float64
	text string
}

// Part of the span that is left free beyond what must be shown.
const rimX, rimY = 0.02, 0.06

// besideName is how far a panel of names goes beyond the middle of the first
// and the last.
const besideName = 0.6

// extent is what is to be shown.
func (p *panel) extent() extent {
	e := emptyExtent()
	for _, l := range p.layers {
		l.reach(&e)
	}
	for _, y := range p.y.Holds {
		e.y(y)
	}
	span := e.high - e.low
	low, high := e.low-span, e.high+span
	if !(span > 0) {
		low, high = math.Inf(-1), math.Inf(1)
	}
	for _, b := range e.bands {
		e.low, e.high = math.Min(e.low, math.Max(b[0], low)), math.Max(e.high, math.Min(b[1], high))
	}
	low, high = low+(1-endPart)*span, high-(1-endPart)*span
	for _, y := range e.ends {
		if y >= low && y <= high {
			e.y(y)
		}
	}
	return e
}

// framed is what is shown.
func (p *panel) framed(e extent) frame {
	f := frame{}
	f.left, f.right = widen(e.left, e.right, p.x.least(), rimX)
	if e.flush {
		f.left, f.right = e.left, e.right
	}
	f.low, f.high = widen(e.low, e.high, p.y.least(), rimY)
	if e.beside > 0 {
		f.right += besidePart * float64(e.beside) * (f.right - f.left)
	}
	if p.y.Names != nil {
		f.low, f.high = -float64(len(p.y.Names)-1)-besideName, besideName
	}
	return f
}

// farthest bounds what is shown, so that spans are numbers.
const farthest = 1e300

func widen(from, to, least, rim float64) (low, high float64) {
	if math.IsInf(from, 0) || math.IsInf(to, 0) || math.IsNaN(from) || math.IsNaN(to) {
		from, to = 0, 0
	}
	from, to = math.Max(from, -farthest), math.Min(to, farthest)
	if !(to > from) {
		least = math.Max(least, 1e-9*math.Abs(from)) // or the ends are one number
		from, to = from-least, to+least
	}
	return from - rim*(to-from), to + rim*(to-from)
}

// x and y are where a value lies, from 0 (left, bottom) to 1. What lies beyond
// an end stays at it.
func (f frame) x(x float64) float64 { return clamp((x - f.left) / (f.right - f.left)) }
func (f frame) y(y float64) float64 { return clamp((y - f.low) / (f.high - f.low)) }

func clamp(x float64) float64 { return math.Max(0, math.Min(1, x)) }

// beyond tells whether a value lies above (1) or below (-1) what is shown.
func (f frame) beyond(y float64) int {
	switch {
	case y > f.high:
		return 1
	case y < f.low:
		return -1
	}
	return 0
}
