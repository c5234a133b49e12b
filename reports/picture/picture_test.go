package picture_test

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/brinemark/brinemark/reports/picture"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var first = time.Date(2026, 1, 10, 0, 0, 0, 0, time.UTC)

func day(n float64) float64 { return picture.At(first) + n*24*60*60 }

// sample is a chart with everything a chart can have.
func sample() *picture.Chart {
	c := &picture.Chart{
		Title: "Drift of tent pen", About: "The error falls.",
		X: picture.Axis{Zone: time.UTC}, Y: picture.Axis{Name: "error, % of the reference", Scale: 100},
	}
	line := picture.Curve{Name: "fitted error", Role: picture.Fitted}
	ahead := picture.Curve{Name: "forecast", Role: picture.Forecast}
	band := picture.Band{Name: "band"}
	points := picture.Points{Name: "check", BarName: "its interval"}
	var stripes []picture.Stripe
	var fitted []picture.XY
	for n := 0.0; n <= 120; n += 10 {
		y := -0.0003 * n
		stripes = append(stripes, picture.Stripe{X: day(n), Low: y - 0.006, High: y + 0.006})
		fitted = append(fitted, picture.XY{X: day(n), Y: y})
		points.List = append(points.List, picture.Point{X: day(n), Y: y + 0.002, Bar: 0.004})
	}
	band.Pieces, line.Pieces = [][]picture.Stripe{stripes}, [][]picture.XY{fitted}
	ahead.Pieces = [][]picture.XY{{{X: day(120), Y: -0.036}, {X: day(150), Y: -0.045}}}
	c.Layers = []picture.Layer{
		band, picture.Across{Name: "tolerance", Role: picture.Limit, At: []float64{0.05, -0.05}},
		picture.Upright{Role: picture.Deadline, List: []picture.Mark{{X: day(145), Label: "due 2026-06-04"}}},
		picture.Upright{Role: picture.Moment, List: []picture.Mark{{X: day(121), Label: "now"}, {X: day(40), Label: "cleaned 2026-02-19"}}},
		ahead, line, points,
		picture.Points{Name: "check that does not fit", Shape: picture.Ring, Outlying: true, List: []picture.Point{{X: day(55), Y: 0.4, Bar: 0.004}}},
	}
	return c
}

func svg(t *testing.T, c *picture.Chart) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, c.SVG(&b))
	return b.String()
}

// box is where a text stands on paper, in points from the top left.
type box struct {
	text                     string
	left, right, top, bottom float64
}

// texts reads the texts of an SVG with their places. The y axis' name, which is
// turned, is left out.
func texts(t *testing.T, document string) []box {
	t.Helper()
	element := regexp.MustCompile(`<text x="([^"]*)" y="([^"]*)" transform="([^"]*)" textLength="([^"]*)"[^>]*font-size:([0-9.]+)px[^>]*>([^<]*)</text>`)
	require.Equal(t, strings.Count(document, "<text "), len(element.FindAllString(document, -1)), "every text has its width")
	var list []box
	turned := false
	high := highOf(t, document)
	number := func(text string) float64 {
		x, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		return x
	}
	for _, line := range strings.SplitAfter(document, "\n") {
		if strings.Contains(line, "rotate") {
			turned = true
		} else if strings.Contains(line, "</g>") {
			turned = false
		}
		part := element.FindStringSubmatch(line)
		if part == nil || turned {
			continue
		}
		// The document's group turns y upside down, and the text turns it back.
		left, y, wide, size := number(part[1]), high+number(part[2]), number(part[4]), number(part[5])
		list = append(list, box{part[6], left, left + wide, y - 0.75*size, y + 0.2*size})
	}
	return list
}

// highOf is the height of an SVG in points.
func highOf(t *testing.T, document string) float64 {
	t.Helper()
	part := regexp.MustCompile(`viewBox="0 0 [0-9.]+ ([0-9.]+)"`).FindStringSubmatch(document)
	require.NotNil(t, part)
	high, err := strconv.ParseFloat(part[1], 64)
	require.NoError(t, err)
	return high
}

