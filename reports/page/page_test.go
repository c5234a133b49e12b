package page

import (
	"bytes"
	"encoding/xml"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/brinemark/brinemark/reports/typeset"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const drawing = `<?xml version="1.0"?>` + "\n" + `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 4"><title>url( onload=x javascript: &lt;script&gt;</title><path d="M0 0L4 4" style="fill:#fff"/></svg>`

// hostile are texts that people, or programs, may write where a name belongs.
var hostile = map[string]string{
	"script":     `<script>document.title="taken"</script>`,
	"closing":    `</title></style></script><img src=x onerror=alert(1)>`,
	"quotes":     `" onmouseover="x" '` + "`",
	"link":       `javascript:alert(1)`,
	"markdown":   "a|b`c`**d** [e](http://example.org) ![f](g) # h",
	"hebrew":     "מד תוצרת בית",
	"arabic":     "مقياس ١٢",
	"override":   "abc\u202edcba",
	"isolates":   "\u2069\u2068a\u2069\u2069",
	"controls":   "a\x00b\x1b[2Jc\r\nd",
	"not UTF-8":  "a\xffb",
	"long":       strings.Repeat("x", 10000),
	"line start": "1. - # > x",
}

// pageOf has a user's text wherever one may stand.
func pageOf(text string) *Page {
	name := Name(text)
	return &Page{
		Title: "Meter " + name, Lead: name, Foot: []string{name, text},
		Blocks: []Block{
			Notice{Bad, "Look at " + name + " again"},
			Heading{2, name, name},
			Text{name}, Text{text},
			Facts{[]Fact{{name, Cell{Text: text, Mark: Good}}}},
			Table{Caption: name, Columns: []Column{{Name: name, Unit: text}, {Name: "n", Number: true}, {Name: "w"}}, Rows: [][]Cell{{{Text: text, Link: FileName("meter-", text, ".html"), Blank: true}, {Text: "1"}, {Text: name, Mark: Open}}}},
			List{Items: []string{name, text}}, List{Numbered: true, Items: []string{text}},
			Picture{SVG: []byte(drawing), Caption: name, About: text},
			Raw{HTML: "<p>raw</p>", Text: text},
		},
	}
}

func written(t *testing.T, p *Page) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, p.HTML(&b))
	return b.String()
}

// Whatever a person wrote, the elements of the page are the ones of a harmless
// name, and what was written is there to be read.
func TestTextsOfPeopleStayTexts(t *testing.T) {
	shape := elements(t, written(t, pageOf("P1")))
	for what, text := range hostile {
		got := written(t, pageOf(text))
		found := elements(t, got)
		assert.Equal(t, len(shape), len(found), what)
		assert.Equal(t, shape, found, what)
		for _, r := range strings.NewReplacer("\n", "", "\t", "").Replace(got) {
			require.False(t, unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r), "%s: %U", what, r)
		}
		assert.Contains(t, spoken(t, got), Words(typeset.Line(strings.NewReplacer("\u2068", "", "\u2069", "").Replace(text))), what)
	}
}

// elements lists the elements of a page with the names of their attributes. The
// page is well-formed XML but for the doctype and the void elements.
func elements(t *testing.T, page string) []string {
	t.Helper()
	var list []string
	walk(t, page, func(token xml.Token) {
		if e, ok := token.(xml.StartElement); ok && e.Name.Local != "bdi" { // which only keeps directions apart
			name := e.Name.Local
			for _, a := range e.Attr {
				name += " " + a.Name.Local
			}
			list = append(list, name)
		}
	})
	return list
}

// spoken is all text of a page.
func spoken(t *testing.T, page string) string {
	t.Helper()
	var b strings.Builder
	walk(t, page, func(token xml.Token) {
		if text, ok := token.(xml.CharData); ok {
			b.Write(text)
		}
	})
	return b.String()
}

func walk(t *testing.T, page string, visit func(xml.Token)) {
	t.Helper()
	_, style, _ := strings.Cut(page, "<style>")
	style, _, _ = strings.Cut(style, "</style>")
	r := xml.NewDecoder(strings.NewReader(strings.ReplaceAll(page, style, "")))
	r.Strict, r.AutoClose, r.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	for {
		token, err := r.Token()
		if err != nil {
			require.ErrorContains(t, err, "EOF")
			return
		}
		visit(token)
	}
}

func TestPageIsWhatItPromises(t *testing.T) {
	got := written(t, pageOf("P1"))
	for _, want := range []string{
		"<!DOCTYPE html>\n<html lang=\"en\">", `<meta charset="utf-8">`, `width=device-width`, "default-src 'none'", "<title>Meter P1</title>",
		"<h1>Meter <bdi>P1</bdi></h1>", `<th scope="col"`, `<th scope="row"`, "<caption>", `aria-label="P1"`, `data-head="P1, P1"`,
	} {
		assert.Contains(t, got, want)
	}
	for _, never := range []string{"<script", "http-equiv=\"refresh\"", "@import", "url(#", "<?xml", "src="} {
		assert.NotContains(t, strings.ReplaceAll(got, "img-src", ""), never)
	}
	assert.Equal(t, 1, strings.Count(got, "http://"), "the name space of SVG, and nothing else that looks like an address")
}

// A page somebody could not use is no page, and nothing of it is written.
func TestPageSomebodyCouldNotUse(t *testing.T) {
	table := Table{Caption: "c", Columns: []Column{{Name: "a"}}, Rows: [][]Cell{Cells("1")}}
	for want, p := range map[string]*Page{
		"without a title":     {},
		"level 3 after one":   {Title: "t", Blocks: []Block{Heading{Level: 3, Text: "h"}}},
		"level 4 after one":   {Title: "t", Blocks: []Block{Heading{Level: 2, Text: "h"}, Heading{Level: 4, Text: "h"}}},
		"level 1":             {Title: "t", Blocks: []Block{Heading{Level: 1, Text: "h"}}},
		"without words":       {Title: "t", Blocks: []Block{Heading{Level: 2}}},
		"needs a caption":     {Title: "t", Blocks: []Block{Table{Columns: table.Columns}}},
		"2 cells for 1 col":   {Title: "t", Blocks: []Block{Table{Caption: "c", Columns: table.Columns, Rows: [][]Cell{Cells("1", "2")}}}},
		"cannot see it":       {Title: "t", Blocks: []Block{Picture{SVG: []byte(drawing)}}},
		"want an SVG":         {Title: "t", Blocks: []Block{Picture{SVG: []byte("<html/>"), About: "a"}}},
		"found no element":    {Title: "t", Blocks: []Block{Picture{SVG: []byte("words"), About: "a"}}},
		"found <script>":      {Title: "t", Blocks: []Block{Picture{SVG: []byte("<svg><script>x</script></svg>"), About: "a"}}},
		"found onload":        {Title: "t", Blocks: []Block{Picture{SVG: []byte(`<svg onload="x"></svg>`), About: "a"}}},
		"found href":          {Title: "t", Blocks: []Block{Picture{SVG: []byte(`<svg><g xlink:href="http://example.org"></g></svg>`), About: "a"}}},
		"found style=\"fill:": {Title: "t", Blocks: []Block{Picture{SVG: []byte(`<svg><g style="fill:url(http://example.org)"></g></svg>`), About: "a"}}},
	} {
		for _, write := range []func(*bytes.Buffer) error{func(b *bytes.Buffer) error { return p.HTML(b) }, func(b *bytes.Buffer) error { return p.Markdown(b) }} {
			var b bytes.Buffer
			assert.ErrorContains(t, write(&b), want)
			assert.Empty(t, b.String(), want)
		}
	}
}

// In Markdown nothing a person wrote begins a tag, a cell, a link or a block.
func TestMarkdownOfHostileTexts(t *testing.T) {
	shape := strings.Count(markdownOf(t, "P1"), "|")
	for what, text := range hostile {
		got := markdownOf(t, text)
		assert.NotContains(t, got, "<", what)
		assert.NotRegexp(t, "(^|[^\\\\])`", got, what)
		assert.Equal(t, shape, strings.Count(strings.ReplaceAll(got, `\|`, ""), "|"), what)
		assert.NotRegexp(t, `[^\\]\]\(http`, got, what)
		assert.NotContains(t, got, "http://", what)
		assert.Equal(t, strings.Count(markdownOf(t, "P1"), "\n"), strings.Count(got, "\n"), what)
	}
	assert.Equal(t, `a\|b\`+"`"+`c\`+"`"+` &lt;b&gt; &amp;amp; \_x\_`, markdown("a|b`c` <b> &amp; _x_"))
	for text, want := range map[string]string{"1. x": `1\. x`, "- x": `\- x`, "# x": `\# x`, "-2.5": "-2.5", "---": `\---`, "2.5": "2.5", "2026-03-01": "2026-03-01"} {
		assert.Equal(t, want, markdown(text))
	}
}

