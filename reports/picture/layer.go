package picture

import "math"

// Layer is something drawn between the axes.
type Layer interface {
	reach(e *extent) // what it needs the axes to show
	paint(p *paper)  // on paper
	print(s *screen) // with characters
	keys() []key     // what a legend says of it
}

// XY is a point.
type XY struct{ X, Y float64 }

// Curve is a line in pieces, each through its points from left to right.
type Curve struct {
	Name   string
	Role   Role
	Pieces [][]XY
	// Within is what of it the axes must show; nil for all. What lies beyond
	// is cut.
	Within *Interval
}

// Interval is a part of an axis.
type Interval struct{ Low, High float64 }

// Band is where something lies, in pieces.
type Band struct {
	Name   string
	Pieces [][]Stripe
}

// Stripe is the band at one place.
type Stripe struct{ X, Low, High float64 }

// Points are measured.
type Points struct {
	Name    string
	BarName string // what the bars are; "" where there are none
	Shape   Shape
	List    []Point
	// Outlying points do not move the axes; beyond their ends an arrow points.
	Outlying bool
}

// crowded points are drawn as dots without their bars.
func (l Points) crowded() bool { return len(l.List) > crowd }

// Point is a measured point with the half length of its bar; 0 for none.
type Point struct {
	X, Y, Bar float64
	// Wide is the half length of a bar along x, on paper; 0 for none.
	Wide float64
}

// Across are straight lines from left to right.
type Across struct {
	Name string
	Role Role
	At   []float64
}

// Upright are lines from bottom to top, each with its label above the chart
// and, on a terminal, in the legend.
type Upright struct {
	Role Role
	List []Mark
}

// Mark is one of them.
type Mark struct {
	X     float64
	Label string
}

// extent gathers what the axes must show.
type extent struct {
	left, right, low, high float64
	bands                  [][2]float64
	ends                   []float64
	beside                 int  // bars behind the ends of lines
	flush                  bool // x begins at an end of the axis
}

func emptyExtent() extent {
	return extent{left: math.Inf(1), right: math.Inf(-1), low: math.Inf(1), high: math.Inf(-1)}
}

func (e *extent) x(x float64) { e.left, e.right = math.Min(e.left, x), math.Max(e.right, x) }
func (e *extent) y(y float64) { e.low, e.high = math.Min(e.low, y), math.Max(e.high, y) }

func (l Curve) reach(e *extent) {
	for _, piece := range l.Pieces {
		for _, p := range piece {
			e.x(p.X)
			if l.Within == nil {
				e.y(p.Y)
			}
		}
	}
	if l.Within != nil {
		e.y(l.Within.Low)
		e.y(l.Within.High)
	}
}

// A band is shown whole as far as it is not much wider than all the rest.
func (l Band) reach(e *extent) {
	for _, piece := range l.Pieces {
		for _, s := range piece {
			e.x(s.X)
			e.bands = append(e.bands, [2]float64{s.Low, s.High})
		}
	}
}

func (l Points) reach(e *extent) {
	for _, p := range l.List {
		e.x(p.X - p.Wide)
		e.x(p.X + p.Wide)
		if !l.Outlying {
			e.y(p.Y - p.Bar)
			e.y(p.Y + p.Bar)
		}
	}
}

func (l Across) reach(e *extent) {
	for _, y := range l.At {
		e.y(y)
	}
}

func (l Upright) reach(e *extent) {
	for _, m := range l.List {
		e.x(m.X)
	}
}
