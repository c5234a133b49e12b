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
		"": "", "uS/cm": "µS/cm", "mS/cm": "mS/cm", "ppm x 0.5": "ppm x 0.5", "C": "°C", "%": "%", "%/C": "%/°C", "mg/L": "mg/L",
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
		"at 1 C \u2068open at 1 C": "at 1 °C \u2068open at 1 C", "": "",
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