func assertApart(t *testing.T, document string) {
	t.Helper()
	list, high := texts(t, document), highOf(t, document)
	for i, a := range list {
		assert.True(t, a.left >= 0 && a.right <= 480 && a.top >= 0 && a.bottom <= high, "%v is on the paper", a)
		for _, b := range list[:i] {
			assert.False(t, a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom, "%v and %v overlap", a, b)
		}
	}
}

func TestSVGIsWellFormedAndNamed(t *testing.T) {
	c := sample()
	c.Title = `<script>alert("pen") & 'co'</script>` + "\x00\x1b\xff"
	document := svg(t, c)
	decoder := xml.NewDecoder(strings.NewReader(document))
	var title, path string
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		switch token := token.(type) {
		case xml.StartElement:
			path = token.Name.Local
			assert.NotEqual(t, "script", path)
			for _, a := range token.Attr {
				if a.Name.Space != "xmlns" && a.Name.Local != "xmlns" {
					assert.NotContains(t, a.Value, "http", "nothing from elsewhere: %v", a.Name)
				}
			}
		case xml.CharData:
			if path == "title" {
				title += string(token)
			}
		}
	}
	assert.Contains(t, title, `<script>alert("pen") & 'co'</script>`)
	assert.Contains(t, document, `role="img"`)
	assert.Contains(t, document, "<desc>The error falls.</desc>")
	assert.Equal(t, document, svg(t, c), "the same chart, the same bytes")
}

// What the chart is of can be read from it: the texts, and a line's dashes.
func TestSVGShowsEverything(t *testing.T) {
	document := svg(t, sample())
	var shown []string
	for _, b := range texts(t, document) {
		shown = append(shown, b.text)
	}
	for _, want := range []string{"Drift of tent pen", "due 2026-06-04", "now", "cleaned 2026-02-19", "tolerance", "fitted error", "forecast", "band",
		"check", "its interval", "check that does not fit", "2026-03", "-4", "4"} {
		assert.Contains(t, shown, want)
	}
	assert.Contains(t, document, "error, % of the reference")
	for role, dashes := range map[string]string{"forecast": "5,3.5", "tolerance": "11,4", "moments": "1.5,2.5", "due": "9,3,1.5,3"} {
		assert.Contains(t, document, "stroke-dasharray:"+dashes, role)
	}
}

func TestTextsStandApart(t *testing.T) {
	assertApart(t, svg(t, sample()))
	crowded := sample()
	var marks []picture.Mark
	for n := range 40 {
		marks = append(marks, picture.Mark{X: day(float64(3 * n)), Label: fmt.Sprintf("adjusted %d", n)})
	}
	crowded.Layers = append(crowded.Layers, picture.Upright{Role: picture.Moment, List: marks})
	crowded.Title = strings.Repeat("a long name ", 40)
	for n := range 12 {
		crowded.Layers = append(crowded.Layers, picture.Across{Name: fmt.Sprintf("limit number %d of some", n), Role: picture.Limit, At: []float64{0.001 * float64(n)}})
	}
	document := svg(t, crowded)
	assertApart(t, document)
	labels := 0
	for _, b := range texts(t, document) {
		if strings.HasPrefix(b.text, "adjusted ") {
			labels++
		}
	}
	assert.True(t, labels > 5 && labels < 40, "as many labels as find room: %d", labels)
	assert.Contains(t, document, "due 2026-06-04", "those asked for first find room first")
	for _, span := range []float64{0, 0.01, 1, 5, 12, 40, 100, 400, 1500, 9000, 40000} {
		c := &picture.Chart{X: picture.Axis{Zone: time.UTC}, Layers: []picture.Layer{
			picture.Points{Name: "check", List: []picture.Point{{X: day(0), Y: 1e-9}, {X: day(span), Y: 3e-9}}}}}
		assertApart(t, svg(t, c))
	}
}

