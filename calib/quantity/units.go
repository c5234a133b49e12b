package quantity

import (
	"strings"
	"unicode"
)

// unit is one row of the table: a stem, what it measures, the power of ten
// from the unprefixed stem to the base unit, and the prefixes in use with it.
type unit struct {
	stem     string
	kind     Kind
	power    int
	prefixes string // letters; "-" stands for none
}

// units is the one table of what can be written. Prefixes that nobody uses
// with a unit are left out, so that a slip is not read as a rare unit.
var units = []unit{
	{"S/cm", Conductivity, 6, "um-"},
	{"S/m", Conductivity, 4, "-dmu"},
	{"g/L", MassConcentration, 3, "m-"},
	{"g/kg", MassRatio, 3, "m-"},
	{"mol/kg", Molality, 0, "-m"},
	{"mol/L", AmountConcentration, 0, "-m"},
	{"ppm", Display, 0, "-"},
	{"L", Volume, 3, "m-"},
	{"g", Mass, 0, "-mk"},
	{"%", Fraction, -2, "-"},
	{"C", Temperature, 0, "-"},
	{"Pa", Pressure, -3, "kh-"},
	{"bar", Pressure, 2, "m"},
	{"m", Length, 0, "-"},
}

// prefixPower is the power of ten of each SI prefix in the table.
var prefixPower = map[rune]int{'-': 0, 'u': -6, 'm': -3, 'd': -1, 'h': 2, 'k': 3}

// symbol is a unit as written, with the power of ten to its base unit.
type symbol struct {
	text  string
	kind  Kind
	power int
}

// symbols are all that can be written, in the order of the table.
var symbols = func() []symbol {
	var list []symbol
	for _, u := range units {
		for _, p := range u.prefixes {
			prefix := string(p)
			if p == '-' {
				prefix = ""
			}
			list = append(list, symbol{prefix + u.stem, u.kind, u.power + prefixPower[p]})
		}
	}
	return list
}()

// lookUp finds a unit by its text, in which case matters: mS is not MS.
func lookUp(text string) (symbol, bool) {
	for _, s := range symbols {
		if s.text == text {
			return s, true
		}
	}
	return symbol{}, false
}

// permits tells whether kind is allowed; an empty list allows every kind.
func permits(allowed []Kind, kind Kind) bool {
	for _, k := range allowed {
		if k == kind {
			return true
		}
	}
	return len(allowed) == 0
}

// spelt writes a unit in the table's ASCII: micro signs (U+00B5 and the Greek
// letter U+03BC) as u, the degree forms of Celsius as C, a litre as L (both
// l and L are SI), and without space around the stroke.
func spelt(text string) string {
	s := strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return r
	}, text)
	s = strings.NewReplacer("\u00b5", "u", "\u03bc", "u", "\u2103", "C", "\u00b0C", "C", "\u00baC", "C").Replace(s)
	if strings.HasSuffix(s, "l") && !strings.HasSuffix(s, "mol") {
		s = strings.TrimSuffix(s, "l") + "L"
	}
	return s
}
