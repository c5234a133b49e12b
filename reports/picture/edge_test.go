package picture_test

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/reports/picture"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const beyond = "goes on beyond the edge"

// marksAt are the tips of the marks at edges, in points from the left and the
// bottom, without the two of the legend.
func marksAt(t *testing.T, document string) (list [][2]float64) {
	t.Helper()
	triangle := regexp.MustCompile(`<path d="M([0-9.]+),([0-9.]+)L[0-9.]+,[0-9.]+L[0-9.]+,[0-9.]+Z" style="fill:#1A1A1A" />`)
	for _, part := range triangle.FindAllStringSubmatch(document, -1) {
		x, err := strconv.ParseFloat(part[1], 64)
		require.NoError(t, err)
		y, err := strconv.ParseFloat(part[2], 64)
		require.NoError(t, err)
		list = append(list, [2]float64{x, y})
	}
	if strings.Contains(document, ">"+beyond+"<") {
		require.GreaterOrEqual(t, len(list), 2)
		return list[:len(list)-2]
	}
	return list
}

// A line or a band that goes on beyond the edge ends in a mark there, one for
// each way out, and the legend says what the mark is; one that does not has none.
func TestEdgesAreMarked(t *testing.T) {
	line := func(within picture.Interval, heights ...float64) picture.Curve {
		c := picture.Curve{Name: "line", Within: &within, Pieces: [][]picture.XY{nil}}
		for i, y := range heights {
			c.Pieces[0] = append(c.Pieces[0], picture.XY{X: float64(i), Y: y})
		}
		return c
	}
	band := picture.Band{Name: "band", Pieces: [][]picture.Stripe{{{X: 0, Low: 4, High: 6}, {X: 5, Low: -100, High: 100}, {X: 9, Low: -100, High: 6}}}}
	for name, c := range map[string]struct {
		layers       []picture.Layer
		above, below int
	}{
		"within":         {[]picture.Layer{line(picture.Interval{Low: 0, High: 10}, 0, 10, 5)}, 0, 0},
		"one way out":    {[]picture.Layer{line(picture.Interval{Low: 5, High: 10}, 5, 10, 0, 1, 7)}, 0, 1},
		"two ways out":   {[]picture.Layer{line(picture.Interval{Low: 5, High: 10}, 5, 0, 10, 0, 7)}, 0, 2},
		"up and down":    {[]picture.Layer{line(picture.Interval{Low: 5, High: 10}, 5, 0, 7, 20, 7)}, 1, 1},
		"a band":         {[]picture.Layer{line(picture.Interval{Low: 0, High: 10}, 0, 10, 5, 5, 5, 5, 5, 5, 5, 5), band}, 1, 1},
		"a band within":  {[]picture.Layer{line(picture.Interval{Low: 0, High: 10}, 0, 10), picture.Band{Name: "band", Pieces: [][]picture.Stripe{{{X: 0, Low: -1, High: 12}, {X: 1, Low: 0, High: 1}}}}}, 0, 0},
		"twice the same": {[]picture.Layer{line(picture.Interval{Low: 5, High: 10}, 5, 0, 10), line(picture.Interval{Low: 5, High: 10}, 5, 0, 10)}, 0, 1},
	} {
		t.Run(name, func(t *testing.T) {
			chart := &picture.Chart{Layers: c.layers}
			document := svg(t, chart)
			assertApart(t, document)
			assert.Equal(t, c.above+c.below > 0, strings.Contains(document, ">"+beyond+"<"))
			above, below := 0, 0
			for _, tip := range marksAt(t, document) {
				if tip[1] > highOf(t, document)/2 {
					above++
				} else {
					below++
				}
			}
			assert.Equal(t, []int{c.above, c.below}, []int{above, below})
			lines, legend := chart.Screen(60)
			assert.Equal(t, c.above+c.below > 0, strings.Contains(strings.Join(legend, ";"), "^ v "+beyond))
			assert.Equal(t, c.above, strings.Count(lines[0], "^"), lines[0])
			assert.Equal(t, c.below, strings.Count(lines[16], "v"), lines[16])
		})
	}
}

