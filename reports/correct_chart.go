package reports

import (
	"io"
	"math"
	"path/filepath"
	"slices"
	"time"

	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/reports/picture"
	"github.com/brinemark/brinemark/reports/typeset"
)

// Outlined gives the correction what its chart is drawn from.
func (r *Correction) Outlined(o *series.Outline) { r.outline = o.Pieces() }

// WriteChart draws the chart with characters.
func (r *Correction) WriteChart(w io.Writer, s Style) error {
	if len(r.outline) == 0 {
		return nil
	}
	return writeChart(w, s, r.chart("flagged"))
}

// Chart draws the log over time: for each column what was read and what is true,
// with the 95 % band of that, and below it which rows were flagged.
func (r *Correction) Chart() *picture.Chart {
	return r.chart("flagged, as high as the share of the rows")
}

// chart has a heading over the flags.
func (r *Correction) chart(flagged string) *picture.Chart {
	c := &picture.Chart{Title: typeset.Name(filepath.Base(r.Log)) + ", corrected", About: r.chartAbout(), X: picture.Axis{Zone: r.zone}}
	if r.First == nil { // not even the days are known
		c.X = picture.Axis{Name: "time: there are no rows"}
	}
	var panels []picture.Panel
	for i := range r.Columns {
		v := newColumnView(r.Columns[i], i, r.outline)
		v.among = len(r.Columns) > 1
		panels = append(panels, v.panels(flagged)...)
	}
	if len(panels) == 0 {
		return c
	}
	first := panels[0]
	c.Heading, c.Y, c.Layers, c.Tall, c.Below = first.Heading, first.Y, first.Layers, first.Tall, panels[1:]
	return c
}

// chartAbout says what the chart shows to those who cannot see it.
func (r *Correction) chartAbout() string {
	text := plural(r.Rows, "row", "rows")
	if r.First != nil {
		text += ", " + r.minute(r.firstTime()) + " to " + r.minute(r.lastTime())
	}
	text += "."
	for _, c := range r.Columns {
		text += " " + c.Column + ": "
		if c.Largest != nil {
			text += r.truth(c) + "; "
		}
		if flagged := c.flaggedText(); flagged != "" {
			text += "not to be believed: " + flagged + "."
		} else {
			text += "all can be believed."
		}
	}
	return text
}

// Heights of the panel of a column, alone and among others, and of one with
// readings in another unit, as parts of the usual height of a chart.
const columnTall, oneOfColumnsTall, readingsTall = 0.75, 0.6, 0.4

// columnView is what the panels of a column are drawn from.
type columnView struct {
	CorrectionOfColumn
	probe  int
	among  bool // there are other columns
	pieces []series.OutlinePiece
	step   float64 // the usual distance between stretches, in seconds
}

func newColumnView(c CorrectionOfColumn, probe int, pieces []series.OutlinePiece) columnView {
	v := columnView{CorrectionOfColumn: c, probe: probe, pieces: pieces}
	var list []float64
	for i := 1; i < len(pieces); i++ {
		list = append(list, placeOf(pieces[i])-placeOf(pieces[i-1]))
	}
	if len(list) > 0 {
		slices.Sort(list)
		v.step = list[len(list)/2]
	}
	return v
}

// panels are those of the column: one, or two where what is written is in
// another unit than the readings; and one with a lane for each flag.
func (v columnView) panels(flagged string) []picture.Panel {
	var list []picture.Panel
	band, corrected := v.corrected()
	read := v.line(v.named("reading", v.standing.reading), picture.Shown, func(p series.OutlineProbe) series.Extremes { return p.Reading })
	main := picture.Panel{Heading: v.heading(), Y: axisOf(typeset.Name(v.Column), wordOrEmpty(v.WrittenUnit)), Tall: columnTall}
	below := []picture.Layer{v.shade()}
	if len(band.Pieces) > 0 {
		below = append(below, band)
	}
	if wordOrEmpty(v.Unit) == wordOrEmpty(v.WrittenUnit) {
		main.Layers = append(below, read, corrected)
	} else {
		list = append(list, picture.Panel{Heading: v.heading(), Y: axisOf("reading", wordOrEmpty(v.Unit)), Layers: []picture.Layer{v.shade(), read}, Tall: readingsTall})
		main.Layers, main.Heading = append(below, corrected), ""
	}
	list = append(list, main)
	if lanes, names := v.lanes(); len(names) > 0 {
		list = append(list, picture.Panel{Heading: flagged, Y: picture.Axis{Names: names}, Layers: []picture.Layer{lanes}})
	}
	return list
}

func (v columnView) heading() string {
	if v.Meter != nil && *v.Meter != v.Column {
		return typeset.Name(v.Column) + ": " + typeset.Name(*v.Meter)
	}
	return ""
}

// placeOf is the place of a stretch on the axis of dates.
func placeOf(p series.OutlinePiece) float64 {
	return picture.At(time.Unix(0, p.From/2+p.To/2))
}

// ends are the ends of a stretch on the axis, halfway to its neighbours, but no
// further than they usually are.
func (v columnView) ends(i int) (from, to float64) {
	at := placeOf(v.pieces[i])
	from, to = picture.At(time.Unix(0, v.pieces[i].From)), picture.At(time.Unix(0, v.pieces[i].To))
	half := v.step / 2
	if i > 0 {
		from = min(from, max(at-half, (at+placeOf(v.pieces[i-1]))/2))
	}
	if i < len(v.pieces)-1 {
		to = max(to, min(at+half, (at+placeOf(v.pieces[i+1]))/2))
	}
	return from, to
}

