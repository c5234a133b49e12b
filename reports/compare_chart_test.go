package reports_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/cause"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/reports/picture"
	"github.com/brinemark/brinemark/reports/typeset"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func compared(t *testing.T, tolerance quantity.Tolerance, rows ...agree.Reading) *reports.Compare {
	t.Helper()
	set, c := agreed(t, tolerance, rows)
	return reports.NewCompare(c, cause.Explain(set, c, cause.Options{}))
}

// agreed is a comparison without its explanation.
func agreed(t *testing.T, tolerance quantity.Tolerance, rows []agree.Reading) (*agree.Set, *agree.Comparison) {
	t.Helper()
	for i := range rows {
		rows[i].Row = i + 2
	}
	set, err := agree.NewSet(rows)
	require.NoError(t, err)
	c, err := agree.Compare(set, "other", tolerance)
	require.NoError(t, err)
	return set, c
}

// The figures printed by J.M. Bland and D.G. Altman, Lancet i (1986) 307, for
// two peak flow meters, the first readings of each: mean of meter 1 - meter 2
// -2.1 l/min, s = 38.8. The limits of agreement there are two s off; with the
// exact quantile 1.960 they are -78.1 and 73.9. The interval of the mean, -22.0
// to 17.8, is from memory.
func TestCompareChartOfThePublishedExample(t *testing.T) {
	text, err := os.ReadFile("../testdata/compare/peak-flow.csv")
	require.NoError(t, err)
	table, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	require.NoError(t, err)
	var rows []agree.Reading
	for _, row := range table[1:] {
		v, err := strconv.ParseFloat(row[2], 64)
		require.NoError(t, err)
		rows = append(rows, agree.Reading{Meter: row[0], Sample: row[1], Value: v})
	}
	c := compared(t, quantity.Tolerance{}, rows...).Chart()
	require.Equal(t, "meter 1 minus meter 2", typeset.Words(c.Heading))
	bias := layerNamed(t, c.Layers, "mean difference").Pieces[0]
	assert.InDelta(t, -2.1, bias[0].Y, 0.05)
	limits := layerNamed(t, c.Layers, "limits of agreement").Pieces
	require.Len(t, limits, 2)
	assert.InDelta(t, -2.1-1.960*38.8, limits[1][0].Y, 0.15)
	assert.InDelta(t, -2.1+1.960*38.8, limits[0][0].Y, 0.15)
	ends := layer[picture.Ends](t, c.Layers).List
	require.Len(t, ends, 3, "of the mean and of both limits")
	assert.InDelta(t, -22.0, ends[0].Low, 0.1)
	assert.InDelta(t, 17.8, ends[0].High, 0.1)
	points := layer[picture.Points](t, c.Layers)
	require.Len(t, points.List, 17)
	for _, p := range points.List {
		assert.True(t, p.X > bias[0].X && p.X < bias[1].X, "the lines reach over all points")
	}
	assert.Equal(t, picture.Point{X: 503, Y: -18}, points.List[0], "(494 + 512) / 2 and 494 - 512")
}

func reading(meter, sample string, v float64) agree.Reading {
	return agree.Reading{Meter: meter, Sample: sample, Value: v}
}

// Of many meters the pairs that are furthest apart are drawn, and all causes
// together are 1.
func TestCompareChartOfManyMeters(t *testing.T) {
	var rows []agree.Reading
	for sample, v := range map[string]float64{"A": 450, "B": 1000, "C": 2000, "D": 3000} {
		for meter, gain := range map[string]float64{"a": 1, "b": 1.002, "c": 0.9, "d": 1.05} {
			rows = append(rows, reading(meter, sample, v*gain+float64(len(rows)%3)))
		}
	}
	r := compared(t, quantity.Tolerance{Value: 0.05, Relative: true}, rows...)
	c := r.Chart()
	assert.Contains(t, c.Title, "4 meters: the 3 pairs furthest apart")
	require.Len(t, c.Below, 3)
	assert.Regexp(t, "^(c minus d|d minus c)", typeset.Words(c.Heading), "15 % apart")
	bars := layer[picture.Bars](t, c.Below[2].Layers)
	require.Len(t, bars.Shares, len(c.Below[2].Y.Names))
	sum := 0.0
	for _, s := range bars.Shares {
		sum += s
	}
	assert.InDelta(t, 1, sum, 1e-9)
	assert.NotNil(t, c.Below[2].X, "probabilities have an axis of their own")
	drawn(t, c)
}

