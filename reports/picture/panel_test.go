package picture_test

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/brinemark/brinemark/reports/picture"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tower is a chart of all kinds of panels: two and lanes that share their dates,
// and bars with an axis of their own.
func tower() *picture.Chart {
	c := sample()
	c.Heading, c.Tall = "first", 0.8
	c.Layers = append(c.Layers, picture.Shade{Name: "shaded", List: []picture.Span{{From: day(20), To: day(40)}}})
	c.Below = []picture.Panel{
		{Heading: "second", Y: picture.Axis{Name: "residual"}, Tall: 0.4, Layers: []picture.Layer{
			picture.Points{Name: "check", List: []picture.Point{{X: day(0), Y: 100000, Bar: 3000, Wide: 3 * 86400}, {X: day(120), Y: 120000}}}}},
		{Y: picture.Axis{Names: []string{"dry", "stale"}}, Layers: []picture.Layer{
			picture.Lanes{Rows: [][]picture.Span{{{From: day(20), To: day(40)}}, {{From: day(60), To: day(90), Part: 0.5}}}}}},
		{Heading: "why", X: &picture.Axis{Name: "probability, %", Scale: 100}, Y: picture.Axis{Names: []string{"gain: P2", "none", "other", "zero"}},
			Layers: []picture.Layer{picture.Bars{Shares: []float64{0.996, 0.004, 0, 1}}}},
	}
	return c
}

func TestPanelsStandApart(t *testing.T) {
	document := svg(t, tower())
	assertApart(t, document)
	var shown []string
	for _, b := range texts(t, document) {
		shown = append(shown, b.text)
	}
	for _, want := range []string{"first", "second", "why", "dry", "stale", "gain: P2", "over 99 %", "under 1 %", "0 %", "100 %", "shaded", "probability, %", "100"} {
		assert.Contains(t, shown, want)
	}
	assert.Equal(t, 1, strings.Count(strings.Join(shown, "\n"), "2026-03\n"), "panels that share dates show them once")
	long := tower()
	long.Heading = strings.Repeat("a long heading ", 40)
	long.Below[2].Y.Names = []string{strings.Repeat("a long name ", 40), "stale"}
	long.Below[1].Y.Name = strings.Repeat("a long axis ", 40)
	assertApart(t, svg(t, long))
}

// The ends of the axis lie below one another, whatever labels stand beside them.
func TestPanelsAreAligned(t *testing.T) {
	horizontal := regexp.MustCompile(`<path d="M([0-9.]+),([0-9.]+)L([0-9.]+),([0-9.]+)" style="fill:none;stroke:#1A1A1A;stroke-width:0.8" />`)
	ends := map[string]int{}
	for _, part := range horizontal.FindAllStringSubmatch(svg(t, tower()), -1) {
		if part[2] == part[4] && len(part[1]) > 0 {
			var from, to float64
			_, err := fmt.Sscan(part[1]+" "+part[3], &from, &to)
			require.NoError(t, err)
			if to-from > 300 {
				ends[fmt.Sprintf("%.0f %.0f", from, to)]++
			}
		}
	}
	require.Len(t, ends, 1, "%v", ends)
	for _, n := range ends {
		assert.Equal(t, 4, n, "the axes of four panels")
	}
}

// A moment that lies in one panel alone is in its place in the others too.
func TestPanelsShareTheirAxis(t *testing.T) {
	chart := &picture.Chart{X: picture.Axis{}, Layers: []picture.Layer{picture.Points{Name: "a", List: []picture.Point{{X: 0}, {X: 10, Y: 1}}}},
		Below: []picture.Panel{{Layers: []picture.Layer{picture.Points{Name: "b", Shape: picture.Square, List: []picture.Point{{X: 40}, {X: 5, Y: 1}}}}}}}
	lines, _ := chart.Screen(80)
	column := func(sign string) (at []int) {
		for _, l := range lines {
			if i := strings.Index(l, sign); i >= 0 {
				at = append(at, i)
			}
		}
		return at
	}
	a, b := column("o"), column("#")
	require.Len(t, a, 2)
	require.Len(t, b, 2)
	assert.Less(t, b[0], a[0], "5 lies left of 10")
	assert.Greater(t, b[1], a[0]+30, "40 lies far right of 10")
}

