package reports

import (
	"fmt"
	"io"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/reports/picture"
)

// Chart draws the calibration: the line through the points with its 95 % band,
// and the residuals below; the meter as left below the meter as found. It needs
// nothing but what is in the JSON, so that a stored result can be drawn.
func (r *Calibrate) Chart() *picture.Chart {
	c := &picture.Chart{Title: r.chartTitle(), About: r.chartAbout(), Tall: calibrationTall}
	states := []*Calibrate{r}
	if r.AsLeft != nil {
		states = append(states, r.AsLeft)
	}
	for i, state := range states {
		v := state.view()
		x := &picture.Axis{Name: state.axisName("reading")}
		heading := ""
		if len(states) > 1 {
			heading = stateWords(state.State)
		}
		above := picture.Panel{Heading: heading, X: x, Y: picture.Axis{Name: state.axisName("reference")}, Layers: v.overview(), Tall: calibrationTall}
		if i == 0 {
			c.Heading, c.X, c.Y, c.Layers = heading, *x, above.Y, above.Layers
		} else {
			c.Below = append(c.Below, above)
		}
		c.Below = append(c.Below, picture.Panel{Y: picture.Axis{Name: residualName(state.unit())}, Layers: v.residuals(), Tall: residualsTall})
	}
	return c
}

// writeChart draws the chart with characters; that of the meter as left stands
// with its own table.
func (r *Calibrate) writeChart(w io.Writer, s Style) error {
	if !r.Drawn {
		return nil
	}
	alone := *r
	alone.AsLeft = nil
	return writeChart(w, s, alone.Chart())
}

// Heights of the panels, as parts of the usual height of a chart.
const calibrationTall, residualsTall = 0.85, 0.5

func (r *Calibrate) chartTitle() string {
	title := "Calibration of the meter"
	if r.Meter != nil {
		title = "Calibration of " + *r.Meter
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

// axisName is the name of an axis in the unit of the readings.
func (r *Calibrate) axisName(what string) string {
	if u := r.unit(); u != "" {
		return what + ", " + u
	}
	return what + ", as displayed"
}

func residualName(unit string) string {
	if unit == "" {
		return "residual"
	}
	return "residual, " + unit
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

// overview is the line through the points.
func (v calibrateView) overview() []picture.Layer {
	var list []picture.Layer
	if band := v.band(v.corrected); len(band.Pieces) > 0 {
		list = append(list, band)
	}
	list = append(list, v.tolerance()...)
	return append(list,
		picture.Curve{Name: "what the meter shows", Role: picture.Right, Pieces: v.straight(func(x float64) float64 { return x })},
		picture.Curve{Name: "line: what is true", Role: picture.Fitted, Pieces: v.straight(v.corrected)},
		v.points(func(p CalibratePoint) picture.Point {
			return picture.Point{X: p.Reading, Y: p.Ref, Bar: normal95 * uRefOf(p), Wide: normal95 * size(p.UReading)}
		}),
		v.outlying(func(p CalibratePoint) (x, y float64) { return p.Reading, p.Ref }))
}

// residuals are what the line leaves of each reference.
func (v calibrateView) residuals() []picture.Layer {
	var list []picture.Layer
	if band := v.band(func(float64) float64 { return 0 }); len(band.Pieces) > 0 {
		list = append(list, band)
	}
	return append(list,
		picture.Curve{Name: "line: what is true", Role: picture.Fitted, Pieces: v.straight(func(float64) float64 { return 0 })},
		v.points(func(p CalibratePoint) picture.Point {
			return picture.Point{X: p.Reading, Y: p.Residual, Bar: normal95 * math.Hypot(uRefOf(p), v.Fit.Slope*size(p.UReading))}
		}),
		v.outlying(func(p CalibratePoint) (x, y float64) { return p.Reading, p.Residual }))
}

// size is an uncertainty for a bar: none where it is not known.
func size(u Number) float64 {
	x, _ := u.Get()
	return x
}

func uRefOf(p CalibratePoint) float64 { return math.Hypot(size(p.URef), size(p.URefShared)) }

// points are those that count.
func (v calibrateView) points(at func(CalibratePoint) picture.Point) picture.Points {
	l := picture.Points{Name: "reading of a reference"}
	for _, p := range v.Points {
		if p.Flagged {
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

// outlying are the points that stand out.
func (v calibrateView) outlying(at func(CalibratePoint) (x, y float64)) picture.Points {
	l := picture.Points{Shape: picture.Ring}
	for _, p := range v.Points {
		if p.Flagged {
			l.Name = "one that stands out"
			x, y := at(p)
			l.List = append(l.List, picture.Point{X: x, Y: y})
		}
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

// tolerance is how far references may lie from what the meter shows.
func (v calibrateView) tolerance() []picture.Layer {
	t, ok := v.Tolerance.Get()
	if !ok {
		return nil
	}
	low, high := func(x float64) float64 { return x - t }, func(x float64) float64 { return x + t }
	if v.ToleranceRelative {
		if t >= 1 { // any reference may stand behind a reading
			return nil
		}
		low, high = func(x float64) float64 { return x / (1 + t) }, func(x float64) float64 { return x / (1 - t) }
	}
	return []picture.Layer{picture.Curve{Name: "tolerance", Role: picture.Limit, Pieces: append(v.straight(low), v.straight(high)...)}}
}
