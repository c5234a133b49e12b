package picture

import (
	"math"
	"strings"
	"time"
)

// Chart is a picture with two axes.
type Chart struct {
	Title  string
	About  string // in a sentence or two, for those who cannot see it
	X, Y   Axis
	Layers []Layer // the first lies lowest
}

// Axis is what an axis shows.
type Axis struct {
	Name  string         // of the quantity, with its unit; "" for dates
	Scale float64        // what values are multiplied by to be in that unit; 0 stands for 1
	Zone  *time.Location // not nil: values are moments as [At] gives them, and the axis shows dates
}

// At is a moment as a place on an axis of dates: seconds since 1970.
func At(t time.Time) float64 { return float64(t.Unix()) + float64(t.Nanosecond())/1e9 }

func (a Axis) scale() float64 {
	if a.Scale == 0 {
		return 1
	}
	return a.Scale
}

func (a Axis) moment(x float64) time.Time { return time.Unix(int64(math.Floor(x)), 0).In(a.Zone) }

// frame is the part of the world that a chart shows.
type frame struct {
	left, right, low, high float64
	yTicks                 []tick
}

// tick is a place on an axis with its label.
type tick struct {
	at   float64
	text string
}

// Part of the span that is left free beyond what must be shown.
const rimX, rimY = 0.02, 0.06

// frame finds what is shown.
func (c *Chart) frame() frame {
	e := emptyExtent()
	for _, l := range c.Layers {
		l.reach(&e)
	}
	span := e.high - e.low
	low, high := e.low-span, e.high+span
	if !(span > 0) {
		low, high = math.Inf(-1), math.Inf(1)
	}
	for _, b := range e.bands {
		e.low, e.high = math.Min(e.low, math.Max(b[0], low)), math.Max(e.high, math.Min(b[1], high))
	}
	f := frame{}
	f.left, f.right = widen(e.left, e.right, c.X.least(), rimX)
	f.low, f.high = widen(e.low, e.high, c.Y.least(), rimY)
	f.yTicks = c.Y.ticks(f.low, f.high, fewTicks)
	return f
}

// least is half the span of an axis on which all lies in one place.
func (a Axis) least() float64 {
	if a.Zone != nil {
		return 12 * 60 * 60
	}
	return 1 / a.scale()
}

func widen(from, to, least, rim float64) (low, high float64) {
	if math.IsInf(from, 0) || math.IsInf(to, 0) || math.IsNaN(from) || math.IsNaN(to) {
		from, to = 0, 0
	}
	if !(to > from) {
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

// clean is a text as a picture can hold it, on one line: control characters
// have no place in XML, nor in a font.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r >= 0x7f && r < 0xa0 || r == 0xfffe || r == 0xffff {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "?"))
}
