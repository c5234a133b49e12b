package quantity

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every unit that can be written, with the value that its definition gives in
// the base unit (SI Brochure, 9th ed. 2019, Tables 7 and 8).
// The comparison is exact: no unit may round.
func TestParseConvertsEveryUnitExactly(t *testing.T) {
	for _, c := range []struct {
		text  string
		kind  Kind
		value float64
	}{
		{"1413uS/cm", Conductivity, 1413},
		{"1413µS/cm", Conductivity, 1413},      // micro sign, U+00B5
		{"1413\u03bcS/cm", Conductivity, 1413}, // Greek letter mu, U+03BC
		{"1.413mS/cm", Conductivity, 1413},
		{"0.001413S/cm", Conductivity, 1413},
		{"0.1413S/m", Conductivity, 1413},
		{"1.413dS/m", Conductivity, 1413},
		{"141.3mS/m", Conductivity, 1413},
		{"141300uS/m", Conductivity, 1413},
		{"600mg/L", MassConcentration, 600},
		{"600mg/l", MassConcentration, 600},
		{"0.6g/L", MassConcentration, 600},
		{"600mg/kg", MassRatio, 600},
		{"0.6g/kg", MassRatio, 600},
		{"0.01mol/kg", Molality, 0.01},
		{"10mmol/kg", Molality, 0.01},
		{"0.01mol/L", AmountConcentration, 0.01},
		{"10mmol/L", AmountConcentration, 0.01},
		{"10mmol/l", AmountConcentration, 0.01},
		{"500mL", Volume, 500},
		{"500ml", Volume, 500},
		{"0.5L", Volume, 500},
		{"0.5l", Volume, 500},
		{"250g", Mass, 250},
		{"10mg", Mass, 0.01},
		{"0.25kg", Mass, 250},
		{"2%", Fraction, 0.02},
		{"99.0%", Fraction, 0.99},
		{"25C", Temperature, 25},
		{"25°C", Temperature, 25},
		{"25\u2103", Temperature, 25},
		{"25ºC", Temperature, 25}, // masculine ordinal, as some keyboards have it
		{"-2.5C", Temperature, -2.5},
		{"\u22122.5C", Temperature, -2.5}, // typographic minus sign
		{"101.3kPa", Pressure, 101.3},
		{"1013hPa", Pressure, 101.3},
		{"1013mbar", Pressure, 101.3},
		{"101300Pa", Pressure, 101.3},
		{"1500m", Length, 1500},
		{"-3m", Length, -3},
		{"0g", Mass, 0},
		{"-0g", Mass, 0},
		{"+1g", Mass, 1},
		{".5g", Mass, 0.5},
		{"5.g", Mass, 5},
		{"1e3uS/cm", Conductivity, 1000},
		{"1.413E+3uS/cm", Conductivity, 1413},
		{"1e-2g", Mass, 0.01},
	} {
		q, err := Parse(c.text, c.kind)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.kind, q.Kind, c.text)
		assert.Equal(t, c.value, q.Value, c.text)
		assert.False(t, math.Signbit(q.Value) && q.Value == 0, "%s: no negative zero", c.text)
		assert.Zero(t, q.Factor, c.text)
	}
}

func TestEveryUnitOfTheTableIsTried(t *testing.T) {
	for _, s := range symbols {
		text := "1" + s.text
		if s.kind == Display {
			text += "@0.5"
		}
		q, err := Parse(text)
		require.NoError(t, err, text)
		assert.Equal(t, s.kind, q.Kind, text)
		assert.InEpsilon(t, math.Pow10(s.power), q.Value, 1e-15, text)
	}
	assert.Len(t, kinds, int(Length), "every kind has its row")
}

func TestParseAllowsSpace(t *testing.T) {
	for _, text := range []string{
		"600mg/L", "600 mg/L", " 600  mg/L ", "600\u00a0mg/L", "600\u2009mg/L", "600\u202fmg / L", "\t600mg/L\r\n",
	} {
		q, err := Parse(text, MassConcentration)
		require.NoError(t, err, "%q", text)
		assert.Equal(t, 600.0, q.Value, "%q", text)
	}
}

