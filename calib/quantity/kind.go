package quantity

import (
	"fmt"
	"math"
	"strings"
)

// Kind says what a quantity measures. The zero Kind is none of them.
type Kind int

// The kinds, each with the base unit its values are in.
const (
	Conductivity        Kind = iota + 1 // uS/cm
	MassConcentration                   // mg of salt per litre of solution at 25 C
	MassRatio                           // mg of salt per kg of solution
	Molality                            // mol of salt per kg of water
	AmountConcentration                 // mol of salt per litre of solution at 25 C
	Display                             // ppm on a display that multiplies uS/cm by Quantity.Factor
	Volume                              // mL
	Mass                                // g
	Fraction                            // 1; written in %
	Temperature                         // C
	Pressure                            // kPa
	Length                              // m
)

// kindInfo is what is declared once about a kind: the name in messages, the
// base unit, an example that is right, one of a standard uncertainty, and the
// least value that has a meaning.
type kindInfo struct {
	name, base, example, small string
	least                      float64
	why                        string // why nothing lies below least
}

var kinds = map[Kind]kindInfo{
	Conductivity:        {"conductivity", "uS/cm", "1413uS/cm", "5uS/cm", 0, "nothing conducts less than not at all"},
	MassConcentration:   {"mass concentration", "mg/L", "600mg/L", "3mg/L", 0, "a concentration is not negative"},
	MassRatio:           {"mass ratio", "mg/kg", "600mg/kg", "3mg/kg", 0, "a concentration is not negative"},
	Molality:            {"molality", "mol/kg", "0.01mol/kg", "0.0001mol/kg", 0, "a concentration is not negative"},
	AmountConcentration: {"amount concentration", "mol/L", "0.01mol/L", "0.0001mol/L", 0, "a concentration is not negative"},
	Display:             {"display value", "ppm", "600ppm@0.5", "3ppm@0.5", 0, "a conductivity is not negative"},
	Volume:              {"volume", "mL", "500mL", "2mL", 0, "a volume is not negative"},
	Mass:                {"mass", "g", "250g", "0.01g", 0, "a mass is not negative"},
	Fraction:            {"fraction", "%", "2%", "1%", 0, "a fraction is not negative here"},
	Temperature:         {"temperature", "C", "25C", "0.2C", -273.15, "absolute zero is -273.15C"},
	Pressure:            {"pressure", "kPa", "101.3kPa", "0.3kPa", 0, "a pressure is not negative"},
	Length:              {"length", "m", "1500m", "10m", math.Inf(-1), ""},
}

// String gives the kind's name, such as "mass concentration".
func (k Kind) String() string {
	if info, ok := kinds[k]; ok {
		return info.name
	}
	return fmt.Sprintf("Kind(%d)", int(k))
}

// Unit gives the kind's base unit in ASCII, such as "uS/cm". For [Fraction],
// whose base is the bare number, it is "%": the unit that is written.
func (k Kind) Unit() string { return kinds[k].base }

// Strengths are the kinds that can say how strong a salt solution is.
func Strengths() []Kind {
	return []Kind{Conductivity, MassConcentration, MassRatio, Molality, AmountConcentration, Display}
}

// wanted describes what a place accepts: "a mass such as 250g".
func wanted(allowed []Kind) string {
	if len(allowed) == 0 {
		return "want a number and a unit, such as 1413uS/cm, 600mg/L or 25C"
	}
	parts := make([]string, len(allowed))
	for i, k := range allowed {
		parts[i] = fmt.Sprintf("%s %s such as %s", article(k.String()), k, kinds[k].example)
	}
	if len(parts) == 1 {
		return "want " + parts[0]
	}
	return "want " + strings.Join(parts[:len(parts)-1], ", ") + " or " + parts[len(parts)-1]
}

func article(noun string) string {
	if strings.ContainsAny(noun[:1], "aeiou") {
		return "an"
	}
	return "a"
}

// FactorLow and FactorHigh bound the factor of a ppm display, in ppm per
// uS/cm. Displays in use run from 0.47 to 1.0 (common practice, no source); the
// bounds are wider, and still refuse the slip of writing the "500 scale" as
// 500.
const (
	FactorLow  = 0.1
	FactorHigh = 2.0
)

// CheckFactor returns nil for a display factor from [FactorLow] to
// [FactorHigh] ppm per uS/cm, and otherwise an error that wraps [ErrFactor].
func CheckFactor(factor float64) error {
	if factor >= FactorLow && factor <= FactorHigh {
		return nil
	}
	e := &ParseError{
		Text: fmt.Sprint(factor), Err: ErrFactor,
		Reason: fmt.Sprintf("is no factor of a ppm display, %v to %v ppm per uS/cm", FactorLow, FactorHigh),
		Want:   "want one such as 0.5, 0.64 or 0.7",
	}
	if f := factor / 1000; f >= FactorLow && f <= FactorHigh {
		e.Want = fmt.Sprintf("the %v scale has the factor %v", factor, f)
	}
	return e
}
