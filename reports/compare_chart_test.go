package reports_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/cause"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/reports/picture"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func compared(t *testing.T, tolerance quantity.Tolerance, rows ...agree.Reading) *reports.Compare {
	t.Helper()
	for i := range rows {
		rows[i].Row = i + 2
	}
	set, err := agree.NewSet(rows)
	require.NoError(t, err)
	c, err := agree.Compare(set, "other", tolerance)
	require.NoError(t, err)
	return reports.NewCompare(c, cause.Explain(set, c, cause.Options{}))
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
	require.Equal(t, "meter 1 - meter 2", c.Heading)
	bias := layerNamed(t, c.Layers, "mean difference").Pieces[0]
	assert.InDelta(t, -2.1, bias[0].Y, 0.05)
	limits := layerNamed(t, c.Layers, "limits of agreement").Pieces
	require.Len(t, limits, 2)
	assert.InDelta(t, -2.1-1.960*38.8, limits[0][0].Y, 0.15)
	assert.InDelta(t, -2.1+1.960*38.8, limits[1][0].Y, 0.15)
	band := layer[picture.Band](t, c.Layers)
	require.Len(t, band.Pieces, 3, "of the mean and of both limits")
	assert.InDelta(t, -22.0, band.Pieces[0][0].Low, 0.1)
	assert.InDelta(t, 17.8, band.Pieces[0][0].High, 0.1)
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
	assert.Contains(t, []string{"c - d", "d - c"}, c.Heading, "15 % apart")
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
