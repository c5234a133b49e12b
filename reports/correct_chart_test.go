package reports_test

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/reports/picture"
	"github.com/brinemark/brinemark/reports/typeset"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// correctedLog corrects a log of the column ec by 1.1 x from the 2nd of March
// on, and outlines it.
func correctedLog(t *testing.T, log string, about reports.CorrectionPlan) *reports.Correction {
	t.Helper()
	begin := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	timeline, err := series.NewTimeline([]series.Calibration{{Time: begin, State: series.AsLeft, Line: series.Exact(0, 1.1, 0, 2000), Name: "one"}}, nil, series.Growth{Rate: 0.02, Relative: true})
	require.NoError(t, err)
	dry := watch.UsualDryLimits(20)
	plan := series.Plan{Probes: []*series.Probe{{Column: "ec", Timeline: timeline, Low: 0, High: 3000, StaleAfter: 30 * 24 * time.Hour, Dry: &dry}}}
	outline := series.NewOutline(1)
	plan.Observer = outline
	summary, err := series.Correct(strings.NewReader(log), io.Discard, "log.csv", plan)
	require.NoError(t, err)
	about.Column, about.FirstCalibration, about.LastCalibration = "ec", begin, begin
	r := reports.NewCorrection(summary, "log.csv", plan, []reports.CorrectionPlan{about})
	r.Outlined(outline)
	return r
}

// hourly is a log of so many hours from the 1st of March on.
func hourly(n int, value func(i int) string) string {
	var b strings.Builder
	b.WriteString("time,ec\n")
	at := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for i := range n {
		fmt.Fprintf(&b, "%s,%s\n", at.Add(time.Duration(i)*time.Hour).Format(time.RFC3339), value(i))
	}
	return b.String()
}

func curve(t *testing.T, c *picture.Chart, name string) picture.Curve {
	t.Helper()
	return layerNamed(t, c.Layers, name)
}

func TestCorrectChartShowsReadingsAndTruth(t *testing.T) {
	log := hourly(100, func(i int) string {
		switch {
		case i >= 60 && i < 65:
			return "1"
		case i == 80:
			return ""
		}
		return fmt.Sprint(1000 + i)
	})
	r := correctedLog(t, log, reports.CorrectionPlan{Unit: "uS/cm", WrittenUnit: "uS/cm"})
	c := r.Chart()
	assert.Equal(t, "ec, uS/cm", axisText(c.Y))
	assert.Contains(t, drawn(t, c), ">ec, µS/cm<")
	assert.Contains(t, drawn(t, c), ">date<")
	assert.Contains(t, drawn(t, c), ">2026-03-01<", "the first day has its year")
	read, truth := curve(t, c, "reading"), curve(t, c, "corrected")
	count := func(l picture.Curve) (n int) {
		for _, piece := range l.Pieces {
			n += len(piece)
		}
		return n
	}
	assert.Equal(t, 99, count(read), "all but the blank one")
	assert.Equal(t, 70, count(truth), "not before the calibration, not in air, not the blank one")
	require.Len(t, read.Pieces, 2, "broken at the blank row")
	require.Len(t, truth.Pieces, 3, "broken in air as well")
	for _, piece := range truth.Pieces {
		for _, p := range piece {
			hour := (p.X - picture.At(time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC))) / 3600
			assert.InDelta(t, 1.1*(1000+hour), p.Y, 1e-6)
		}
	}
	assert.InDelta(t, 1000, read.Within.Low, 1e-9, "the value in air does not move the axis")
	// The band covers 95 %: 1.96 standard uncertainties, which the drift makes grow.
	band := layer[picture.Band](t, c.Layers)
	for _, piece := range band.Pieces {
		for _, stripe := range piece {
			assert.Greater(t, stripe.Low, 1000.0, "none in air")
		}
	}
	first, last := band.Pieces[0][0], band.Pieces[len(band.Pieces)-1]
	end := last[len(last)-1]
	assert.InDelta(t, 0, first.High-first.Low, 1e-6, "an exact calibration")
	value := 1.1 * 1099
	u := 1.1 * 0.02 * value * 75 / 24 / 30 // 2 % of what is true in 30 days, on the display
	assert.InDelta(t, value+1.96*u, end.High, 0.2)
	assert.InDelta(t, value-1.96*u, end.Low, 0.2)
	// What is flagged is shaded, and each flag has its lane.
	shade := layer[picture.Shade](t, c.Layers)
	require.Len(t, shade.List, 3)
	require.Len(t, c.Below, 1)
	assert.Equal(t, []string{"blank", "before-calibration", "dry"}, c.Below[0].Y.Names)
	lanes := layer[picture.Lanes](t, c.Below[0].Layers)
	hours := func(s picture.Span) float64 { return (s.To - s.From) / 3600 }
	require.Len(t, lanes.Rows[2], 1)
	assert.InDelta(t, 5, hours(lanes.Rows[2][0]), 0.01, "five rows, one an hour")
	assert.InDelta(t, 1, hours(lanes.Rows[0][0]), 0.01)
	text := drawn(t, c)
	for _, want := range []string{">dry<", ">blank<", ">before-calibration<", ">not to be believed<", ">corrected<", ">reading<"} {
		assert.Contains(t, text, want)
	}
	assert.Contains(t, c.About, "dry 5")
	var b bytes.Buffer
	require.NoError(t, r.WriteChart(&b, reports.Style{}))
	assert.Contains(t, b.String(), "\nChart\n")
	for _, line := range strings.Split(b.String(), "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 80, line)
	}
}