func markdownOf(t *testing.T, text string) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, pageOf(text).Markdown(&b))
	return b.String()
}

func TestFileNames(t *testing.T) {
	for name, want := range map[string]string{"P1": "meter-P1.html", "tent-pen_2": "meter-tent-pen_2.html"} {
		assert.Equal(t, want, FileName("meter-", name, ".html"))
	}
	assert.Equal(t, "P1-2", FileName("", "P1 2", "")[:4])
	seen := map[string]string{}
	for _, name := range []string{"..", "/etc/passwd", `..\x`, "a/b", "a b", "a-b", "a--b", "a b ", "-a", "שלום", "مقياس", "CON", "*", "?", "", "a\x00", strings.Repeat("x", 64), strings.Repeat("x", 63), "<script>", "%2e", "P1.", "P1"} {
		got := FileName("meter-", name, ".html")
		assert.Regexp(t, `^meter-[A-Za-z0-9_-]+\.html$`, got)
		assert.LessOrEqual(t, len(got), 70)
		require.NotContains(t, seen, strings.ToLower(got), "%q", name)
		seen[strings.ToLower(got)] = name
	}
}

// Units of ours are set as people write them in HTML, wherever they stand, and
// nowhere within what a person named; Markdown stays in ASCII.
func TestUnitsOnPages(t *testing.T) {
	p := &Page{Title: "At 25 C", Lead: "5 uS/cm", Foot: []string{"6 uS/cm"}, Blocks: []Block{
		Notice{Text: "7 uS/cm at 20 C"}, Heading{2, "8 uS/cm", "9 C"}, Text{Name("3 C, 1 uS/cm") + " has 10 uS/cm"}, Facts{[]Fact{{"a 11 C", Cell{Text: "12 uS/cm"}}}},
		Table{Caption: "13 C", Columns: []Column{{Name: "at", Unit: "C"}, {Name: "b", Unit: "uS/cm"}, {Name: "14 C"}}, Rows: [][]Cell{Cells("15 uS/cm", "2 %/C", "x")}},
		List{Items: []string{"16 uS/cm"}}, Beside{Blocks: []Block{Text{"17 uS/cm"}}, Picture: Picture{SVG: []byte(drawing), Caption: "18 C", About: "19 uS/cm"}},
	}}
	got := written(t, p)
	assert.Equal(t, 1, strings.Count(got, "uS/cm"))
	assert.Contains(t, got, "<bdi>3 C, 1 uS/cm</bdi> has 10 µS/cm")
	for _, want := range []string{"At 25 °C", "9 °C", "a 11 °C", "13 °C", "<small>°C</small>", "<small>µS/cm</small>", "14 °C", "2 %/°C", "18 °C",
		`aria-label="19 µS/cm"`, `data-head="at, °C"`, `data-head="b, µS/cm"`, "20 °C", "17 µS/cm"} {
		assert.Contains(t, got, want)
	}
	var b bytes.Buffer
	require.NoError(t, p.Markdown(&b))
	assert.NotContains(t, b.String(), "µ")
	assert.NotContains(t, b.String(), "°")
	assert.Less(t, strings.Index(b.String(), "17 uS/cm"), strings.Index(b.String(), "19 uS/cm"), "the picture follows what it belongs to")
}