func TestCompareChartOfPoorTables(t *testing.T) {
	name := `<script>"&'` + "\x1b[31m" + strings.Repeat("long ", 2000)
	for what, rows := range map[string][]agree.Reading{
		"one sample":        {reading(name, "A", 450), reading("b", "A", 460)},
		"two samples":       {reading(name, "A", 450), reading("b", "A", 460), reading(name, "B", 1450), reading("b", "B", 1460)},
		"same readings":     {reading(name, "A", 7), reading("b", "A", 7), reading(name, "B", 7), reading("b", "B", 7)},
		"zero":              {reading(name, "A", 0), reading("b", "A", 0), reading(name, "B", 1), reading("b", "B", 0)},
		"negative":          {reading(name, "A", -20), reading("b", "A", -21), reading(name, "B", 30), reading("b", "B", 31)},
		"huge":              {reading(name, "A", 1e12), reading("b", "A", 2e12), reading(name, "B", 3e12), reading("b", "B", 5e12), reading(name, "C", 4e12), reading("b", "C", 7e12)},
		"nothing in common": {reading(name, "A", 1), reading("b", "A", 1), reading("c", "B", 1), reading("b", "B", 2)},
	} {
		for _, tolerance := range []quantity.Tolerance{{}, {Value: 0.05, Relative: true}, {Value: 3}} {
			r := compared(t, tolerance, rows...)
			text := drawn(t, r.Chart())
			assert.NotContains(t, text, "<script>", what)
			assert.NotContains(t, text, "\x1b", what)
			assert.Equal(t, tolerance.Value > 0, strings.Contains(text, ">tolerance<"), what)
		}
	}
}

// heights are those of what a chart's panel shows, in the order: points, mean
// difference, limits.
func heights(t *testing.T, layers []picture.Layer) (list []float64) {
	t.Helper()
	for _, p := range layer[picture.Points](t, layers).List {
		list = append(list, p.Y)
	}
	list = append(list, layerNamed(t, layers, "mean difference").Pieces[0][0].Y)
	for _, l := range layers {
		if c, ok := l.(picture.Curve); ok && c.Name == "limits of agreement" {
			list = append(list, c.Pieces[0][0].Y, c.Pieces[1][0].Y)
		}
	}
	return list
}

// labelled are the numbers at the axes of a chart.
func labelled(document string) (list []float64) {
	for _, part := range regexp.MustCompile(`>(-?[0-9.]+)</text>`).FindAllStringSubmatch(document, -1) {
		x, err := strconv.ParseFloat(part[1], 64)
		if err == nil {
			list = append(list, x)
		}
	}
	return list
}

// Whatever number of samples and meters there is, what was measured is told apart
// on the panel, with zero, and no interval covers it: points, mean difference and
// limits take a good part of its height unless zero and the tolerance need it,
// which is said where they are left out.
func TestCompareChartOfFewAndManySamples(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 9))
	for meters := 2; meters <= 6; meters += 2 {
		for _, samples := range []int{2, 3, 4, 5, 7, 12, 40} {
			for _, offset := range []float64{0, 0.01, 0.06, 1} {
				for _, tolerance := range []quantity.Tolerance{{}, {Value: 0.05, Relative: true}} {
					var rows []agree.Reading
					for m := range meters {
						for s := range samples {
							truth := 300 + 2000*float64(s)/float64(samples)
							rows = append(rows, reading(fmt.Sprint("m", m), fmt.Sprint("s", s), math.Round(truth*(1+offset*float64(m))*(1+0.004*random.NormFloat64()))))
						}
					}
					_, comparison := agreed(t, tolerance, rows)
					c := reports.NewCompare(comparison, &cause.Explanation{}).Chart()
					panels := append([]picture.Panel{{Heading: c.Heading, X: &c.X, Y: c.Y, Layers: c.Layers}}, c.Below...)
					for _, p := range panels {
						what := fmt.Sprintf("%d meters, %d samples, %g apart, %v: %s", meters, samples, offset, tolerance, typeset.Words(p.Heading))
						for _, l := range p.Layers {
							_, band := l.(picture.Band)
							assert.False(t, band, "%s: nothing lies over the panel", what)
						}
						scale := max(p.Y.Scale, 1)
						list := heights(t, p.Layers)
						low, high := slices.Min(list)*scale, slices.Max(list)*scale
						alone := &picture.Chart{X: c.X, Y: p.Y, Layers: p.Layers}
						alone.X.Zone = time.UTC // so that numbers stand at the y axis alone
						shown := labelled(drawn(t, alone))
						part := (high - low) / (slices.Max(shown) - slices.Min(shown))
						if strings.Contains(p.Heading, "far") {
							assert.Greater(t, max(low, -high), 20*(high-low), what)
							assert.Greater(t, part, 0.3, "%s: %v of %v", what, list, shown)
							continue
						}
						assert.Contains(t, p.Y.Holds, 0.0, what)
						assert.True(t, slices.Min(shown) <= 0 && slices.Max(shown) >= 0, "%s: zero is shown, %v", what, shown)
						if tolerance.Value == 0 {
							assert.Greater(t, part, 0.03, "%s: %v of %v", what, list, shown)
						}
					}
				}
			}
		}
	}
}

