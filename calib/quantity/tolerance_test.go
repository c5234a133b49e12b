package quantity

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseTolerance(t *testing.T) {
	for _, c := range []struct {
		text    string
		allowed []Kind
		want    Tolerance
		written string
	}{
		{"2%", nil, Tolerance{Value: 0.02, Relative: true, Text: "2%"}, "2%"},
		{" 2 % ", nil, Tolerance{Value: 0.02, Relative: true, Text: "2 %"}, "2%"},
		{"0.57%", nil, Tolerance{Value: 0.0057, Relative: true, Text: "0.57%"}, "0.57%"},
		{"0.1", nil, Tolerance{Value: 0.1, Text: "0.1"}, "0.1"},
		{"1e-1", nil, Tolerance{Value: 0.1, Text: "1e-1"}, "0.1"},
		{"0.5C", []Kind{Temperature}, Tolerance{Value: 0.5, Kind: Temperature, Text: "0.5C"}, "0.5C"},
		{"0.05mS/cm", []Kind{Conductivity}, Tolerance{Value: 50, Kind: Conductivity, Text: "0.05mS/cm"}, "50uS/cm"},
	} {
		got, err := ParseTolerance(c.text, c.allowed...)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.want, got, c.text)
		assert.Equal(t, c.written, got.String(), c.text)
		again, err := ParseTolerance(got.String(), c.allowed...)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.written, again.String(), c.text)
		assert.Equal(t, got.Value, again.Value, c.text)
	}
	assert.Empty(t, Tolerance{}.String())
}

func TestParseToleranceRefuses(t *testing.T) {
	for _, c := range []struct {
		text    string
		allowed []Kind
		cause   error
	}{
		{"", nil, ErrNotANumber}, {"two", nil, ErrNotANumber}, {"%", nil, ErrNotANumber}, {"2%%", nil, ErrNotANumber},
		{"0.5C", nil, ErrNotANumber}, {"0", nil, ErrOutOfRange}, {"0%", nil, ErrOutOfRange}, {"-2%", nil, ErrOutOfRange},
		{"-0.1", nil, ErrOutOfRange}, {"NaN", nil, ErrNotANumber}, {"Inf%", nil, ErrNotANumber}, {"0,1", nil, ErrDecimalComma},
		{"0,1%", nil, ErrDecimalComma}, {"1e999", nil, ErrOutOfRange}, {"1e999%", nil, ErrOutOfRange}, {"1e-999%", nil, ErrOutOfRange},
		{"0.5g", []Kind{Temperature}, ErrWrongKind}, {"0C", []Kind{Temperature}, ErrOutOfRange}, {"-1C", []Kind{Temperature}, ErrOutOfRange},
	} {
		got, err := ParseTolerance(c.text, c.allowed...)
		assert.ErrorIs(t, err, c.cause, c.text)
		assert.Equal(t, Tolerance{}, got, c.text)
	}
}

func TestToleranceAt(t *testing.T) {
	relative, err := ParseTolerance("2%")
	require.NoError(t, err)
	assert.InDelta(t, 28.26, relative.At(1413), 1e-12)
	assert.InDelta(t, 0.2, relative.At(-10), 1e-12, "the size of an error has no sign")
	absolute, err := ParseTolerance("0.1")
	require.NoError(t, err)
	assert.Equal(t, 0.1, absolute.At(7.01))
}

func FuzzParseTolerance(f *testing.F) {
	for _, seed := range []string{"2%", "0.1", "0.5C", "2 %", "%", "-1", "1e999%", "0,1%", "1e-5%"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := ParseTolerance(text, Temperature)
		if err != nil {
			require.Equal(t, Tolerance{}, got)
			return
		}
		require.Greater(t, got.Value, 0.0)
		again, err := ParseTolerance(got.String(), Temperature)
		require.NoError(t, err, got.String())
		again.Text = got.Text
		require.Equal(t, got, again)
	})
}
