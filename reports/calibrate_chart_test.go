package reports_test

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/reports/picture"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func stated(u float64) *float64 { return &u }

// bench is a pen read in three bottles of one stock.
func bench(t *testing.T, o check.Options, rows ...check.Row) *reports.Calibrate {
	t.Helper()
	if rows == nil {
		for _, p := range [][2]float64{{447, 430}, {1003, 957}, {1998, 1921}} {
			rows = append(rows, check.Row{Ref: p[0], Reading: p[1], URef: stated(0.004 * p[0]), URefShared: stated(0.003 * p[0]), RefSource: "jar 1", UReading: stated(2)})
		}
	}
	r, err := check.Run(rows, o)
	require.NoError(t, err)
	return reports.NewCalibrate(r, reports.CalibrateContext{Meter: "P1", Unit: "uS/cm", State: "as-found"})
}

func drawn(t *testing.T, c *picture.Chart) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, c.SVG(&b))
	assert.NotContains(t, b.String(), "NaN")
	return b.String()
}

func layer[T picture.Layer](t *testing.T, list []picture.Layer) T {
	t.Helper()
	for _, l := range list {
		if found, ok := l.(T); ok {
			return found
		}
	}
	require.Fail(t, "no such layer")
	panic("not reached")
}

func TestCalibrationChartShowsWhatTheTableSays(t *testing.T) {
	two := quantity.Tolerance{Value: 0.02, Relative: true}
	r := bench(t, check.Options{Tolerance: &two, At: []float64{430, 1921}})
	c := r.Chart()
	require.Len(t, c.Below, 2, "errors and residuals")
	for i, panel := range [][]picture.Layer{c.Layers, c.Below[0].Layers, c.Below[1].Layers} {
		band, points := layer[picture.Band](t, panel), layer[picture.Points](t, panel)
		require.Len(t, points.List, 3)
		line := layerNamed(t, panel, "fitted line").Pieces[0]
		at := func(x float64) float64 {
			return line[0].Y + (line[1].Y-line[0].Y)*(x-line[0].X)/(line[1].X-line[0].X)
		}
		for k, p := range r.Points {
			uRef := math.Hypot(0.004*p.Ref, 0.003*p.Ref)
			want := [][3]float64{
				{p.Ref, p.Corrected, uRef}, {p.Error, p.Reading - p.Corrected, math.Hypot(uRef, 2)}, {p.Residual, 0, math.Hypot(uRef, 2*r.Fit.Slope)},
			}[i]
			assert.Equal(t, p.Reading, points.List[k].X)
			assert.InDelta(t, want[0], points.List[k].Y, 1e-9, "point")
			assert.InDelta(t, want[1], at(p.Reading), 1e-6, "line")
			assert.InDelta(t, 1.96*want[2], points.List[k].Bar, 1e-4*want[2], "bar: 95 % of a normal distribution")
		}
		assert.True(t, i > 0 || points.List[0].Wide > 3.9)
		// The band at the readings is the interval that the JSON gives there.
		for _, e := range r.At {
			low, _ := e.Low.Get()
			high, _ := e.High.Get()
			gotLow, gotHigh := bandAt(band, e.Reading)
			assert.InDelta(t, low-e.Corrected, gotLow-at(e.Reading), 0.02)
			assert.InDelta(t, high-e.Corrected, gotHigh-at(e.Reading), 0.02)
		}
	}
	// An error of 2 % of the reference lies on the limit, wherever it is.
	limits := layerNamed(t, c.Below[0].Layers, "tolerance").Pieces
	for _, piece := range limits {
		for _, p := range piece {
			ref := p.X - p.Y
			assert.InDelta(t, 0.02*ref, math.Abs(p.Y), 1e-9)
		}
	}
	assert.Contains(t, c.About, "fail")
}

func layerNamed(t *testing.T, list []picture.Layer, name string) picture.Curve {
	t.Helper()
	for _, l := range list {
		if c, ok := l.(picture.Curve); ok && c.Name == name {
			return c
		}
	}
	require.Fail(t, "no curve", name)
	return picture.Curve{}
}

func bandAt(b picture.Band, x float64) (low, high float64) {
	piece := b.Pieces[0]
	for i := 1; i < len(piece); i++ {
		if p, q := piece[i-1], piece[i]; x >= p.X && x <= q.X {
			part := (x - p.X) / (q.X - p.X)
			return p.Low + part*(q.Low-p.Low), p.High + part*(q.High-p.High)
		}
	}
	return math.NaN(), math.NaN()
}

// A result that was stored as JSON is drawn alike, to the byte.
func TestStoredCalibrationIsDrawnAlike(t *testing.T) {
	half := quantity.Tolerance{Value: 0.5}
	plain := []check.Row{{Ref: 0, Reading: 0.4}, {Ref: 37, Reading: 37.6}, {Ref: 98.9, Reading: 99.9}}
	for name, r := range map[string]*reports.Calibrate{
		"stated":    bench(t, check.Options{Tolerance: &half}),
		"scatter":   bench(t, check.Options{Kind: check.Temperature}, plain...),
		"theil-sen": bench(t, check.Options{Kind: check.Temperature, Method: "theil-sen"}, plain...),
		"one":       bench(t, check.Options{Kind: check.CO2}, check.Row{Ref: 425, Reading: 460}),
		"two":       bench(t, check.Options{Kind: check.Oxygen}, check.Row{Ref: 0, Reading: 0.1}, check.Row{Ref: 9, Reading: 8.6}),
	} {
		text, err := json.Marshal(r)
		require.NoError(t, err, name)
		var stored reports.Calibrate
		require.NoError(t, json.Unmarshal(text, &stored), name)
		assert.Equal(t, drawn(t, r.Chart()), drawn(t, stored.Chart()), name)
	}
}

