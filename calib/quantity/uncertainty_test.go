package quantity

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseUncertainty(t *testing.T) {
	for _, c := range []struct {
		text    string
		allowed []Kind
		kind    Kind
		value   float64
	}{
		{"0.2C", []Kind{Temperature}, Temperature, 0.2},
		{"0.5K", []Kind{Temperature}, Temperature, 0.5}, // a kelvin is a degree Celsius, as a difference
		{"0.5 K", []Kind{Temperature}, Temperature, 0.5},
		{"0", []Kind{Temperature}, Temperature, 0},
		{"0.0", []Kind{Temperature}, Temperature, 0},
		{"-0", []Kind{Temperature}, Temperature, 0},
		{" 0 ", []Kind{Conductivity, Fraction}, Conductivity, 0},
		{"0C", []Kind{Temperature}, Temperature, 0},
		{"0%", []Kind{Fraction, MassConcentration}, Fraction, 0},
		{"3hPa", []Kind{Pressure}, Pressure, 0.3},
		{"1%", []Kind{Conductivity, Fraction}, Fraction, 0.01},
	} {
		q, err := ParseUncertainty(c.text, c.allowed...)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.kind, q.Kind, c.text)
		assert.Equal(t, c.value, q.Value, c.text)
		assert.False(t, math.Signbit(q.Value), c.text)
	}
}

func TestParseUncertaintyRefuses(t *testing.T) {
	for _, c := range []struct {
		text    string
		allowed []Kind
		cause   error
		says    string
	}{
		// One wording for every kind.
		{"-1C", []Kind{Temperature}, ErrOutOfRange, `"-1C" is negative; a standard uncertainty is 0 (exact) or more`},
		{"-1kPa", []Kind{Pressure}, ErrOutOfRange, `"-1kPa" is negative; a standard uncertainty is 0 (exact) or more`},
		{"-1%", []Kind{Fraction}, ErrOutOfRange, `"-1%" is negative; a standard uncertainty is 0 (exact) or more`},
		// 1.8 degrees Fahrenheit to the degree (NIST SP 811:2008, B.8), as a
		// difference: the zeros of the scales play no part.
		{"0.9F", []Kind{Temperature}, ErrUnknownUnit, `"0.9F" is in degrees Fahrenheit; write 0.5C`},
		{"0.5", []Kind{Temperature}, ErrNoUnit, "want a standard uncertainty such as 0.2C, or 0 for exact"},
		{"0.5kPa", []Kind{Temperature}, ErrWrongKind, "such as 0.2C"},
		{"half", []Kind{Fraction, MassConcentration}, ErrNotANumber, "such as 1% or 3mg/L, or 0 for exact"},
		{"", []Kind{Temperature}, ErrNotANumber, "such as 0.2C"},
		{"0,5C", []Kind{Temperature}, ErrDecimalComma, "0.5C"},
		{"3ppm", Strengths(), ErrBarePPM, "3ppm@0.5"},
		{"1e999C", []Kind{Temperature}, ErrOutOfRange, "too large"},
	} {
		q, err := ParseUncertainty(c.text, c.allowed...)
		require.Error(t, err, c.text)
		assert.Equal(t, Quantity{}, q, c.text)
		assert.ErrorIs(t, err, c.cause, c.text)
		assert.ErrorContains(t, err, c.says, c.text)
		assert.NotContains(t, err.Error(), "-272", "%s: no conversion of a point on the scale", c.text)
	}
	for k, info := range kinds {
		q, err := ParseUncertainty(info.small, k)
		assert.NoError(t, err, "the example in the message of a %s is right", k)
		assert.Positive(t, q.Value, k)
	}
}

// Whatever is typed, an uncertainty is a finite number of 0 or more of an
// allowed kind, or an error.
func FuzzParseUncertainty(f *testing.F) {
	for _, seed := range []string{"0", "0.5K", "-1C", "1e308%", "0.9F", "3mg/L", "\u22122C", "0ppm@0.5", ""} {
		f.Add(seed)
	}
	allowed := append([]Kind{Fraction, Temperature}, Strengths()...)
	f.Fuzz(func(t *testing.T, text string) {
		q, err := ParseUncertainty(text, allowed...)
		if err != nil {
			assert.Equal(t, Quantity{}, q)
			return
		}
		assert.Contains(t, allowed, q.Kind)
		assert.GreaterOrEqual(t, q.Value, 0.0)
		assert.False(t, math.IsInf(q.Value, 0))
	})
}

func TestTypedUnit(t *testing.T) {
	for text, want := range map[string]string{
		"0.6g/L": "g/L", "600mg/L": "mg/L", "1.413mS/cm": "mS/cm", "1413 µS/cm": "uS/cm", "600ppm@0.5": "ppm@0.5", "10mmol/kg": "mmol/kg", "2%": "%", "950hPa": "hPa",
	} {
		q, err := Parse(text)
		require.NoError(t, err, text)
		unit, perBase := q.TypedUnit()
		assert.Equal(t, want, unit, text)
		n, _ := scanNumber(text)
		typed, err := n.value(0)
		require.NoError(t, err)
		assert.InEpsilon(t, typed, q.Value*perBase, 1e-14, text)
	}
	// A quantity nobody typed has its base unit.
	unit, perBase := Quantity{Kind: Mass, Value: 1}.TypedUnit()
	assert.Equal(t, "g", unit)
	assert.Equal(t, 1.0, perBase)
	unit, perBase = Quantity{Kind: Fraction, Value: 0.02}.TypedUnit()
	assert.Equal(t, "%", unit)
	assert.Equal(t, 100.0, perBase)
}