// longGap is how many usual distances without a row break a line.
const longGap = 5

// runs visits the stretches that have something, and says where a run of them
// begins.
func (v columnView) runs(has func(series.OutlineProbe) bool, visit func(begins bool, x float64, p series.OutlineProbe)) {
	gap := longGap * v.step
	broken, last := true, math.Inf(-1)
	for _, piece := range v.pieces {
		p, x := piece.Probes[v.probe], placeOf(piece)
		if !has(p) {
			broken = true
			continue
		}
		visit(broken || x-last > gap, x, p)
		broken, last = false, x
	}
}

// line is drawn through the extremes of each stretch. What cannot be believed
// does not move the axis.
func (v columnView) line(name string, role picture.Role, of func(series.OutlineProbe) series.Extremes) picture.Curve {
	c := picture.Curve{Name: name, Role: role, Within: v.within(of)}
	v.runs(func(p series.OutlineProbe) bool { return of(p).Known() }, func(begins bool, x float64, p series.OutlineProbe) {
		if begins {
			c.Pieces = append(c.Pieces, nil)
		}
		piece := &c.Pieces[len(c.Pieces)-1]
		e := of(p)
		ends := []float64{e.Least, e.Greatest}
		if n := len(*piece); n > 0 && math.Abs((*piece)[n-1].Y-ends[1]) < math.Abs((*piece)[n-1].Y-ends[0]) {
			slices.Reverse(ends) // from the nearer end to the other
		}
		*piece = append(*piece, picture.XY{X: x, Y: ends[0]})
		if ends[1] != ends[0] {
			*piece = append(*piece, picture.XY{X: x, Y: ends[1]})
		}
	})
	return c
}

// within are the values that can be believed; nil where there are none.
func (v columnView) within(of func(series.OutlineProbe) series.Extremes) *picture.Interval {
	var all *picture.Interval
	for _, piece := range v.pieces {
		p := piece.Probes[v.probe]
		if e := of(p); p.Sound && e.Known() {
			if all == nil {
				all = &picture.Interval{Low: e.Least, High: e.Greatest}
			}
			all.Low, all.High = min(all.Low, e.Least), max(all.High, e.Greatest)
		}
	}
	return all
}

// corrected is the line of what is true, with its band.
func (v columnView) corrected() (picture.Band, picture.Curve) {
	band := picture.Band{Name: "its 95 % band"}
	v.runs(func(p series.OutlineProbe) bool { return p.Low.Known() && !inAir(p) }, func(begins bool, x float64, p series.OutlineProbe) {
		if begins {
			band.Pieces = append(band.Pieces, nil)
		}
		last := &band.Pieces[len(band.Pieces)-1]
		// Low and high lie one standard uncertainty off.
		*last = append(*last, picture.Stripe{
			X: x, Low: p.Value.Least - normal95*(p.Value.Least-p.Low.Least), High: p.Value.Greatest + normal95*(p.High.Greatest-p.Value.Greatest),
		})
	})
	return band, v.line(v.named("corrected", v.standing.corrected), picture.Fitted, func(p series.OutlineProbe) series.Extremes {
		if inAir(p) {
			return series.Extremes{Least: math.NaN(), Greatest: math.NaN()}
		}
		return p.Value
	})
}

// inAir tells a stretch in which there was no liquid: then there is nothing to
// be true.
func inAir(p series.OutlineProbe) bool { return !p.Sound && p.Flagged[series.Dry] > 0 }

// mostly is the share of rows under flags from which a stretch is shaded.
const mostly = 0.5

// shade are the stretches whose rows are mostly not to be believed.
func (v columnView) shade() picture.Shade {
	s := picture.Shade{Name: "not to be believed"}
	for i, piece := range v.pieces {
		if believed := piece.Probes[v.probe].Flagged[series.Believed]; float64(piece.Rows-believed) >= mostly*float64(piece.Rows) {
			from, to := v.ends(i)
			s.List = addSpan(s.List, picture.Span{From: from, To: to})
		}
	}
	if len(s.List) == 0 {
		s.Name = ""
	}
	return s
}

// addSpan adds a stretch, as a part of the last where they touch.
func addSpan(list []picture.Span, s picture.Span) []picture.Span {
	if n := len(list); n > 0 && list[n-1].Part == s.Part && s.From <= list[n-1].To {
		list[n-1].To = s.To
		return list
	}
	return append(list, s)
}

// lanes are the stretches under each flag that occurs, as high as the share of
// the rows.
func (v columnView) lanes() (lanes picture.Lanes, names []string) {
	for _, f := range series.Flags() {
		if v.Flagged[f.String()] == 0 {
			continue
		}
		var row []picture.Span
		for i, piece := range v.pieces {
			n := piece.Probes[v.probe].Flagged[f]
			if n == 0 {
				continue
			}
			from, to := v.ends(i)
			part := math.Ceil(laneParts*float64(n)/float64(piece.Rows)) / laneParts
			row = addSpan(row, picture.Span{From: from, To: to, Part: part})
		}
		lanes.Rows, names = append(lanes.Rows, row), append(names, f.String())
	}
	return lanes, names
}

// laneParts is how many heights a lane has.
const laneParts = 4