// An outlier neither moves the axes nor vanishes: an arrow at the edge points
// to it.
func TestOutliersArePointedAt(t *testing.T) {
	with := sample()
	without := sample()
	without.Layers = without.Layers[:len(without.Layers)-1]
	ticks := func(c *picture.Chart) (list []string) {
		for _, b := range texts(t, svg(t, c)) {
			if _, err := strconv.ParseFloat(b.text, 64); err == nil {
				list = append(list, b.text)
			}
		}
		return list
	}
	assert.Equal(t, ticks(without), ticks(with))
	within := sample()
	outlier := within.Layers[len(within.Layers)-1].(picture.Points)
	outlier.List = []picture.Point{{X: day(55), Y: 0.04}}
	within.Layers[len(within.Layers)-1] = outlier
	strokes := func(c *picture.Chart) int { return strings.Count(svg(t, c), "<path d=\"M") }
	assert.Equal(t, 3, strokes(with)-strokes(within), "the three strokes of an arrow")
}

// More points than can be seen one by one lie as dots under the line, without
// bars; fewer lie on it.
func TestACrowdDoesNotHideTheLine(t *testing.T) {
	chart := func(n int) (lines, legend []string, document string) {
		points := picture.Points{Name: "day", BarName: "its interval"}
		for i := range n {
			points.List = append(points.List, picture.Point{X: day(float64(i)), Y: float64(i), Bar: 2})
		}
		c := &picture.Chart{Layers: []picture.Layer{
			picture.Curve{Name: "line", Pieces: [][]picture.XY{{{X: day(0), Y: 0}, {X: day(float64(n - 1)), Y: float64(n - 1)}}}}, points}}
		lines, legend = c.Screen(70)
		return lines, legend, svg(t, c)
	}
	few, fewLegend, fewSVG := chart(70)
	many, manyLegend, manySVG := chart(90)
	assert.Equal(t, 0, strings.Count(strings.Join(few, ""), "*"))
	assert.Greater(t, strings.Count(strings.Join(many, ""), "*"), 50)
	assert.Contains(t, fewLegend, "| its interval")
	assert.NotContains(t, manyLegend, "| its interval")
	line := "stroke:#124F8C"
	assert.Less(t, strings.Index(fewSVG, line), strings.Index(fewSVG, "fill:#1A1A1A\" />"))
	assert.Greater(t, strings.Index(manySVG, line), strings.Index(manySVG, "fill:#1A1A1A\" />"))
	thin := "stroke:#1A1A1A;stroke-width:0.8"
	assert.Greater(t, strings.Count(fewSVG, thin), 3*70, "a bar has three strokes")
	assert.Less(t, strings.Count(manySVG, thin), 40, "the axes alone")
}

func TestPNGShowsTheChart(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, sample().PNG(&b))
	again := &bytes.Buffer{}
	require.NoError(t, sample().PNG(again))
	assert.Equal(t, b.Bytes(), again.Bytes(), "the same chart, the same bytes")
	m, err := png.Decode(&b)
	require.NoError(t, err)
	assert.Equal(t, image.Pt(1280, 768), m.Bounds().Size())
	count := map[string]int{}
	for y := range 768 {
		for x := range 1280 {
			r, g, b, _ := m.At(x, y).RGBA()
			count[fmt.Sprintf("%02x%02x%02x", r>>8, g>>8, b>>8)]++
		}
	}
	assert.Greater(t, count["ffffff"], 700000, "mostly paper")
	for name, colour := range map[string]string{"band": "d3dee9", "ink": "1a1a1a", "line": "124f8c", "tolerance": "a24a12"} {
		assert.Greater(t, count[colour], 300, name)
	}
}

