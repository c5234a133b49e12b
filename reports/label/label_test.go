package label

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"github.com/brinemark/brinemark/reports/picture"
	qr "github.com/piglig/go-qr"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the golden files; read the change before you commit it")

// usual is the usual layout.
func usual() Layout {
	return Layout{Paper: Papers()[0], WidthMM: UsualWidthMM, HeightMM: UsualHeightMM}
}

// example is a label with everything on it.
func example(id string) Label {
	return Label{ID: id, Name: id, Lines: []Line{
		{Text: "NaCl, 600.1\u00a0mg/L"}, {Text: "1223\u00a0±\u00a010\u00a0µS/cm (k\u00a0=\u00a01) at\u00a025\u00a0°C"},
		{Text: "shows 611.5\u00a0ppm (×\u00a00.5), 782.7\u00a0ppm (×\u00a00.64), 856.1\u00a0ppm (×\u00a00.7)"},
		{Text: "a note that is cut where it is too long for its line, since it is only a note", May: Cut},
		{Text: "NOT FOR DRINKING", Bold: true}}}
}

// drawn is a sheet as text.
func drawn(t *testing.T, labels []Label, l Layout) (string, []string) {
	t.Helper()
	sheets, warnings, err := Lay(labels, l)
	require.NoError(t, err)
	require.Len(t, sheets, 1)
	var b strings.Builder
	require.NoError(t, sheets[0].WriteSVG(&b))
	return b.String(), warnings
}

func TestSheetIsGolden(t *testing.T) {
	svg, warnings := drawn(t, []Label{example("A"), example("tent 2")}, usual())
	assert.Empty(t, warnings)
	path := filepath.Join("..", "..", "testdata", "golden", "label", "sheet.svg")
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(svg), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "go test -update writes it")
	assert.Equal(t, string(want), svg)
}

// hostile are names that want to be something else, or everywhere.
var hostile = map[string]string{
	"script":        `<script>alert(1)</script>`,
	"quotes":        `"'` + "`" + `&amp;"><svg onload="x">`,
	"right to left": "שלום עולם 12 مرحبا",
	"turning":       "abc\u202e\u2066cba\u200f",
	"control":       "a\x00b\x1b[31m\r\nc\ufffe\uffff",
	"not UTF-8":     "a\xff\xfeb",
	"one long word": strings.Repeat("W", 10000),
	"many words":    strings.Repeat("long name ", 1000),
	"narrow":        strings.Repeat("i", 10000),
	"marks":         strings.Repeat("e\u0301", 5000),
	"wide":          strings.Repeat("\u6c34", 10000),
	"emoji":         strings.Repeat("\U0001f9c2", 300),
	"empty":         "",
	"blanks":        "   ",
}

// The drawing has the elements of a drawing and no others, each name is text, and
// no line is wider than its label whatever is in it.
func TestHostileNamesAreHarmless(t *testing.T) {
	for what, text := range hostile {
		t.Run(what, func(t *testing.T) {
			l := example(text)
			l.Lines = append(l.Lines, Line{Text: text, May: Cut})
			svg, warnings := drawn(t, []Label{l}, usual())
			assert.Less(t, len(svg), 40_000, "a long name is cut")
			lines, hasCode := read(t, svg)
			assert.Equal(t, hasCode || text == "", len(warnings) == 0, "a code, or a warning: %v", warnings)
			if len([]rune(text)) > 1000 {
				require.Len(t, warnings, 1, "10,000 letters fit no code of this size")
				assert.Contains(t, warnings[0], "has no code")
				assert.Less(t, len(warnings[0]), 600)
				assert.Contains(t, svg, ellipsis)
			}
			var whole strings.Builder
			for _, line := range lines {
				whole.WriteString(line.text + "\n")
				assert.LessOrEqual(t, line.x+line.wide, UsualWidthMM-padMM+0.01, "%q runs on", line.text)
				assert.LessOrEqual(t, line.y, UsualHeightMM-padMM+0.01)
				assert.Greater(t, line.y, padMM)
			}
			for _, want := range []string{"611.5\u00a0ppm", "(×\u00a00.7)", "1223\u00a0±\u00a010\u00a0µS/cm", "600.1\u00a0mg/L", "NOT FOR DRINKING"} {
				assert.Contains(t, whole.String(), want, "what must not be cut is whole")
			}
		})
	}
}

// shownLine is a line of text of a drawing.
type shownLine struct {
	text       string
	x, y, wide float64
}

