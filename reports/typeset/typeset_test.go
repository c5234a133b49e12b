package typeset_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/reports/typeset"
	"github.com/stretchr/testify/assert"
)

func Example() {
	fmt.Println(typeset.Text("450 uS/cm at 25 C, 2.0 %/C"))
	fmt.Println("reference, " + typeset.Unit("C"))
	fmt.Println(typeset.Line("a pen\x1b[31m of\ntwo lines"))
	// Output:
	// 450 µS/cm at 25 °C, 2.0 %/°C
	// reference, °C
	// a pen�[31m of two lines
}

func TestUnits(t *testing.T) {
	for unit, want := range map[string]string{
		"": "", "uS/cm": "µS/cm", "mS/cm": "mS/cm", "ppm (x 0.5)": "ppm (× 0.5)", "C": "°C", "%": "%", "%/C": "%/°C", "mg/L": "mg/L",
		"uS/cm, ± u": "µS/cm, ± u", "1/C": "1/°C", "pH": "pH",
	} {
		assert.Equal(t, want, typeset.Unit(unit))
		assert.Equal(t, want, typeset.Unit(want), "what is set stays")
	}
}

func TestTexts(t *testing.T) {
	for text, want := range map[string]string{
		"at 25 C": "at 25 °C", "at 25 C.": "at 25 °C.", "25 C and 5 uS/cm": "25 °C and 5 µS/cm", "2 %/C, 0.02/C": "2 %/°C, 0.02/°C",
		"20 C, 25 C, 30 C": "20 °C, 25 °C, 30 °C", "25\u00a0C": "25\u00a0°C", "(0 C)": "(0 °C)",
		"25 Cl, 3 Cups, 1 Cé, C is not D": "25 Cl, 3 Cups, 1 Cé, C is not D",
		// Names stay.
		"\u2068bottle 3 C\u2069 at 3 C": "\u2068bottle 3 C\u2069 at 3 °C", "\u2068uS/cm pen\u2069: 1 uS/cm": "\u2068uS/cm pen\u2069: 1 µS/cm",
		"max 3, x 2 and x y, x1": "max 3, × 2 and x y, x1", "at 1 C \u2068open at 1 C": "at 1 °C \u2068open at 1 C", "": "",
	} {
		assert.Equal(t, want, typeset.Text(text))
		assert.Equal(t, want, typeset.Text(want), "what is set stays")
	}
}

// What must never be shown: C0 and C1 controls, and every character that turns
// directions (Unicode, Bidi_Control).
const hostile = "\x00\x07\x1b\x7f\u0080\u009b\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufffe\uffff"

func TestLine(t *testing.T) {
	for _, r := range hostile {
		assert.Equal(t, "a\ufffdb", typeset.Line("a"+string(r)+"b"), "%U", r)
		assert.Equal(t, r < '\ufffe', typeset.Commands(r), "%U", r)
	}
	assert.Equal(t, "a b c d e f", typeset.Line("a\nb\rc\td\u2028e\u2029f"))
	assert.Equal(t, "a\ufffdb", typeset.Line("a\xffb"))
	kept := "Tüte für 5 µS/cm – שלום 👩‍🔬"
	assert.Equal(t, kept, typeset.Line(kept))
	assert.Equal(t, 1+strings.Count(kept, " "), len(strings.Fields(typeset.Line(kept))))
}

// Names are cut before words, the longest first, so that each can be told.
func TestFit(t *testing.T) {
	to := func(room int) func(string) bool {
		return func(text string) bool { return typeset.Columns(text) <= room }
	}
	long, short := typeset.Name("a pen with a name of many words"), typeset.Name("P2")
	for _, c := range []struct {
		text string
		room int
		want string
	}{
		{"Comparison of " + long + " and " + short, 80, "Comparison of a pen with a name of many words and P2"},
		{"Comparison of " + long + " and " + short, 40, "Comparison of a pen with a nam... and P2"},
		{"Comparison of " + short + " and " + long, 40, "Comparison of P2 and a pen with a nam..."},
		{"Comparison of " + long + " and " + long, 48, "Comparison of a pen with... and a pen with..."},
		{"Comparison of " + long + " and " + long, 30, "Comparison of a pen... and ..."},
		{"no name in this text at all", 12, "no name i..."},
		{"a \u2066stray\u2069 isolate", 80, "a \ufffdstray isolate"},
		{typeset.Name("日本語の水質計器") + " minus " + short, 25, "日本語の水質計器 minus P2"},
		{typeset.Name("日本語の水質計器") + " minus " + short, 24, "日本語の水質... minus P2"},
	} {
		got := typeset.Fit(c.text, to(c.room))
		assert.Equal(t, c.want, got)
		assert.LessOrEqual(t, typeset.Columns(got), c.room)
	}
	assert.Equal(t, "...", typeset.Fit("abc def", to(1)), "nothing is shorter than the mark of a cut")
}

// UAX #11.
func TestColumns(t *testing.T) {
	for text, want := range map[string]int{"": 0, "pen": 3, "µS/cm": 5, "e\u0301": 1, "水質": 4, "ﾊﾟ": 2, "Ａ": 2, "שלום": 4, "👩": 2, "a\u200db": 2} {
		assert.Equal(t, want, typeset.Columns(text), text)
	}
}

// Whatever a name holds, it stays one name and takes nothing of the words around.
func FuzzName(f *testing.F) {
	f.Add("tent pen", 20)
	f.Add("\u2069 and \u2068"+hostile, 7)
	f.Add("5 uS/cm at 25 C\n\xff", 0)
	f.Fuzz(func(t *testing.T, name string, room int) {
		spans := typeset.Spans("before " + typeset.Name(name) + " after")
		assert.Equal(t, typeset.Span{Text: "before "}, spans[0])
		assert.Equal(t, typeset.Span{Text: " after"}, spans[len(spans)-1])
		if name != "" {
			assert.Equal(t, []typeset.Span{{Text: typeset.Line(name), Name: true}}, spans[1:2])
		}
		fitted := typeset.Fit(typeset.Text("at 1 C "+typeset.Name(name)), func(s string) bool { return len(s) <= room%100 })
		assert.Equal(t, -1, strings.IndexFunc(fitted, typeset.Commands), "%q", fitted)
	})
}
