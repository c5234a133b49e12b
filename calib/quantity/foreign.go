package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// foreign is a unit that is understood only well enough to refuse it with the
// value in the right one: value × scale + offset.
type foreign struct {
	name, want    string
	scale, offset float64
}

// foreignUnits: definitions of the international pound and foot, the standard
// atmosphere and the conventional millimetre of mercury (SI Brochure, 9th ed.
// 2019, and NIST SP 811 (2008), Appendix B.8). A mho is a siemens.
var foreignUnits = map[string]foreign{
	"F":    {"degrees Fahrenheit", "C", 1 / 1.8, -32 / 1.8},
	"K":    {"kelvins", "C", 1, -273.15},
	"C":    {"degrees Celsius", "C", 1, 0}, // found as degC
	"ft":   {"feet", "m", 0.3048, 0},
	"km":   {"kilometres", "m", 1000, 0},
	"oz":   {"ounces", "g", 28.349523125, 0},
	"lb":   {"pounds", "g", 453.59237, 0},
	"bar":  {"bars", "kPa", 100, 0},
	"atm":  {"atmospheres", "kPa", 101.325, 0},
	"psi":  {"pounds per square inch", "kPa", 6.894757, 0},
	"mmHg": {"millimetres of mercury", "kPa", 0.1333224, 0},
	"inHg": {"inches of mercury", "kPa", 3.386389, 0},
	"M":    {"an old short form", "mol/L", 1, 0},
	"mM":   {"an old short form", "mmol/L", 1, 0},

	"umho/cm":  {"mhos, the old name of siemens", "uS/cm", 1, 0},
	"umhos/cm": {"mhos, the old name of siemens", "uS/cm", 1, 0},
	"mmho/cm":  {"mhos, the old name of siemens", "mS/cm", 1, 0},
	"mmhos/cm": {"mhos, the old name of siemens", "mS/cm", 1, 0},
}

// foreignUnit finds a unit of that list under its usual spellings.
func foreignUnit(text string) (foreign, bool) {
	for _, degree := range []string{"\u00b0", "\u00ba", "deg"} {
		text = strings.TrimPrefix(text, degree)
	}
	f, ok := foreignUnits[text]
	return f, ok
}

// hint gives v of the foreign unit in the right one. Where the two scales have
// different zeros a temperature and a difference of temperatures convert
// differently, and only the person knows which is meant.
func (f foreign) hint(v float64) string {
	if f.offset == 0 {
		return fmt.Sprintf("write %s%s", short(v*f.scale), f.want)
	}
	return fmt.Sprintf("write %s%s (as a difference, %s%s)", short(v*f.scale+f.offset), f.want, short(v*f.scale), f.want)
}

// InBase reads a text such as "63F" in a unit that is only refused, and gives its value
// in the right unit, and as a difference where the zeros of the two scales differ.
func InBase(text string) (value, difference float64, unit string, ok bool) {
	n, rest := scanNumber(clean(text))
	f, known := foreignUnit(spelt(rest))
	if n.digits == "" || !known {
		return 0, 0, "", false
	}
	v, err := n.value(0)
	return v*f.scale + f.offset, v * f.scale, f.want, err == nil
}

// short writes a converted value to five significant digits, for a hint.
func short(v float64) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', 4, 64), 64)
	if err != nil || math.Abs(v) >= 1e15 {
		return strconv.FormatFloat(v, 'g', 5, 64)
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