// read parses a sheet with one label as XML, and refuses every element and
// attribute that is not of the drawing.
func read(t *testing.T, svg string) (lines []shownLine, hasCode bool) {
	t.Helper()
	elements := map[string]bool{"svg": true, "title": true, "rect": true, "text": true, "g": true, "path": true}
	attributes := regexp.MustCompile(`^(xmlns|x|y|width|height|viewBox|overflow|font-[a-z]+|textLength|lengthAdjust|fill|stroke[a-z-]*|role|aria-label|transform|shape-rendering|d)$`)
	decoder := xml.NewDecoder(strings.NewReader(svg))
	var line *shownLine
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return lines, hasCode
		}
		require.NoError(t, err)
		switch token := token.(type) {
		case xml.StartElement:
			require.True(t, elements[token.Name.Local], "element %s", token.Name.Local)
			hasCode = hasCode || token.Name.Local == "path"
			at := map[string]string{}
			for _, a := range token.Attr {
				require.Regexp(t, attributes, a.Name.Local)
				at[a.Name.Local] = a.Value
			}
			if token.Name.Local == "text" {
				lines = append(lines, shownLine{x: figure(t, at["x"]), y: figure(t, at["y"]), wide: figure(t, at["textLength"])})
				line = &lines[len(lines)-1]
			}
		case xml.CharData:
			if line != nil {
				line.text += string(token)
			}
			for _, r := range string(token) {
				require.False(t, unicode.Is(unicode.Bidi_Control, r) || unicode.IsControl(r) && r != '\n', "%q", r)
			}
		case xml.EndElement:
			line = nil
		}
	}
}

func figure(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return x
}

// The code is read back from the drawing itself: its rectangles are painted, and
// the picture is given to a reader of codes.
func TestCodeCarriesTheWholeID(t *testing.T) {
	for _, id := range []string{"A", "tent pen 2", "<script>&", "שלום עולם", strings.Repeat("long ", 12) + "name", strings.Repeat("ä", 32)} {
		svg, warnings := drawn(t, []Label{example(id)}, usual())
		require.Empty(t, warnings, id)
		file := filepath.Join(t.TempDir(), "code.png")
		painted := paint(t, svg)
		got, err := qr.Decode(painted)
		require.NoError(t, err)
		assert.Equal(t, id, got)

		out, err := os.Create(file)
		require.NoError(t, err)
		require.NoError(t, png.Encode(out, painted))
		require.NoError(t, out.Close())
		read, ok := scan(t, file)
		if ok {
			assert.Equal(t, id, read)
		}
	}
}

// scan reads a code by a program that is not ours (zbarimg of zbar-tools).
func scan(t *testing.T, file string) (string, bool) {
	t.Helper()
	path, err := exec.LookPath("zbarimg")
	if err != nil {
		if os.Getenv("BRINEMARK_REQUIRE_ALL") != "" {
			require.NoError(t, err, "zbarimg (Debian's zbar-tools) is wanted here")
		}
		t.Log("zbarimg is not installed: the code was read by the library that made it, and by nothing else")
		return "", false
	}
	out, err := exec.Command(path, "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", file).Output()
	require.NoError(t, err)
	return strings.TrimSuffix(string(out), "\n"), true
}