// The axes carry the unit of the displays where all have one, and say so where
// they have not or nobody knows.
func TestCompareChartUnits(t *testing.T) {
	rows := []agree.Reading{}
	for s, v := range []float64{450, 1000, 2000} {
		for m, gain := range []float64{1, 1.01, 1.02} {
			rows = append(rows, reading(fmt.Sprint("m", m), fmt.Sprint("s", s), v*gain+float64(s*m)))
		}
	}
	half, seven, micro := reports.DisplayUnit(0.5), reports.DisplayUnit(0.7), reports.DisplayUnit(1)
	assert.Equal(t, "mS/cm", reports.DisplayUnit(0.001))
	for _, c := range []struct {
		units        map[string]string
		mean, on     string // of the x axis
		m1, m2, both string // headings
	}{
		{nil, "as displayed", "as displayed", "m1 minus m0", "m2 minus m0", "m2 minus m1"},
		{map[string]string{"m0": half, "m1": half, "m2": half}, "ppm (x 0.5)", "ppm (× 0.5)", "m1 minus m0", "m2 minus m0", "m2 minus m1"},
		{map[string]string{"m0": micro, "m1": micro, "m2": micro}, "uS/cm", "µS/cm", "m1 minus m0", "m2 minus m0", "m2 minus m1"},
		{map[string]string{"m0": half, "m1": seven, "m2": seven}, "units differ", "units differ", "m1 in ppm (x 0.7) minus m0 in ppm (x 0.5)", "m2 in ppm (x 0.7) minus m0 in ppm (x 0.5)", "m2 minus m1"},
		{map[string]string{"m0": micro}, "as displayed", "as displayed", "m1 minus m0 in uS/cm", "m2 minus m0 in uS/cm", "m2 minus m1"},
	} {
		r := compared(t, quantity.Tolerance{}, rows...)
		r.ShownIn(c.units)
		chart := r.Chart()
		lines, _ := chart.Screen(80)
		assert.Contains(t, strings.Join(lines, "\n"), "mean of the two meters, "+c.mean)
		assert.Contains(t, drawn(t, chart), ">mean of the two meters, "+c.on+"<")
		headings := []string{typeset.Words(chart.Heading), typeset.Words(chart.Below[0].Heading), typeset.Words(chart.Below[1].Heading)}
		assert.ElementsMatch(t, []string{c.m1, c.m2, c.both}, headings)
		if c.mean == "units differ" {
			for i, y := range []picture.Axis{chart.Y, chart.Below[0].Y, chart.Below[1].Y} {
				want := picture.Axis{Name: "difference, units differ"}
				if headings[i] == c.both {
					want = picture.Axis{Name: "difference", Unit: seven}
				}
				if y.Scale == 0 {
					assert.Equal(t, want.Name+want.Unit, y.Name+y.Unit, headings[i])
				}
			}
		}
	}
}

// A very long name takes nothing from the other.
func TestCompareChartOfLongNames(t *testing.T) {
	long := strings.Repeat("very ", 60) + "long"
	for _, names := range [][2]string{{long, "other"}, {"other", long}, {long, strings.Repeat("another ", 50)}} {
		document := drawn(t, compared(t, quantity.Tolerance{}, reading(names[0], "A", 450), reading(names[1], "A", 460), reading(names[0], "B", 950), reading(names[1], "B", 990)).Chart())
		assert.Regexp(t, ">Comparison of (very|other|another)[^<]* and (very|other|another)[^<]*</text>", document)
		assert.Regexp(t, ">(very|other|another)[^<]* minus (very|other|another)[^<]*</text>", document)
	}
}