// A long log has the extremes of every stretch in its lines, and a flag that a
// few rows have is as high as their share.
func TestCorrectChartOfALongLog(t *testing.T) {
	log := hourly(24*200, func(i int) string {
		switch {
		case i == 3000:
			return "1900"
		case i%100 == 50:
			return ""
		}
		return fmt.Sprint(1000 + i%24)
	})
	r := correctedLog(t, log, reports.CorrectionPlan{})
	c := r.Chart()
	read := curve(t, c, "reading")
	most := 0.0
	for _, piece := range read.Pieces {
		for _, p := range piece {
			most = max(most, p.Y)
		}
	}
	assert.Equal(t, 1900.0, most, "one row of thousands shows")
	lanes := layer[picture.Lanes](t, c.Below[0].Layers)
	require.Equal(t, "blank", c.Below[0].Y.Names[0])
	assert.Len(t, lanes.Rows[0], 48)
	for _, s := range lanes.Rows[0] {
		assert.Less(t, s.Part, 0.51)
	}
	stale := lanes.Rows[len(lanes.Rows)-1]
	assert.NotEmpty(t, stale)
	assert.Equal(t, "ec, as displayed", axisText(c.Y))
	assert.Less(t, len(drawn(t, c)), 300_000)
}

// A gap of many rows breaks lines and shading.
func TestCorrectChartShowsGaps(t *testing.T) {
	log := hourly(100, func(i int) string { return "1000" })
	rows := strings.Split(log, "\n")
	log = strings.Join(append(rows[:41:41], rows[71:]...), "\n")
	c := correctedLog(t, log, reports.CorrectionPlan{}).Chart()
	assert.Len(t, curve(t, c, "reading").Pieces, 2)
	assert.Len(t, curve(t, c, "corrected").Pieces, 2)
}

// axisText is what an axis is called on a terminal.
func axisText(a picture.Axis) string {
	if a.Unit != "" {
		a.Name += ", " + a.Unit
	}
	return typeset.Words(a.Name)
}

// Where what is written has another unit, readings have a panel of their own.
func TestCorrectChartOfAnotherUnit(t *testing.T) {
	c := correctedLog(t, hourly(50, func(i int) string { return "1000" }), reports.CorrectionPlan{Meter: "tent pen", Unit: "ppm@0.5", WrittenUnit: "mS/cm"}).Chart()
	assert.Equal(t, "ec: tent pen", typeset.Words(c.Heading))
	assert.Equal(t, "reading, ppm (x 0.5)", axisText(c.Y))
	require.Len(t, c.Below, 2)
	assert.Equal(t, "ec, mS/cm", axisText(c.Below[0].Y))
	curve(t, c, "reading")
	layerNamed(t, c.Below[0].Layers, "corrected")
}

func TestCorrectChartOfPoorLogs(t *testing.T) {
	for name, log := range map[string]string{
		"no rows":          "time,ec\n",
		"one row":          "time,ec\n2026-03-05T00:00:00Z,1000\n",
		"nothing believed": hourly(5, func(int) string { return "?" }),
		"in air only":      "time,ec\n2026-03-05T00:00:00Z,1\n2026-03-05T01:00:00Z,1\n",
		"ends of time":     "time,ec\n1700-01-01T00:00:00Z,1000\n2199-12-31T00:00:00Z,1000\n",
	} {
		t.Run(name, func(t *testing.T) {
			r := correctedLog(t, log, reports.CorrectionPlan{Meter: `<script>"&'` + "\x1b[31m"})
			text := drawn(t, r.Chart())
			assert.NotContains(t, text, "<script>")
			var b bytes.Buffer
			require.NoError(t, r.WriteChart(&b, reports.Style{}))
			assert.NotContains(t, b.String(), "\x1b")
		})
	}
}
