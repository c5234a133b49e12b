package reports

import (
	"fmt"
	"io"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/reports/picture"
	"github.com/brinemark/brinemark/reports/typeset"
)

// Chart draws the calibration: the line through the points with its 95 % band,
// the errors as found where there is a tolerance, and the residuals; the meter as
// left below the meter as found. It needs nothing but what is in the JSON, so
// that a stored result can be drawn.
func (r *Calibrate) Chart() *picture.Chart {
	panels := r.chartPanels()
	if r.AsLeft != nil {
		left := r.AsLeft.chartPanels()
		panels[0].Heading, left[0].Heading = stateWords(r.State), stateWords(r.AsLeft.State)
		panels = append(panels, left...)
	}
	return r.chartOf(panels)
}

// chartPanels are those of one state of the meter.
func (r *Calibrate) chartPanels() []picture.Panel {
	v, reading := r.view(), axisOf("reading", r.unit())
	list := []picture.Panel{{X: &reading, Y: axisOf("reference", r.unit()), Layers: v.overview(), Tall: lineTall}}
	if r.Tolerance.IsKnown() {
		list = append(list, picture.Panel{Y: picture.Axis{Name: "error", Unit: r.unit()}, Layers: v.errors(), Tall: errorsTall})
	}
	return append(list, picture.Panel{Y: picture.Axis{Name: "residual", Unit: r.unit()}, Layers: v.residuals(), Tall: errorsTall})
}

func (r *Calibrate) chartOf(panels []picture.Panel) *picture.Chart {
	first := panels[0]
	return &picture.Chart{Title: r.chartTitle(), About: r.chartAbout(), Heading: first.Heading, X: *first.X, Y: first.Y,
		Layers: first.Layers, Tall: first.Tall, Below: panels[1:]}
}

// compactChart is the chart for a terminal: where the errors are drawn, the line
// tells nothing more.
func (r *Calibrate) compactChart() *picture.Chart {
	panels := r.chartPanels()
	if len(panels) > 2 {
		panels[1].X = panels[0].X
		panels = panels[1:]
	}
	return r.chartOf(panels)
}

// writeChart draws the chart with characters; that of the meter as left stands
// with its own table.
func (r *Calibrate) writeChart(w io.Writer, s Style) error {
	if !r.Drawn {
		return nil
	}
	return writeChart(w, s, r.compactChart())
}

// Heights of the panels, as parts of the usual height of a chart.
const lineTall, errorsTall = 0.8, 0.5

func (r *Calibrate) chartTitle() string {
	title := "Calibration of the meter"
	if r.Meter != nil {
		title = "Calibration of " + typeset.Name(*r.Meter)
	}
	if r.Time != nil && len(*r.Time) >= len(dayFormat) {
		title += ", " + (*r.Time)[:len(dayFormat)]
	}
	if r.AsLeft == nil {
		title += ", " + stateWords(r.State)
	}
	return title
}

func stateWords(state string) string {
	switch state {
	case "as-found":
		return "as found"
	case "as-left":
		return "as left"
	}
	return state
}

// chartAbout says what the chart shows to those who cannot see it.
func (r *Calibrate) chartAbout() string {
	text := fmt.Sprintf("References against readings, %s, with the line %s; below, what the line leaves of each reference.",
		plural(int64(len(r.Points)), "point", "points"), r.lineText())
	if r.Verdict != nil {
		text += " Verdict: " + *r.Verdict + "."
	}
	return text
}

// calibrateView is what the panels of a calibration are drawn from.
type calibrateView struct {
	*Calibrate
	low, high float64   // readings from where to where the line is drawn
	fit       *line.Fit // nil where the line has no interval
}

// beyondPoints is how far the line is drawn beyond the points, as a part of
// their span, and aroundOne around a single one as a part of its reading.
const beyondPoints, aroundOne = 0.04, 0.1

func (r *Calibrate) view() calibrateView {
	v := calibrateView{Calibrate: r}
	var readings []float64
	for _, p := range r.Points {
		readings = append(readings, p.Reading)
	}
	if len(readings) > 0 {
		v.low, v.high = slices.Min(readings), slices.Max(readings)
	}
	switch rim := beyondPoints * (v.high - v.low); {
	case rim > 0:
		v.low, v.high = v.low-rim, v.high+rim
	case r.Fit.Method == string(line.MethodGain):
		v.low, v.high = min(0, v.low), max(0, v.high)
	default:
		rim = max(aroundOne*math.Abs(v.low), aroundOne)
		v.low, v.high = v.low-rim, v.high+rim
	}
	v.fit = r.restored()
	return v
}

// restored is the line with its uncertainty, nil where that is not known.
func (r *Calibrate) restored() *line.Fit {
	basis, err := line.ParseBasis(r.Fit.Basis)
	if err != nil || basis == line.NoBasis {
		return nil
	}
	f, err := line.Restore(line.Parameters{
		Method: line.Method(r.Fit.Method), N: r.Fit.N, DoF: r.Fit.DoF, Intercept: r.Fit.Intercept, Slope: r.Fit.Slope,
		UIntercept: orNaN(r.Fit.UIntercept), USlope: orNaN(r.Fit.USlope), Covariance: orNaN(r.Fit.Cov),
		Basis: basis, ReadingLow: r.Fit.ReadingLow, ReadingHigh: r.Fit.ReadingHigh,
	})
	if err != nil {
		return nil
	}
	return f
}