func TestParseDisplayKeepsItsFactor(t *testing.T) {
	for text, factor := range map[string]float64{
		"600ppm@0.5": 0.5, "600 ppm @ 0.64": 0.64, "600ppm@.7": 0.7, "600ppm@1": 1, "600ppm@1.0": 1, "600ppm@0.1": 0.1, "600ppm@2": 2,
	} {
		q, err := Parse(text, Strengths()...)
		require.NoError(t, err, text)
		assert.Equal(t, Quantity{Value: 600, Kind: Display, Factor: factor, Text: text}, q)
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct {
		text    string
		allowed []Kind
		cause   error
		says    string // part of the message a person needs
	}{
		{"", []Kind{Mass}, ErrNotANumber, "250g"},
		{"   ", []Kind{Mass}, ErrNotANumber, "is empty"},
		{"salt", []Kind{Mass}, ErrNotANumber, "does not begin with a number"},
		{"g", []Kind{Mass}, ErrNotANumber, "does not begin with a number"},
		{"-", []Kind{Mass}, ErrNotANumber, "does not begin with a number"},
		{".g", []Kind{Mass}, ErrNotANumber, "does not begin with a number"},
		{"NaN g", []Kind{Mass}, ErrNotANumber, "does not begin with a number"},
		{"nan", []Kind{Mass}, ErrNotANumber, "does not begin with a number"},
		{"Inf g", []Kind{Mass}, ErrNotANumber, "does not begin with a number"},
		{"-infg", []Kind{Mass}, ErrNotANumber, "does not begin with a number"},
		{"1e999g", []Kind{Mass}, ErrOutOfRange, "too large"},
		{"1e99999999999999999999g", []Kind{Mass}, ErrOutOfRange, "too large"},
		{"1e308kg", []Kind{Mass}, ErrOutOfRange, "too large"},
		{"1e-999g", []Kind{Mass}, ErrOutOfRange, "too small"},
		{"1e-99999999999999999999g", []Kind{Mass}, ErrOutOfRange, "too small"},
		{"0x10g", []Kind{Mass}, ErrUnknownUnit, "x10g"},
		{"1_000g", []Kind{Mass}, ErrUnknownUnit, "_000g"},
		{"1.2.3g", []Kind{Mass}, ErrNotANumber, "two decimal points"},
		{"1 413uS/cm", []Kind{Conductivity}, ErrNotANumber, "space inside"},
		{"600", []Kind{MassConcentration}, ErrNoUnit, "600mg/L"},
		{"600 ", []Kind{MassConcentration}, ErrNoUnit, "has no unit"},
		{"1413us/cm", []Kind{Conductivity}, ErrUnknownUnit, "nearest right one is uS/cm"},
		{"1.4MS/cm", []Kind{Conductivity}, ErrUnknownUnit, "nearest right one is mS/cm"},
		{"1413uS", []Kind{Conductivity}, ErrUnknownUnit, "nearest right one is uS/cm"},
		{"1.4mS", []Kind{Conductivity}, ErrUnknownUnit, "nearest right one is mS/cm"},
		{"600mgL", []Kind{MassConcentration}, ErrUnknownUnit, "nearest right one is mg/L"},
		{"600mg/Kg", []Kind{MassRatio}, ErrUnknownUnit, "nearest right one is mg/kg"},
		{"25c", []Kind{Temperature}, ErrUnknownUnit, "nearest right one is C"},
		{"25banana", []Kind{Temperature}, ErrUnknownUnit, "want a temperature such as 25C"},
		{"250mL", []Kind{Mass}, ErrWrongKind, "is a volume; want a mass such as 250g"},
		{"2%", []Kind{Conductivity, MassConcentration}, ErrWrongKind, "1413uS/cm or a mass concentration such as 600mg/L"},
		{"600ppm@0.5", []Kind{Mass}, ErrWrongKind, "display value"},
		{"600ppm", []Kind{Mass}, ErrWrongKind, "display value"},
		{"600mg/L@0.5", []Kind{MassConcentration}, ErrUnknownUnit, "write 600mg/L"},
		{"600ppm@", Strengths(), ErrFactor, "600ppm@0.5"},
		{"600ppm@x", Strengths(), ErrFactor, "600ppm@0.5"},
		{"600ppm@NaN", Strengths(), ErrFactor, "600ppm@0.5"},
		{"600ppm@500", Strengths(), ErrFactor, "the 500 scale has the factor 0.5"},
		{"600ppm@700", Strengths(), ErrFactor, "0.7"},
		{"600ppm@0", Strengths(), ErrFactor, "0.1 to 2"},
		{"600ppm@-0.5", Strengths(), ErrFactor, "0.1 to 2"},
		{"600ppm@2.01", Strengths(), ErrFactor, "0.1 to 2"},
		{"600ppm@0.09", Strengths(), ErrFactor, "0.1 to 2"},
		{"-5g", []Kind{Mass}, ErrOutOfRange, "a mass is not negative"},
		{"-1uS/cm", []Kind{Conductivity}, ErrOutOfRange, "not at all"},
		{"-2%", []Kind{Fraction}, ErrOutOfRange, "negative"},
		{"-273.16C", []Kind{Temperature}, ErrOutOfRange, "absolute zero"},
	} {
		q, err := Parse(c.text, c.allowed...)
		require.Error(t, err, c.text)
		assert.Equal(t, Quantity{}, q, "%s: no number beside an error", c.text)
		assert.ErrorIs(t, err, c.cause, c.text)
		assert.Contains(t, err.Error(), c.says, c.text)
		var parse *ParseError
		require.ErrorAs(t, err, &parse, c.text)
		assert.NotEmpty(t, parse.Want, c.text)
		assert.NotContains(t, err.Error(), "\n", c.text)
	}
}

func TestBarePPMIsExplained(t *testing.T) {
	for _, text := range []string{"600ppm", "600 ppm", "600.ppm", "6e2ppm"} {
		_, err := Parse(text, Strengths()...)
		require.ErrorIs(t, err, ErrBarePPM, text)
		for _, reading := range []string{"mg/L", "mg/kg", "ppm@0.5", "0.64", "0.7", "no single meaning"} {
			assert.Contains(t, err.Error(), reading, text)
		}
	}
	_, err := Parse("600ppm", MassConcentration)
	assert.ErrorIs(t, err, ErrBarePPM, "where mg/L is wanted the three readings matter as well")
	_, err = Parse("600ppm")
	assert.ErrorIs(t, err, ErrBarePPM)
}

func TestDecimalCommaGetsAHint(t *testing.T) {
	for text, hint := range map[string]string{
		"1,5g":       "write a decimal point, 1.5g",
		"1,413mS/cm": "1.413mS/cm, or 1413mS/cm if the comma parts the thousands",
		"1,41 mS/cm": "1.41mS/cm",
		"0,5":        "0.5",
		"1,5furlong": "1.5...",
		"1,":         "without commas",
		"1,234,567g": "without commas",
		"1,5.5g":     "without commas",
		"1.234,5g":   "without commas",
		"1,-5g":      "without commas",
	} {
		_, err := Parse(text)
		require.ErrorIs(t, err, ErrDecimalComma, text)
		assert.Contains(t, err.Error(), hint, text)
	}
	_, err := ParseNumber("0,5")
	require.ErrorIs(t, err, ErrDecimalComma)
	assert.Contains(t, err.Error(), "0.5")
}

// Conversions by definition: 1.8 degrees Fahrenheit to the degree, 0 C at
// 32 F (SI Brochure; NIST SP 811:2008, B.8), 1 atm = 101.325 kPa exactly,
// 1 lb = 453.59237 g exactly, 1 ft = 0.3048 m exactly, 1 psi = 6.894757 kPa.
func TestForeignUnitsAreRefusedWithTheConvertedValue(t *testing.T) {
	for _, c := range []struct {
		text string
		kind Kind
		says string
	}{
		{"77F", Temperature, "degrees Fahrenheit; write 25C"},
		{"77°F", Temperature, "write 25C"},
		{"64.4ºF", Temperature, "write 18C"},
		{"32degF", Temperature, "write 0C"},
		{"1.8F", Temperature, "as a difference, 1C"},
		{"298.15K", Temperature, "write 25C"},
		{"1atm", Pressure, "write 101.33kPa"}, // 101.325 to five digits
		{"14.7psi", Pressure, "write 101.35kPa"},
		{"760mmHg", Pressure, "write 101.33kPa"}, // conventional millimetre: 760 mmHg = 1 atm
		{"29.92inHg", Pressure, "write 101.32kPa"},
		{"1bar", Pressure, "write 100kPa"},
		{"25degC", Temperature, "is in degrees Celsius; write 25C"},
		{"5000ft", Length, "write 1524m"},
		{"1.5km", Length, "is in kilometres; write 1500m"},
		{"1413umhos/cm", Conductivity, "mhos, the old name of siemens; write 1413uS/cm"},
		{"1413\u00b5mho/cm", Conductivity, "write 1413uS/cm"},
		{"1.413mmho/cm", Conductivity, "write 1.413mS/cm"},
		{"1lb", Mass, "write 453.59g"},
		{"1oz", Mass, "write 28.35g"},
		{"0.1M", AmountConcentration, "write 0.1mol/L"},
		{"10mM", AmountConcentration, "write 10mmol/L"},
	} {
		_, err := Parse(c.text, c.kind)
		require.ErrorIs(t, err, ErrUnknownUnit, c.text)
		assert.Contains(t, err.Error(), c.says, c.text)
	}
	_, err := Parse("77F", Mass)
	require.ErrorIs(t, err, ErrUnknownUnit)
	assert.NotContains(t, err.Error(), "25C", "no temperature is offered where a mass is wanted")
	_, err = Parse("1e300F", Temperature)
	assert.ErrorIs(t, err, ErrUnknownUnit)
}

func TestParseNumber(t *testing.T) {
	for text, want := range map[string]float64{
		"0.5": 0.5, "-0.5": -0.5, "+2": 2, "1e-3": 0.001, "1E3": 1000, " 7 ": 7, ".5": 0.5, "5.": 5, "0": 0, "-0": 0, "\u22123": -3,
		"0.1": 0.1, "1e308": 1e308, "4.9e-324": 4.9e-324,
	} {
		got, err := ParseNumber(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for text, cause := range map[string]error{
		"": ErrNotANumber, "x": ErrNotANumber, "NaN": ErrNotANumber, "Inf": ErrNotANumber, "+Inf": ErrNotANumber, "infinity": ErrNotANumber,
		"0x1p-2": ErrNotANumber, "1_000": ErrNotANumber, "1 000": ErrNotANumber, "5g": ErrNotANumber, "1e": ErrNotANumber,
		"1.2.3": ErrNotANumber, "--1": ErrNotANumber, "1,5": ErrDecimalComma, "1e400": ErrOutOfRange, "-1e400": ErrOutOfRange,
		"1e-400": ErrOutOfRange, "\u0661": ErrNotANumber,
	} {
		got, err := ParseNumber(text)
		assert.ErrorIs(t, err, cause, text)
		assert.Zero(t, got, text)
	}
}

func TestLongTextIsCutInMessages(t *testing.T) {
	_, err := Parse(strings.Repeat("x", 10_000), Mass)
	require.Error(t, err)
	assert.Less(t, len(err.Error()), 200)
	_, err = Parse("1"+strings.Repeat("x", 10_000), Mass)
	require.Error(t, err)
	assert.Less(t, len(err.Error()), 300)
}

func TestKindNames(t *testing.T) {
	assert.Equal(t, "amount concentration", AmountConcentration.String())
	assert.Equal(t, "mol/L", AmountConcentration.Unit())
	assert.Equal(t, "Kind(99)", Kind(99).String())
	assert.Empty(t, Kind(0).Unit())
	_, err := Parse("1g", AmountConcentration)
	assert.ErrorContains(t, err, "want an amount concentration")
	for _, k := range Strengths() {
		_, err := Parse(kinds[k].example, Strengths()...)
		assert.NoError(t, err, "the example in the message of a %s is right", k)
	}
	for k, info := range kinds {
		q, err := Parse(info.example, k)
		assert.NoError(t, err, info.example)
		assert.Equal(t, k, q.Kind)
	}
}
