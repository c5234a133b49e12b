package picture

import (
	"fmt"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// Span is a stretch of the x axis.
type Span struct {
	From, To float64
	Part     float64 // in a lane: how much of its height is filled; 0 stands for all
}

// Shade marks stretches of the x axis from bottom to top.
type Shade struct {
	Name string
	List []Span
}

// Lanes are stretches of the x axis in rows, one for each name on the y axis. On
// a terminal all are filled.
type Lanes struct {
	Rows [][]Span // in the order of the names
}

// Bars are shares of a whole, one for each name on the y axis, from 0 to 1.
// Each is labelled with its share.
type Bars struct {
	Shares []float64 // in the order of the names
}

func (l Shade) reach(e *extent) {
	for _, s := range l.List {
		e.x(s.From)
		e.x(s.To)
	}
}

func (l Lanes) reach(e *extent) {
	for _, row := range l.Rows {
		Shade{List: row}.reach(e)
	}
}

func (l Bars) reach(e *extent) {
	e.x(0)
	e.x(1)
	e.flush = true
}

func (l Shade) paint(p *paper) {
	for _, s := range l.List {
		from, to := p.X(p.x(s.From)), p.X(p.x(s.To))
		p.box(sand, from, max(to, from+leastLane), p.Min.Y, p.Max.Y)
	}
}

// hatching marks what is shaded above bands, which may hide it.
type hatching struct{ Shade }

func (l hatching) paint(p *paper) {
	high := p.Max.Y - p.Min.Y
	for _, s := range l.List {
		from, to := p.X(p.x(s.From)), p.X(p.x(s.To))
		// The lines of all stretches belong to one pattern, which begins at the left.
		for i := int((from - p.Min.X - high) / hatchGap); ; i++ {
			x := p.Min.X + vg.Length(i)*hatchGap // at the bottom
			if x >= to {
				break
			}
			left, right := max(x, from), min(x+high, to)
			if left < right {
				p.StrokeLine2(forms[hatch].LineStyle, left, p.Min.Y+left-x, right, p.Min.Y+right-x)
			}
		}
	}
}

func (l Lanes) paint(p *paper) {
	for i, row := range l.Rows {
		low, high := p.lane(i)
		for _, s := range row {
			from, to := p.X(p.x(s.From)), p.X(p.x(s.To))
			top := high
			if s.Part > 0 {
				top = low + vg.Length(s.Part)*(high-low)
			}
			p.box(ink, from, max(to, from+leastLane), low, top)
		}
	}
}

func (l Bars) paint(p *paper) {
	for i, share := range l.Shares {
		low, high := p.lane(i)
		end := p.X(p.x(share))
		p.box(blue, p.Min.X, end, low, high)
		word := percent(share)
		at, look := vg.Point{X: end + gap, Y: (low+high)/2 - textFont.Size/3}, style(textFont, ink, text.XLeft)
		if wide := wideness(word, textFont); at.X+wide > p.Max.X { // within the bar
			at.X, look.Color = end-gap-wide/slack, paperColour
		}
		p.FillText(look, at, word)
	}
}

// lane is where a row with a name lies.
func (p *paper) lane(i int) (low, high vg.Length) {
	return p.Y(p.y(-float64(i) - barPart/2)), p.Y(p.y(-float64(i) + barPart/2))
}

// percent writes a share without rounding it to nothing or to certainty.
func percent(share float64) string {
	switch {
	case share > 0 && share < 0.01:
		return "under 1 %"
	case share > 0.99 && share < 1:
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

func (l Shade) print(s *screen) {
	for _, span := range l.List {
		for x := s.column(span.From); x <= s.column(span.To); x++ {
			for y := range s.cells {
				if (x+y)%2 == 0 {
					s.set(x, y, signShade)
				}
			}
		}
	}
}

func (l Lanes) print(s *screen) {
	for i, row := range l.Rows {
		for _, span := range row {
			for x := s.column(span.From); x <= s.column(span.To); x++ {
				s.set(x, s.row(-float64(i)), signFilled)
			}
		}
	}
}

func (l Bars) print(s *screen) {
	for i, share := range l.Shares {
		word, end := " "+percent(share), s.column(share)
		for x := range end {
			s.set(x, s.row(-float64(i)), signFilled)
		}
		at := min(end, s.width-len(word)) // over the end of a long bar
		for k, r := range word {
			s.set(at+k, s.row(-float64(i)), r)
		}
	}
}

func (l Shade) keys() []key {
	return []key{{name: l.Name, sign: signShade, draw: func(p *paper, s symbol) {
		p.box(sand, s.x, s.x+symbolWide, s.y-4, s.y+4)
		for x := s.x; x+8 <= s.x+symbolWide; x += hatchGap {
			p.StrokeLine2(forms[hatch].LineStyle, x, s.y-4, x+8, s.y+4)
		}
	}}}
}

// What stands beside a name explains itself.
func (l Lanes) keys() []key { return nil }
func (l Bars) keys() []key  { return nil }