// Bars and lanes are as long as they say.
func TestLengths(t *testing.T) {
	chart := &picture.Chart{X: picture.Axis{Name: "probability, %", Scale: 100}, Y: picture.Axis{Names: []string{"a", "b", "c"}},
		Layers: []picture.Layer{picture.Bars{Shares: []float64{0.5, 0.25, 0.005}}}}
	document := svg(t, chart)
	assertApart(t, document)
	box := regexp.MustCompile(`<path d="M([0-9.]+),[0-9.]+L([0-9.]+),[0-9.]+L[0-9.,]+L[0-9.,]+Z" style="fill:#124F8C" />`)
	var wide []float64
	for _, part := range box.FindAllStringSubmatch(document, -1) {
		var from, to float64
		_, err := fmt.Sscan(part[1]+" "+part[2], &from, &to)
		require.NoError(t, err)
		wide = append(wide, to-from)
	}
	require.Len(t, wide, 3)
	assert.InDelta(t, 2, wide[0]/wide[1], 0.01)
	assert.InDelta(t, 100, wide[0]/wide[2], 5)
	lines, _ := chart.Screen(60)
	assert.Equal(t, 28, strings.Count(lines[0], "="), "half of the axis: %s", lines[0])
	assert.Equal(t, 14, strings.Count(lines[1], "="))
	assert.True(t, strings.HasSuffix(lines[0], " 50 %") && strings.HasSuffix(lines[2], " under 1 %"), lines)

	lanes := &picture.Chart{Y: picture.Axis{Names: strings.Fields("a b c d e f g h i j k l")}, Layers: []picture.Layer{picture.Lanes{Rows: make([][]picture.Span, 12)}}}
	rows := lanes.Layers[0].(picture.Lanes).Rows
	rows[0] = []picture.Span{{From: 0, To: 0}, {From: 100, To: 100}}
	for i := range rows[1:] {
		rows[i+1] = []picture.Span{{From: 0, To: 50}}
	}
	lines, _ = lanes.Screen(60)
	for i, name := range strings.Fields("a b c d e f g h i j k l") {
		assert.True(t, strings.HasPrefix(lines[i], name+" |"), "each name has its row: %q", lines[i])
		want := 29
		if i == 0 {
			want = 2
		}
		assert.InDelta(t, want, strings.Count(lines[i], "="), 1, "%q", lines[i])
	}
}

// What is shaded is seen through a band that covers it, and lies under lines.
func TestShadeShowsThroughABand(t *testing.T) {
	chart := &picture.Chart{Layers: []picture.Layer{
		picture.Curve{Name: "line", Pieces: [][]picture.XY{{{X: 0}, {X: 10}}}},
		picture.Band{Name: "band", Pieces: [][]picture.Stripe{{{X: 0, Low: -1, High: 1}, {X: 10, Low: -1, High: 1}}}},
		picture.Shade{Name: "shaded", List: []picture.Span{{From: 4, To: 6}}}}}
	document := svg(t, chart)
	order := []string{"fill:#F4EEE2", "fill:#D3DEE9", "stroke-width:0.35", "stroke:#124F8C"}
	last := 0
	for _, look := range order {
		at := strings.Index(document, look)
		require.Greater(t, at, last, look)
		last = at
	}
	assert.Greater(t, strings.Count(document, "stroke-width:0.35"), 20, "the hatching")
}

// A curve that goes beyond what it must show is cut at the edge.
func TestCurveWithin(t *testing.T) {
	chart := &picture.Chart{Layers: []picture.Layer{
		picture.Curve{Name: "line", Within: &picture.Interval{Low: 500, High: 600}, Pieces: [][]picture.XY{{{X: 0, Y: 500}, {X: 1, Y: 0}, {X: 2, Y: 600}}}}}}
	lines, _ := chart.Screen(60)
	text := strings.Join(lines, "\n")
	assert.Contains(t, text, "600 |")
	assert.NotContains(t, text, "400 |")
	assertApart(t, svg(t, chart))
}

