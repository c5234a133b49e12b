package reports

import (
	"math"
	"time"
)

// Chart is a diagram over time: what is drawn, without colours, sizes or the
// medium. [Chart.SVG] draws it on paper and [Chart.Text] on a terminal. It is
// made for black and white: what differs, differs in form.
type Chart struct {
	Title string  // what it shows, for people and for screen readers
	YName string  // quantity and unit of the upright axis
	Scale float64 // what values are multiplied by to be in YName's unit; 0 stands for 1

	Band   []ChartBand
	Lines  []ChartLine
	Points []ChartPoint
	Rules  []ChartRule
	Marks  []ChartMark
	// Legend says what points, lines and bars are, each in a few words.
	PointName, OddName, LineName, AheadName, BandName, BarName, RuleName string
}

// ChartBand is the band at one moment; Break begins a new stretch.
type ChartBand struct {
	Time      time.Time
	Low, High float64
	Break     bool
}

// ChartLine is a line through points in order of time.
type ChartLine struct {
	Points []ChartXY
	Ahead  bool // a forecast: drawn broken
}

// ChartXY is a point of a line.
type ChartXY struct {
	Time time.Time
	Y    float64
}

// ChartPoint is a measured point with its bar to both sides.
type ChartPoint struct {
	Time time.Time
	Y    float64
	Bar  float64 // half the length; 0 for none
	Odd  bool    // one that does not count: drawn hollow
}

// ChartRule is a line across the chart.
type ChartRule struct {
	Y    float64
	Name string
}

// ChartMark is an upright line at one moment, with its name at the top.
type ChartMark struct {
	Time   time.Time
	Name   string
	Strong bool
}

// frame is the part of the world that a chart shows.
type frame struct {
	from, to  time.Time
	low, high float64
	ticks     []float64
	decimals  int
}

// Ends of what is drawn: odd points far off must not flatten the rest, so they
// may be cut off at the edge; see [Chart.clipped].
func (c *Chart) frame() frame {
	f := frame{low: math.Inf(1), high: math.Inf(-1)}
	when := func(t time.Time) {
		if f.from.IsZero() || t.Before(f.from) {
			f.from = t
		}
		if f.to.IsZero() || t.After(f.to) {
			f.to = t
		}
	}
	value := func(y float64) { f.low, f.high = math.Min(f.low, y), math.Max(f.high, y) }
	for _, r := range c.Rules {
		value(r.Y)
	}
	for _, l := range c.Lines {
		for _, p := range l.Points {
			when(p.Time)
			value(p.Y)
		}
	}
	for _, p := range c.Points {
		when(p.Time)
		if !p.Odd {
			value(p.Y - p.Bar)
			value(p.Y + p.Bar)
		}
	}
	for _, m := range c.Marks {
		when(m.Time)
	}
	c.fitBand(&f, when)
	if f.from.IsZero() {
		f.from = time.Unix(0, 0)
		f.to = f.from
	}
	if !f.to.After(f.from) {
		f.from, f.to = f.from.Add(-12*time.Hour), f.from.Add(12*time.Hour)
	}
	rim := f.to.Sub(f.from) / 50
	f.from, f.to = f.from.Add(-rim), f.to.Add(rim)
	if math.IsInf(f.low, 0) {
		f.low, f.high = -1, 1
	}
	scale := c.scale()
	if !(f.high > f.low) {
		f.low, f.high = f.low-1/scale, f.high+1/scale
	}
	pad := 0.06 * (f.high - f.low)
	f.low, f.high = f.low-pad, f.high+pad
	f.ticks, f.decimals = ticks(f.low*scale, f.high*scale)
	for i := range f.ticks {
		f.ticks[i] /= scale
	}
	return f
}

// fitBand shows the band whole, as far as it is not much wider than the rest.
func (c *Chart) fitBand(f *frame, when func(time.Time)) {
	span := f.high - f.low
	low, high := f.low-span, f.high+span
	if !(span > 0) {
		low, high = math.Inf(-1), math.Inf(1)
	}
	for _, b := range c.Band {
		when(b.Time)
		f.low, f.high = math.Min(f.low, math.Max(b.Low, low)), math.Max(f.high, math.Min(b.High, high))
	}
}

func (c *Chart) scale() float64 {
	if c.Scale == 0 {
		return 1
	}
	return c.Scale
}

// x is where a moment lies, from 0 (left) to 1.
func (f frame) x(t time.Time) float64 {
	return float64(t.Sub(f.from)) / float64(f.to.Sub(f.from))
}

// y is where a value lies, from 0 (bottom) to 1; values beyond stay at the edge.
func (f frame) y(v float64) float64 {
	return math.Max(0, math.Min(1, (v-f.low)/(f.high-f.low)))
}

// clipped tells whether a value lies beyond the edge.
func (f frame) clipped(v float64) bool { return v < f.low || v > f.high }