func orNaN(n Number) float64 {
	if x, ok := n.Get(); ok {
		return x
	}
	return math.NaN()
}

func (v calibrateView) corrected(reading float64) float64 {
	return v.Fit.Intercept + v.Fit.Slope*reading
}

// lineName is what the line is called in every panel.
const lineName = "fitted line"

// overview is the line through the points.
func (v calibrateView) overview() []picture.Layer {
	return v.layers(v.corrected,
		[]picture.Layer{picture.Curve{Name: "what the meter shows", Role: picture.Right, Pieces: v.straight(func(x float64) float64 { return x })}},
		func(p CalibratePoint) picture.Point {
			return picture.Point{X: p.Reading, Y: p.Ref, Bar: normal95 * uRefOf(p), Wide: normal95 * size(p.UReading)}
		})
}

// errors are how far the meter was from the references as found, and where the
// line says that it was.
func (v calibrateView) errors() []picture.Layer {
	return v.layers(func(x float64) float64 { return x - v.corrected(x) }, v.tolerance(), func(p CalibratePoint) picture.Point {
		return picture.Point{X: p.Reading, Y: p.Error, Bar: normal95 * math.Hypot(uRefOf(p), size(p.UReading))}
	})
}

// residuals are what the line leaves of each reference.
func (v calibrateView) residuals() []picture.Layer {
	return v.layers(func(float64) float64 { return 0 }, nil, func(p CalibratePoint) picture.Point {
		return picture.Point{X: p.Reading, Y: p.Residual, Bar: normal95 * math.Hypot(uRefOf(p), v.Fit.Slope*size(p.UReading))}
	})
}

// layers are the line with its band, what belongs below it, and the points.
func (v calibrateView) layers(line func(float64) float64, below []picture.Layer, at func(CalibratePoint) picture.Point) []picture.Layer {
	var list []picture.Layer
	if band := v.band(line); len(band.Pieces) > 0 {
		list = append(list, band)
	}
	list = append(append(list, below...), picture.Curve{Name: lineName, Role: picture.Fitted, Pieces: v.straight(line)})
	for _, points := range []picture.Points{
		v.points(picture.Points{Name: "one that stands out", Shape: picture.Ring}, true, at),
		v.points(picture.Points{Name: "reading of a reference"}, false, at),
	} {
		if len(points.List) > 0 {
			list = append(list, points)
		}
	}
	return list
}

// size is an uncertainty for a bar: none where it is not known.
func size(u Number) float64 {
	x, _ := u.Get()
	return x
}

func uRefOf(p CalibratePoint) float64 { return math.Hypot(size(p.URef), size(p.URefShared)) }

// points are those that stand out, or the others, with the bars that are known.
func (v calibrateView) points(l picture.Points, flagged bool, at func(CalibratePoint) picture.Point) picture.Points {
	for _, p := range v.Points {
		if p.Flagged != flagged {
			continue
		}
		point := at(p)
		if point.Bar > 0 || point.Wide > 0 {
			l.BarName = "its 95 % interval"
		}
		l.List = append(l.List, point)
	}
	return l
}

func (v calibrateView) straight(f func(float64) float64) [][]picture.XY {
	return [][]picture.XY{{{X: v.low, Y: f(v.low)}, {X: v.high, Y: f(v.high)}}}
}

// bandSteps is the number of places at which a band is worked out.
const bandSteps = 60

// band is the 95 % interval of the line, laid around another line.
func (v calibrateView) band(around func(float64) float64) picture.Band {
	b := picture.Band{Name: "95 % band of the line"}
	if v.fit == nil {
		return b
	}
	var piece []picture.Stripe
	for i := range bandSteps + 1 {
		x := v.low + (v.high-v.low)*float64(i)/bandSteps
		e, err := v.fit.At(x, line.Level)
		if err != nil || math.IsNaN(e.Low) || math.IsInf(e.High-e.Low, 0) {
			return b
		}
		piece = append(piece, picture.Stripe{X: x, Low: around(x) + e.Low - e.Corrected, High: around(x) + e.High - e.Corrected})
	}
	b.Pieces = [][]picture.Stripe{piece}
	return b
}

// tolerance is how large errors may be.
func (v calibrateView) tolerance() []picture.Layer {
	t, ok := v.Tolerance.Get()
	if !ok {
		return nil
	}
	low, high := func(float64) float64 { return -t }, func(float64) float64 { return t }
	if v.ToleranceRelative {
		if t >= 1 { // any reference may stand behind a reading
			return nil
		}
		// Of a reference r that shows as x, error x - r: |x - r| = t r.
		low, high = func(x float64) float64 { return x - x/(1-t) }, func(x float64) float64 { return x - x/(1+t) }
	}
	return []picture.Layer{picture.Curve{Name: "tolerance", Role: picture.Limit, Pieces: append(v.straight(low), v.straight(high)...)}}
}