// codePath finds a code's square and its rectangles.
var (
	codeGroup = regexp.MustCompile(`<g role="img"[^>]* transform="translate\(([0-9.]+) ([0-9.]+)\) scale\(([0-9.]+)\)"><path [^>]*d="([^"]*)"/></g>`)
	oneRun    = regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-(\d+)z`)
)

// paint draws the code of a sheet with one label at its true place, at about
// 600 dots to the inch, on the white label.
func paint(t *testing.T, svg string) image.Image {
	t.Helper()
	const dots = 24.0 // to the mm
	group := codeGroup.FindStringSubmatch(svg)
	require.NotNil(t, group, "a code in %.400q", svg)
	x, y, scale := figure(t, group[1]), figure(t, group[2]), figure(t, group[3])
	assert.GreaterOrEqual(t, scale, SmallestModuleMM)
	canvas := image.NewGray(image.Rect(0, 0, UsualWidthMM*dots, UsualHeightMM*dots))
	for i := range canvas.Pix {
		canvas.Pix[i] = 255
	}
	runs := oneRun.FindAllStringSubmatch(group[4], -1)
	rest := oneRun.ReplaceAllString(group[4], "")
	require.Empty(t, rest, "nothing but rectangles")
	right, bottom := 0.0, 0.0
	for _, run := range runs {
		require.Equal(t, run[3], run[4])
		column, row, long := figure(t, run[1]), figure(t, run[2]), figure(t, run[3])
		right, bottom = math.Max(right, x+scale*(column+long)), math.Max(bottom, y+scale*(row+1))
		for py := int(dots * (y + scale*row)); py < int(dots*(y+scale*(row+1))); py++ {
			for px := int(dots * (x + scale*column)); px < int(dots*(x+scale*(column+long))); px++ {
				canvas.SetGray(px, py, color.Gray{})
			}
		}
	}
	// The quiet zone: four modules to the edge of the label, and to the text.
	border := quietModules*scale - 0.02
	assert.GreaterOrEqual(t, UsualWidthMM-right, border)
	assert.GreaterOrEqual(t, UsualHeightMM-bottom, border)
	assert.GreaterOrEqual(t, y, border)
	lines, _ := read(t, svg)
	for _, line := range lines {
		assert.GreaterOrEqual(t, x-(line.x+line.wide), border, "%q stands in the quiet zone", line.text)
	}
	return canvas
}

func TestLabelsStandInTheirPlaces(t *testing.T) {
	var many []Label
	for i := range 30 {
		many = append(many, example(fmt.Sprintf("B%d", i)))
	}
	l := usual()
	l.Skip = 23
	sheets, _, err := Lay(many, l)
	require.NoError(t, err)
	require.Len(t, sheets, 3, "24 to a sheet, of which 23 are used up")
	assert.Equal(t, []int{1, 24, 5}, []int{sheets[0].Labels(), sheets[1].Labels(), sheets[2].Labels()})
	assert.InDelta(t, 140, sheets[0].spots[0].xMM, 1e-9)
	assert.InDelta(t, 0.5+7*37, sheets[0].spots[0].yMM, 1e-9)
	seen := map[[2]float64]bool{}
	for _, s := range sheets[1].spots {
		assert.False(t, seen[[2]float64{s.xMM, s.yMM}], "two labels in one place")
		seen[[2]float64{s.xMM, s.yMM}] = true
		assert.True(t, s.xMM >= 0 && s.yMM >= 0 && s.xMM+70 <= 210+1e-9 && s.yMM+37 <= 297+1e-9, "%v on the paper", s)
	}

	letter, ok := PaperByName("LETTER")
	require.True(t, ok)
	sheets, _, err = Lay(many[:21], Layout{Paper: letter, WidthMM: 70, HeightMM: 37})
	require.NoError(t, err)
	require.Len(t, sheets, 1, "3 across and 7 down on Letter")
}

func TestUprightLabels(t *testing.T) {
	svg, warnings := drawn(t, []Label{example("A")}, Layout{Paper: Papers()[0], WidthMM: 50, HeightMM: 80})
	assert.Empty(t, warnings)
	lines, hasCode := read(t, svg)
	assert.True(t, hasCode)
	group := codeGroup.FindStringSubmatch(svg)
	for _, line := range lines {
		assert.Less(t, line.y, figure(t, group[2])-quietModules*figure(t, group[3])+0.5, "%q is above the code", line.text)
	}
}

func TestLayoutsThatCannotBe(t *testing.T) {
	for what, l := range map[string]Layout{
		"too small":        {Paper: Papers()[0], WidthMM: 25, HeightMM: 12},
		"larger than A4":   {Paper: Papers()[0], WidthMM: 211, HeightMM: 50},
		"nothing":          {Paper: Papers()[0]},
		"negative":         {Paper: Papers()[0], WidthMM: -70, HeightMM: 37},
		"not a number":     {Paper: Papers()[0], WidthMM: math.NaN(), HeightMM: 37},
		"infinite":         {Paper: Papers()[0], WidthMM: 70, HeightMM: math.Inf(1)},
		"all left out":     {Paper: Papers()[0], WidthMM: 70, HeightMM: 37, Skip: 24},
		"less than no one": {Paper: Papers()[0], WidthMM: 70, HeightMM: 37, Skip: -1},
	} {
		_, _, err := Lay([]Label{example("A")}, l)
		assert.ErrorIs(t, err, ErrLayout, what)
		assert.ErrorContains(t, err, "want", what)
	}
}

// Helvetica's widths, which Liberation Sans has as well: Adobe, "Font Metrics
// for the Core 14 PostScript Fonts" (Helvetica.afm), in thousandths; from memory.
func TestWidthsAreThoseOfTheFont(t *testing.T) {
	for text, thousandths := range map[string]float64{"0": 556, "W": 944, "i": 222, " ": 278, "m": 833, "10 uS": 2*556 + 278 + 556 + 667} {
		assert.InDelta(t, thousandths/1000, picture.TextWidth(text, false), 0.003, text)
	}
	assert.InDelta(t, 0.556, picture.TextWidth("0", true), 0.003, "Helvetica-Bold.afm")
	assert.InDelta(t, 0.278, picture.TextWidth("i", true), 0.003, "Helvetica-Bold.afm")
}

func FuzzLabel(f *testing.F) {
	for _, text := range hostile {
		f.Add(start(text, 60), 70.0, 37.0) // long seeds keep the fuzzer busy with shortening them
	}
	f.Fuzz(func(t *testing.T, text string, width, height float64) {
		l := example(text)
		sheets, _, err := Lay([]Label{l}, Layout{Paper: Papers()[0], WidthMM: width, HeightMM: height})
		if err != nil {
			require.ErrorIs(t, err, ErrLayout)
			return
		}
		var b bytes.Buffer
		require.NoError(t, sheets[0].WriteSVG(&b))
		lines, _ := read(t, b.String())
		for _, line := range lines {
			require.LessOrEqual(t, line.x+line.wide, width+0.01, "%q", line.text)
		}
	})
}