func TestScreen(t *testing.T) {
	lines, legend := sample().Screen(80)
	text := strings.Join(lines, "\n")
	for _, l := range lines {
		assert.LessOrEqual(t, utf8.RuneCountInString(l), 80, l)
	}
	for _, r := range text {
		assert.Less(t, r, rune(0x7f), "ASCII alone")
	}
	assert.Equal(t, "o check", legend[1], "the topmost first")
	assert.Contains(t, legend, "! due 2026-06-04")
	assert.Contains(t, legend, ": now, cleaned 2026-02-19")
	// The line falls to the right, and the tolerance lies on two rows.
	column := func(sign byte) (at []int) {
		for y, l := range lines {
			if strings.Count(l, string(sign)) > 30 {
				at = append(at, y)
			}
		}
		return at
	}
	assert.Len(t, column('-'), 3, "two limits and the axis")
	firstO, lastO := 0, 0
	for y, l := range lines {
		if strings.Contains(l, "o") && y > 0 {
			if firstO == 0 {
				firstO = y
			}
			lastO = y
		}
	}
	assert.Less(t, strings.Index(lines[firstO], "o"), strings.LastIndex(lines[lastO], "o"), "from the upper left to the lower right")
	assert.Contains(t, text, "x", "what lies beyond stays at the edge")
	narrow, _ := sample().Screen(5)
	assert.NotEmpty(t, narrow, "a chart has a least width")
}

// Nothing is drawn wrong where there is hardly anything to draw.
func TestPoorCharts(t *testing.T) {
	for name, layers := range map[string][]picture.Layer{
		"nothing":      nil,
		"no points":    {picture.Points{Name: "check"}},
		"one point":    {picture.Points{Name: "check", List: []picture.Point{{X: day(0), Y: 0}}}},
		"one place":    {picture.Curve{Name: "line", Pieces: [][]picture.XY{{{X: day(0), Y: 1}}, nil}}},
		"outlier only": {picture.Points{Name: "check", Outlying: true, List: []picture.Point{{X: day(0), Y: 5}}}},
		"band only":    {picture.Band{Name: "band", Pieces: [][]picture.Stripe{{{X: day(0), Low: -1, High: 1}, {X: day(9), Low: -2, High: 2}}, nil}}},
		"huge band": {picture.Band{Name: "band", Pieces: [][]picture.Stripe{{{X: day(0), Low: -1e6, High: 1e6}, {X: day(9), Low: -2, High: 2}}}},
			picture.Points{Name: "check", List: []picture.Point{{X: day(0), Y: 0}, {X: day(1), Y: 1}}}},
	} {
		for _, zone := range []*time.Location{nil, time.UTC} {
			c := &picture.Chart{X: picture.Axis{Zone: zone}, Layers: layers}
			assert.NotContains(t, svg(t, c), "NaN", name)
			assert.NotContains(t, svg(t, c), "Inf", name)
			lines, _ := c.Screen(60)
			assert.Greater(t, len(lines), 10, name)
		}
	}
}

func TestFormats(t *testing.T) {
	for _, ending := range picture.Formats() {
		for _, format := range []string{ending, strings.ToUpper(ending)} {
			write, ok := sample().Writer(format)
			require.True(t, ok, format)
			var b bytes.Buffer
			require.NoError(t, write(&b))
			assert.Equal(t, ending == ".png", strings.HasPrefix(b.String(), "\x89PNG"), format)
		}
	}
	for _, format := range []string{"", "svg", ".gif", ".jpg", ".pdf"} {
		_, ok := sample().Writer(format)
		assert.False(t, ok, format)
	}
}

// At and the axis of dates agree about days, before 1970 as well.
func TestAt(t *testing.T) {
	assert.Equal(t, 0.0, picture.At(time.Unix(0, 0)))
	assert.Equal(t, -86400.0, picture.At(time.Unix(-86400, 0)))
	assert.InDelta(t, 1.5, picture.At(time.Unix(1, 5e8)), 1e-9)
	assert.False(t, math.IsNaN(picture.At(time.Time{})))
}