// For a page: one element that says what it shows, takes its colours from the
// page, and is as wide as its place.
func TestEmbed(t *testing.T) {
	c := tower()
	c.Title = `<script>alert(1)</script> "fill:#FFFFFF"`
	element, err := c.Embed()
	require.NoError(t, err)
	again, err := c.Embed()
	require.NoError(t, err)
	assert.Equal(t, element, again)
	assert.True(t, strings.HasPrefix(element, "<svg ") && strings.HasSuffix(element, "</svg>\n"), "no XML declaration")
	decoder := xml.NewDecoder(strings.NewReader(element))
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		if start, ok := token.(xml.StartElement); ok {
			require.Contains(t, []string{"svg", "title", "desc", "g", "path", "text"}, start.Name.Local)
			for _, a := range start.Attr {
				assert.NotEqual(t, "id", a.Name.Local, "several stand in one page")
			}
		}
	}
	assert.NotRegexp(t, `style="[^"]*(fill|stroke):#`, element, "every colour has a name")
	assert.Contains(t, element, "<title>&lt;script&gt;alert(1)&lt;/script&gt; \"fill:")
	head, _, _ := strings.Cut(element, ">")
	assert.Contains(t, head, "max-width:640px")
	assert.NotContains(t, head, "pt\"")
	for _, dark := range []bool{false, true} {
		for _, name := range regexp.MustCompile(`var\((--chart-[a-z]+),#`).FindAllStringSubmatch(element, -1) {
			assert.Contains(t, picture.Properties(dark), name[1]+":#")
		}
	}
	assert.NotEqual(t, picture.Properties(false), picture.Properties(true))
	// On a phone of 360 px a text of 10.5 is 9 px high.
	var wide float64
	_, err = fmt.Sscanf(regexp.MustCompile(`viewBox="0 0 ([0-9.]+)`).FindStringSubmatch(element)[1], "%g", &wide)
	require.NoError(t, err)
	assert.GreaterOrEqual(t, 10.5*360/wide, 9.0)
	narrow := texts(t, element)
	for i, a := range narrow {
		assert.True(t, a.left >= 0 && a.right <= wide, "%v is on the paper", a)
		for _, b := range narrow[:i] {
			assert.False(t, a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom, "%v and %v overlap", a, b)
		}
	}
}

func TestPanelsOnAScreen(t *testing.T) {
	for _, columns := range []int{10, 40, 80, 200} {
		lines, legend := tower().Screen(columns)
		for _, l := range lines {
			if columns >= 40 {
				assert.LessOrEqual(t, utf8.RuneCountInString(l), columns, l)
			}
		}
		assert.Contains(t, legend, ", shaded")
	}
}

// Numbers of any size, and panels with nothing in them.
func TestExtremePanels(t *testing.T) {
	for _, size := range []float64{0, 5e-324, 1e-12, 1, 1e12, 1e300, math.MaxFloat64} {
		points := []picture.Point{{X: -size, Y: size}, {X: size, Y: -size, Bar: size}}
		c := &picture.Chart{Title: "chart", X: picture.Axis{Name: "x"}, Y: picture.Axis{Name: "y"}, Layers: []picture.Layer{picture.Points{Name: "point", List: points}},
			Below: []picture.Panel{
				{Layers: []picture.Layer{picture.Curve{Name: "line", Pieces: [][]picture.XY{{{X: size, Y: size}, {X: 2 * size, Y: 3}}}}}},
				{}, {Y: picture.Axis{Names: []string{"a"}}}, {X: &picture.Axis{}, Y: picture.Axis{Names: []string{"b"}}, Layers: []picture.Layer{picture.Bars{}, picture.Lanes{}, picture.Shade{}}},
			}}
		document := svg(t, c)
		assert.NotContains(t, document, "NaN", "%g", size)
		assert.NotContains(t, document, "Inf", "%g", size)
		assertApart(t, document)
		lines, _ := c.Screen(60)
		assert.Greater(t, len(lines), 20)
		for _, l := range lines {
			assert.LessOrEqual(t, utf8.RuneCountInString(l), 60, l)
		}
	}
}

func TestPNGOfPanels(t *testing.T) {
	var a, b bytes.Buffer
	require.NoError(t, tower().PNG(&a))
	require.NoError(t, tower().PNG(&b))
	assert.Equal(t, a.Bytes(), b.Bytes())
	assert.True(t, strings.HasPrefix(a.String(), "\x89PNG"))
}