// What stands beside a picture is held to the same rules.
func TestBesideIsChecked(t *testing.T) {
	good := Picture{SVG: []byte(drawing), About: "a"}
	for want, beside := range map[string]Beside{
		"cannot see it":   {Picture: Picture{SVG: []byte(drawing)}},
		"needs a caption": {Blocks: []Block{Table{}}, Picture: good},
		"want an SVG":     {Blocks: []Block{Beside{Picture: Picture{SVG: []byte("<p/>"), About: "a"}}}, Picture: good},
	} {
		var b bytes.Buffer
		assert.ErrorContains(t, (&Page{Title: "t", Blocks: []Block{beside}}).HTML(&b), want)
		assert.Empty(t, b.String())
	}
}

// A mark is told by its word, its sign and its frame, not by its colours alone; a
// meter nobody knows anything of is not marked as one that is undecided.
func TestMarksDifferInMoreThanColour(t *testing.T) {
	signs, frames := map[string]Mark{}, map[string]Mark{}
	rule := func(selector string) string {
		out := ""
		for _, m := range regexp.MustCompile(`(?m)^`+regexp.QuoteMeta(selector)+`(?:, [^{]*)? \{ ([^}]*) \}`).FindAllStringSubmatch(commonStyle, -1) {
			out += m[1]
		}
		return out
	}
	for _, m := range Marks() {
		sign, frame := rule(".mark."+string(m)+"::before"), rule(".mark."+string(m))
		require.Contains(t, sign, `/ ""`, "%s: it has a sign, which is not read aloud", m)
		assert.Empty(t, signs[sign], "%s and %s", m, signs[sign])
		assert.Empty(t, frames[frame], "%s and %s", m, frames[frame])
		signs[sign], frames[frame] = m, m
		require.NotEmpty(t, rule("."+string(m)), "%s: it has colours", m)
	}
	assert.NotEqual(t, Verdict("undecided"), Verdict("not-checked"))
	assert.NotEqual(t, NoMark, Verdict("not-checked"))
}
