package quantity

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestStringIsInTheBaseUnit(t *testing.T) {
	for text, want := range map[string]string{
		"1.413 mS/cm": "1413uS/cm", "0.1413S/m": "1413uS/cm", "8µS/cm": "8uS/cm", "0.6g/L": "600mg/L", "0.6 g/kg": "600mg/kg",
		"10mmol/kg": "0.01mol/kg", "10mmol/L": "0.01mol/L", "600ppm@.5": "600ppm@0.5", "0.5L": "500mL", "10mg": "0.01g",
		"2%": "2%", "99.0%": "99%", "0.05%": "0.05%", "25°C": "25C", "-2.5C": "-2.5C", "1013hPa": "101.3kPa", "1500m": "1500m", "0g": "0g",
		"0%": "0%", "1e25m": "1e25m", "1.5e-12m": "1.5e-12m", "123456789012345678m": "123456789012345680m",
	} {
		q, err := Parse(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, q.String(), text)
	}
	assert.Empty(t, Quantity{}.String())
	assert.NotPanics(t, func() { _ = Quantity{Value: math.NaN(), Kind: Mass}.String() })
}

// Whatever String writes, Parse reads back to the very same value: tried over
// all kinds and the whole range of exponents.
func TestStringRoundTrips(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for kind := range kinds {
		for range 2000 {
			q := Quantity{Kind: kind, Value: random.Float64() * math.Pow10(random.IntN(60)-30)}
			if kind == Display {
				q.Factor = FactorLow + random.Float64()*(FactorHigh-FactorLow)
			}
			if kind == Length && random.IntN(2) == 0 {
				q.Value = -q.Value
			}
			back, err := Parse(q.String(), kind)
			require.NoError(t, err, q.String())
			back.Text = ""
			require.Equal(t, q, back)
		}
	}
}

func TestShiftedMovesThePoint(t *testing.T) {
	for _, c := range []struct {
		v     float64
		shift int
		want  string
	}{
		{0, 0, "0"}, {0, 2, "0"}, {1, 0, "1"}, {0.02, 2, "2"}, {0.29, 2, "29"}, {0.57, 2, "57"}, // 0.29*100 and 0.57*100 are not whole in float64
		{1.5, -3, "0.0015"}, {123.456, 1, "1234.56"}, {-0.5, 0, "-0.5"}, {1e20, 0, "100000000000000000000"}, {1e21, 0, "1e21"},
		{1e-7, 0, "0.0000001"}, {1e-8, 0, "1e-8"},
	} {
		assert.Equal(t, c.want, shifted(c.v, c.shift), "%v shifted by %d", c.v, c.shift)
	}
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{
		"1413uS/cm", "1413 µS/cm", "600ppm@0.5", "600ppm", "1,5g", "1 413uS/cm", "77°F", "-5g", "1e999g", "1e-999g", "NaN", "0x1g",
		"2%", "25\u2103", "\u22122C", "1e5", "1e+g", "..5g", "1.5e3.5g", "5@", "5ppm@@", "\x00", "\xff5g", "1\n2g", "9e9999999999999999999m",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		q, err := Parse(text)
		if err != nil {
			var parse *ParseError
			require.ErrorAs(t, err, &parse)
			require.NotNil(t, parse.Err)
			require.NotEmpty(t, parse.Want)
			require.Equal(t, Quantity{}, q)
			for _, r := range err.Error() {
				require.GreaterOrEqual(t, r, ' ', "control character in %q", err.Error())
			}
			return
		}
		require.False(t, math.IsNaN(q.Value) || math.IsInf(q.Value, 0))
		require.GreaterOrEqual(t, q.Value, kinds[q.Kind].least)
		back, err := Parse(q.String(), q.Kind)
		require.NoError(t, err, "%q written as %q", text, q.String())
		back.Text = q.Text
		require.Equal(t, q, back)
	})
}
