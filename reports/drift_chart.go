package reports

import (
	"io"
	"math"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/reports/picture"
	"github.com/brinemark/brinemark/reports/typeset"
)

// Chart draws the drift: checks with their bars, the fitted line with its band,
// tolerance, events, now and the due day.
func (d *Drift) Chart() *picture.Chart {
	r := d.result
	c := &picture.Chart{
		Title: d.chartTitle(), About: d.about(),
		X: picture.Axis{Zone: r.Now.Location()}, Y: picture.Axis{Name: "error, reading minus reference"},
	}
	what := "check"
	switch {
	case d.Pair != nil && d.Relative:
		what, c.Y.Name, c.Y.Unit = "day", typeset.Name(d.Pair.A)+" minus "+typeset.Name(d.Pair.B), "% of the second"
	case d.Pair != nil:
		what, c.Y.Name = "day", typeset.Name(d.Pair.A)+" minus "+typeset.Name(d.Pair.B)
	case d.Relative:
		c.Y.Name, c.Y.Unit = "error", "% of the reference"
	}
	if !d.Relative {
		if c.Y.Unit = wordOrEmpty(d.Unit); c.Y.Unit == "" {
			c.Y.Unit = check.Kind(d.Quantity).Unit()
		}
	}
	if d.Relative {
		c.Y.Scale = 100
	}
	fitted, ahead, band := d.chartLines()
	c.Layers = append(c.Layers, band)
	if d.Tolerance.IsKnown() {
		c.Layers = append(c.Layers, picture.Across{Name: "tolerance", Role: picture.Limit, At: []float64{r.Limit, -r.Limit}})
	}
	c.Layers = append(c.Layers, d.chartMoments(fitted, ahead)...)
	if len(ahead.Pieces) > 0 {
		c.Layers = append(c.Layers, ahead)
	}
	c.Layers = append(c.Layers, fitted)
	c.Layers = append(c.Layers, d.chartPoints(what)...)
	return c
}

func (d *Drift) chartTitle() string {
	switch {
	case d.Pair != nil:
		return "Drift of " + typeset.Name(d.Pair.A) + " against " + typeset.Name(d.Pair.B)
	case d.Meter != nil:
		return "Drift of " + typeset.Name(*d.Meter)
	}
	return "Drift of the meter"
}

// chartPoints are the checks: those that fit, at the reference of the line and
// at others, and those that do not. The last lies on top.
func (d *Drift) chartPoints(what string) []picture.Layer {
	here := picture.Points{Name: what, BarName: "its 95 % interval", Shape: picture.Disc}
	others := picture.Points{Name: what + " at another reference", BarName: here.BarName, Shape: picture.Square}
	odd := picture.Points{Name: what + " that does not fit", Shape: picture.Ring, Outlying: true}
	if d.Zero != nil {
		here.Name += " at " + d.refText() + d.unitText()
	}
	for _, v := range d.result.Checks {
		p := picture.Point{X: picture.At(v.Time), Y: v.Error, Bar: normal95 * v.U}
		switch elsewhere := math.Abs(v.Ref-d.Ref) > sameReference*math.Abs(d.Ref); {
		case v.Wrong > likelyWrong:
			odd.List = append(odd.List, p)
		case d.Zero != nil && elsewhere:
			others.List = append(others.List, p)
		default:
			here.List = append(here.List, p)
		}
	}
	var list []picture.Layer
	for _, l := range []picture.Points{odd, others, here} {
		if len(l.List) > 0 {
			list = append(list, l)
		}
	}
	return list
}

// sameReference is how far references lie apart, as a fraction, that share a
// mark: those of one liquid at several temperatures.
const sameReference = 0.05

// about says what the chart shows to those who cannot see it.
func (d *Drift) about() string {
	text := "Error over time, " + d.Checks[0].Time[:len(dayFormat)] + " to " + d.Now[:len(dayFormat)] +
		". Now " + d.amount(d.ErrorNow, d.UError) + ", moving by " + d.amount(d.Rate, d.URate) + " per 30 days."
	if d.Tolerance.IsKnown() {
		text += " Tolerance " + d.toleranceText() + "; due " + d.dueText() + "."
	}
	return text
}

// chartLines breaks the fitted line at events and at now, and the band at
// events.
func (d *Drift) chartLines() (fitted, ahead picture.Curve, band picture.Band) {
	fitted = picture.Curve{Name: "fitted error", Role: picture.Fitted}
	ahead = picture.Curve{Name: "forecast", Role: picture.Forecast}
	band = picture.Band{Name: "95 % band of the line"}
	if d.Zero != nil {
		fitted.Name += " at " + d.refText() + d.unitText()
	}
	path := d.result.Path
	for i, p := range path {
		broken := i == 0 || p.Stretch != path[i-1].Stretch
		at := picture.XY{X: picture.At(p.Time), Y: p.Error}
		if broken {
			band.Pieces = append(band.Pieces, nil)
		}
		last := &band.Pieces[len(band.Pieces)-1]
		*last = append(*last, picture.Stripe{X: at.X, Low: p.Low, High: p.High})
		line := &fitted
		if p.Ahead {
			line = &ahead
		}
		if turns := i > 0 && p.Ahead != path[i-1].Ahead; broken || turns {
			line.Pieces = append(line.Pieces, nil)
			if !broken { // the forecast begins where the line ends
				line.Pieces[len(line.Pieces)-1] = []picture.XY{{X: picture.At(path[i-1].Time), Y: path[i-1].Error}}
			}
		}
		piece := &line.Pieces[len(line.Pieces)-1]
		*piece = append(*piece, at)
	}
	return fitted, ahead, band
}

// chartMoments are the due day, now and the events, with the words for them.
// What stands first finds room for its label first.
func (d *Drift) chartMoments(lines ...picture.Curve) []picture.Layer {
	r := d.result
	end := 0.0
	for _, l := range lines {
		for _, piece := range l.Pieces {
			end = max(end, piece[len(piece)-1].X)
		}
	}
	var list []picture.Layer
	if due := picture.At(r.Due); !r.Due.IsZero() && due <= end {
		list = append(list, picture.Upright{Role: picture.Deadline, List: []picture.Mark{{X: due, Label: "due " + r.Due.Format(dayFormat)}}})
	}
	moments := picture.Upright{Role: picture.Moment, List: []picture.Mark{{X: picture.At(r.Now), Label: "now"}}}
	for _, e := range r.Events {
		moments.List = append(moments.List, picture.Mark{X: picture.At(e.Time), Label: string(e.Event) + " " + e.Time.Format(dayFormat)})
	}
	return append(list, moments)
}

// writeChart draws the chart with characters.
func (d *Drift) writeChart(w io.Writer, s Style) error {
	if d.result == nil || !d.Drawn {
		return nil
	}
	return writeChart(w, s, d.Chart())
}