// What is not known is not drawn: no band without a basis, no bar without an
// uncertainty, no limit without a tolerance.
func TestCalibrationChartWithoutUncertainty(t *testing.T) {
	r := bench(t, check.Options{Kind: check.Oxygen}, check.Row{Ref: 0, Reading: 0.1}, check.Row{Ref: 9, Reading: 8.6})
	c := r.Chart()
	require.Len(t, c.Below, 1)
	_, legend := c.Screen(80)
	assert.Equal(t, []string{"o reading of a reference", "* fitted line", "/ what the meter shows"}, legend)
	exact := bench(t, check.Options{}, check.Row{Ref: 100, Reading: 99, URef: stated(0), UReading: stated(0)}, check.Row{Ref: 900, Reading: 880, URef: stated(2), UReading: stated(1)})
	points := layer[picture.Points](t, exact.Chart().Layers)
	assert.Zero(t, points.List[0].Bar)
	assert.Positive(t, points.List[1].Bar)
}

func TestCalibrationChartOfEveryQuantity(t *testing.T) {
	units := map[check.Kind]string{check.EC: "as displayed", check.PH: "pH", check.Humidity: "%RH", check.Temperature: "C", check.Oxygen: "mg/L", check.CO2: "ppm CO2", check.Other: "as displayed"}
	for _, kind := range check.Kinds() {
		rows := []check.Row{{Ref: 4, Reading: 4.1}, {Ref: 7, Reading: 7}, {Ref: 10, Reading: 9.8}}
		result, err := check.Run(rows, check.Options{Kind: kind})
		require.NoError(t, err)
		r := reports.NewCalibrate(result, reports.CalibrateContext{State: "as-left"})
		text := drawn(t, r.Chart())
		lines, _ := r.Chart().Screen(80)
		assert.Contains(t, strings.Join(lines, "\n"), "reference, "+units[kind]+"\n", "ASCII on a terminal")
		if kind == check.Temperature {
			units[kind] = "°C"
		}
		assert.Contains(t, text, ">reading, "+units[kind]+"<", kind)
		assert.Contains(t, text, ">reference, "+units[kind]+"<", kind)
		assert.Contains(t, text, "Calibration of the meter, as left")
	}
}

func TestCalibrationChartOfBothStates(t *testing.T) {
	r, left := bench(t, check.Options{}), bench(t, check.Options{})
	left.State = "as-left"
	r.AsLeft = left
	c := r.Chart()
	require.Len(t, c.Below, 3)
	assert.Equal(t, []string{"as found", "", "as left", ""}, []string{c.Heading, c.Below[0].Heading, c.Below[1].Heading, c.Below[2].Heading})
	assert.NotNil(t, c.Below[1].X, "an axis of its own")
	r.Drawn = true
	var b bytes.Buffer
	require.NoError(t, r.Table(&b, reports.Style{}))
	assert.Equal(t, 2, strings.Count(b.String(), "\nChart\n"))
}

// Meters that show anything, in any number of points.
func TestCalibrationChartOfOddBenches(t *testing.T) {
	many := make([]check.Row, 100)
	for i := range many {
		many[i] = check.Row{Ref: float64(20 * i), Reading: float64(19*i + i%7)}
	}
	for name, rows := range map[string][]check.Row{
		"zero":     {{Ref: 0, Reading: 0.3}},
		"one":      {{Ref: 425, Reading: 460}},
		"huge":     {{Ref: 1e12, Reading: 1.1e12}, {Ref: 2e12, Reading: 2.1e12}, {Ref: 3e12, Reading: 3.3e12}},
		"tiny":     {{Ref: 1e-9, Reading: 1.1e-9}, {Ref: 2e-9, Reading: 2.1e-9}, {Ref: 3e-9, Reading: 3.3e-9}},
		"negative": {{Ref: -40, Reading: -41}, {Ref: 0, Reading: 0.5}, {Ref: 20, Reading: 20}},
		"hundred":  many,
	} {
		for _, tolerance := range []*quantity.Tolerance{nil, {Value: 0.05, Relative: true}, {Value: 3}, {Value: 2, Relative: true}} {
			if tolerance != nil && tolerance.Relative && (name == "zero" || name == "negative") {
				continue // no fraction of 0
			}
			result, err := check.Run(rows, check.Options{Kind: check.Other, Tolerance: tolerance})
			require.NoError(t, err, name)
			r := reports.NewCalibrate(result, reports.CalibrateContext{Meter: `<script>"&'` + "\x1b[31m\u202e", State: "as-found"})
			text := drawn(t, r.Chart())
			assert.NotContains(t, text, "<script>")
			assert.NotContains(t, text, "\x1b")
			for _, c := range []*picture.Chart{r.Chart()} {
				lines, _ := c.Screen(80)
				assert.Greater(t, len(lines), 15, name)
			}
		}
	}
}
