package reports

import (
	"io"
	"slices"
	"time"
)

// Chart draws the drift: checks with their bars, the fitted line with its band,
// tolerance, events, now and the due day.
func (d *Drift) Chart() *Chart {
	r := d.result
	c := &Chart{
		Title: "Drift of " + d.name(), YName: "error (reading - reference)", PointName: "check", BarName: "its uncertainty (95 %)",
		LineName: "fitted error", BandName: "uncertainty of the line (95 %)",
	}
	if d.Relative {
		c.Scale, c.YName = 100, "error in % of the reference"
	}
	if d.Pair != nil {
		c.PointName, c.YName = "day", d.Pair.A+" - "+d.Pair.B
		if d.Relative {
			c.YName += " in % of " + d.Pair.B
		}
	}
	for _, v := range r.Checks {
		p := ChartPoint{Time: v.Time, Y: v.Error, Bar: 1.96 * v.U, Odd: v.Wrong > 0.5}
		if p.Odd {
			c.OddName = c.PointName + " that does not fit"
		}
		c.Points = append(c.Points, p)
	}
	d.chartLines(c)
	if d.Tolerance.IsKnown() {
		c.RuleName = "tolerance"
		c.Rules = []ChartRule{{r.Limit, "tolerance"}, {-r.Limit, "tolerance"}}
	}
	for _, e := range r.Events {
		c.Marks = append(c.Marks, ChartMark{Time: e.Time, Name: string(e.Event)})
	}
	c.Marks = append(c.Marks, ChartMark{Time: r.Now, Name: "now"})
	if !r.Due.IsZero() && !r.Due.After(c.end()) {
		c.Marks = append(c.Marks, ChartMark{Time: r.Due, Name: "due " + r.Due.Format(dayFormat), Strong: true})
	}
	slices.SortStableFunc(c.Marks, func(a, b ChartMark) int { return a.Time.Compare(b.Time) })
	return c
}

// chartLines breaks the fitted line at events and at now.
func (d *Drift) chartLines(c *Chart) {
	path := d.result.Path
	for i, p := range path {
		broken := i == 0 || p.Stretch != path[i-1].Stretch
		c.Band = append(c.Band, ChartBand{Time: p.Time, Low: p.Low, High: p.High, Break: broken})
		turns := i > 0 && p.Ahead != path[i-1].Ahead
		if broken || turns {
			c.Lines = append(c.Lines, ChartLine{Ahead: p.Ahead})
		}
		last := &c.Lines[len(c.Lines)-1]
		if turns && !broken { // the forecast begins where the line ends
			last.Points = append(last.Points, ChartXY{path[i-1].Time, path[i-1].Error})
		}
		last.Points = append(last.Points, ChartXY{p.Time, p.Error})
		if p.Ahead {
			c.AheadName = "forecast"
		}
	}
}

// end is the last moment of the lines.
func (c *Chart) end() time.Time {
	var end time.Time
	for _, l := range c.Lines {
		for _, p := range l.Points {
			if p.Time.After(end) {
				end = p.Time
			}
		}
	}
	return end
}

func (d *Drift) writeChart(w io.Writer, s Style) error {
	if d.result == nil || d.Plain {
		return nil
	}
	if err := Heading(w, s, "Chart"); err != nil {
		return err
	}
	return d.Chart().Text(w, s)
}
