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

func TestRangeErrorHintsAtFahrenheit(t *testing.T) {
	r := Range{"temperature", "C", 0, 50}
	cases := []struct {
		x    float64
		hint string
	}{
		{77, "if that was degrees Fahrenheit, give it as 25C"},
		{64.4, "if that was degrees Fahrenheit, give it as 18C"},
		{-3, ""},
		{298.15, ""},
	}
	for _, c := range cases {
		var e *RangeError
		require.True(t, errors.As(r.Check("salt", c.x), &e))
		assert.Equal(t, c.hint, e.Hint, "%v", c.x)
		assert.Equal(t, c.x, e.Got)
	}
	kPa := Range{"pressure", "kPa", 30, 110}
	var e *RangeError
	require.True(t, errors.As(kPa.Check("boiling point", 150), &e))
	assert.Empty(t, e.Hint, "a pressure is not a temperature, and 15 kPa is no place on land")
	require.True(t, errors.As(kPa.Check("boiling point", 950), &e))
	assert.Equal(t, "if that was hPa (the same as mbar), give it as 950hPa", e.Hint)
}
