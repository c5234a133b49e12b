package solutions

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestRangeChecksItsClosedInterval(t *testing.T) {
	r := Range{"temperature", "C", 25, 50}
	for _, x := range []float64{25, 37.5, 50} {
		assert.NoError(t, r.Check("tartrate buffer", x))
	}
	for _, x := range []float64{math.Nextafter(25, 0), math.Nextafter(50, 99), -1, math.NaN(), math.Inf(1), math.Inf(-1)} {
		err := r.Check("tartrate buffer", x)
		require.ErrorIs(t, err, ErrOutOfRange, "%v", x)
		assert.Contains(t, err.Error(), "tartrate buffer: temperature")
		assert.Contains(t, err.Error(), "25 to 50 C")
	}
}

func TestRangeErrorShowsTenDigits(t *testing.T) {
	r := Range{"molality", "mol/kg", 0, 1.1}
	assert.EqualError(t, r.Check("NaCl", 3.688428350790819), "NaCl: molality 3.688428351 mol/kg is outside its range, 0 to 1.1 mol/kg")
	assert.EqualError(t, r.Check("NaCl", math.NaN()), "NaCl: molality NaN mol/kg is outside its range, 0 to 1.1 mol/kg")
}

// A huge number is shown short, and a range without a unit without a gap.
func TestRangeErrorStaysShort(t *testing.T) {
	assert.EqualError(t, Range{"pressure", "kPa", 30, 110}.Check("boiling point", 1e300), "boiling point: pressure 1e+300 kPa is outside its range, 30 to 110 kPa")
	assert.EqualError(t, Range{"year", "", 2015, 2035}.Check("outdoor air", 1990), "outdoor air: year 1990 is outside its range, 2015 to 2035")
	assert.EqualError(t, Range{"molality", "mol/kg", 5e-5, 1.1}.Check("NaCl", 1e-9), "NaCl: molality 1e-09 mol/kg is outside its range, 0.00005 to 1.1 mol/kg")
}

func TestRangeWithinAnother(t *testing.T) {
	model, rule := Range{"temperature", "C", 0, 50}, Range{"temperature of the table", "C", 2, 35}
	assert.Equal(t, Range{"temperature", "C", 2, 35}, model.Within(rule))
	assert.Equal(t, Range{"temperature of the table", "C", 2, 35}, rule.Within(model))
}

func TestRangeErrorHintsAtFahrenheit(t *testing.T) {
	r := Range{"temperature", "C", 0, 50}
	cases := []struct {
		x    float64
		hint string
	}{
		{77, "if that was degrees Fahrenheit, give it as 25C"},
		{64.4, "if that was degrees Fahrenheit, give it as 18C"},
		{104, "if that was degrees Fahrenheit, give it as 40C"},
		{-3, ""},
		{50.0000001, ""}, // a slip in the last digit, not another scale
		{51, ""},
		{54, ""}, // no room or tub
		{298.15, ""},
	}
	for _, c := range cases {
		var e *RangeError
		require.True(t, errors.As(r.Check("salt", c.x), &e))
		assert.Equal(t, c.hint, e.Hint, "%v", c.x)
		assert.Equal(t, c.x, e.Got)
	}
	for x, hint := range map[float64]string{31: "", 56: "if that was degrees Fahrenheit, give it as 13.3C"} {
		var e *RangeError
		require.True(t, errors.As(Range{"temperature", "C", 0, 30}.Check("saturated K2CO3", x), &e))
		assert.Equal(t, hint, e.Hint, "%v", x)
	}
	kPa := Range{"pressure", "kPa", 30, 110}
	var e *RangeError
	require.True(t, errors.As(kPa.Check("boiling point", 150), &e))
	assert.Empty(t, e.Hint, "a pressure is not a temperature, and 15 kPa is no place on land")
	require.True(t, errors.As(kPa.Check("boiling point", 950), &e))
	assert.Equal(t, "if that was hPa (the same as mbar), give it as 950hPa", e.Hint)
}