// The interval of a level line is a bar behind its end. It widens what is shown by
// half of it at most, or ends in marks; then it takes no room from the rest.
func TestEnds(t *testing.T) {
	chart := func(low, high float64) *picture.Chart {
		return &picture.Chart{Y: picture.Axis{Holds: []float64{0}}, Layers: []picture.Layer{
			picture.Ends{Name: "interval", X: 10, List: []picture.End{{At: 8, Low: low, High: high, Role: picture.Fitted}}},
			picture.Curve{Name: "line", Pieces: [][]picture.XY{{{X: 0, Y: 8}, {X: 10, Y: 8}}}},
			picture.Points{Name: "point", List: []picture.Point{{X: 5, Y: 10}}},
		}}
	}
	shown := func(c *picture.Chart) (least, most float64) {
		lines, _ := c.Screen(60)
		label := regexp.MustCompile(`^ *(-?[0-9.]+) \|`)
		for _, l := range lines {
			if part := label.FindStringSubmatch(l); part != nil {
				x, err := strconv.ParseFloat(part[1], 64)
				require.NoError(t, err)
				least, most = min(least, x), max(most, x)
			}
		}
		return least, most
	}
	for _, c := range []struct{ low, high, least, most float64 }{
		{7, 9, 0, 10}, {7, 14, 0, 14}, {-4, 14, -4, 14}, {-400, 14, 0, 14}, {-400, 700, 0, 10}, {7, 1e300, 0, 10},
	} {
		what := fmt.Sprint(c.low, " to ", c.high)
		least, most := shown(chart(c.low, c.high))
		assert.InDelta(t, c.least, least, 2, what)
		assert.InDelta(t, c.most, most, 2, what)
		document := svg(t, chart(c.low, c.high))
		assertApart(t, document)
		marks := 0
		if c.low < -5 {
			marks++
		}
		if c.high > 15 {
			marks++
		}
		assert.Len(t, marksAt(t, document), marks, what)
		// Everything lies on the paper, the bar right of the line.
		ends := regexp.MustCompile(`<path d="M([0-9.]+),([0-9.]+)L([0-9.]+),([0-9.]+)" style="fill:none;stroke:#1A1A1A;stroke-width:0.8" />`).FindAllStringSubmatch(document, -1)
		upright := 0
		for _, e := range ends {
			var x, from, to float64
			_, err := fmt.Sscan(e[1]+" "+e[2]+" "+e[4], &x, &from, &to)
			require.NoError(t, err)
			if e[1] == e[3] && x > 400 && x < 480 && to-from > 5 { // no tick
				upright++
			}
		}
		assert.Equal(t, 1, upright, what)
	}
	three := chart(7, 9)
	ends := three.Layers[0].(picture.Ends)
	ends.List = append(ends.List, ends.List[0], ends.List[0])
	three.Layers[0] = ends
	for _, c := range []*picture.Chart{three, chart(7, 9)} {
		lines, _ := c.Screen(60)
		row := ""
		for _, l := range lines {
			if strings.Contains(l, "**") {
				row = l
			}
		}
		assert.Equal(t, 1+len(c.Layers[0].(picture.Ends).List), len(strings.Fields(strings.SplitN(row, "|", 2)[1])), "each bar beside the others: %s", row)
	}
}

// The entries of a legend stand in columns.
func TestLegendStandsInColumns(t *testing.T) {
	c := sample()
	document := svg(t, c)
	_, legend := c.Screen(200)
	names := map[string]bool{}
	for _, l := range legend {
		if l[0] != '!' && l[0] != ':' { // these stand above the chart
			names[l[2:]] = true
		}
	}
	rows := map[float64][]float64{}
	for _, b := range texts(t, document) {
		if names[b.text] {
			rows[b.top] = append(rows[b.top], b.left)
		}
	}
	require.GreaterOrEqual(t, len(rows), 2)
	longest := []float64{}
	for _, row := range rows {
		if len(row) > len(longest) {
			longest = row
		}
	}
	for _, row := range rows {
		for i, left := range row {
			assert.InDelta(t, longest[i], left, 0.01)
		}
	}
}
