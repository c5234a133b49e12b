package solutions

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/quantity"
)

// logUniform draws from low to high, evenly in the logarithm.
func logUniform(rng *rand.Rand, low, high float64) float64 {
	return low * math.Pow(high/low, rng.Float64())
}

// Every unit and back, over the whole range of the density formula and of the
// conductivity model.
func TestStrengthRoundTrips(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	for _, s := range Salts() {
		for range 2000 {
			m := logUniform(rng, 1e-6, 4.7)
			st, err := StrengthOf(s, m)
			require.NoError(t, err)
			back := map[string]quantity.Quantity{
				"mol/kg": {Kind: quantity.Molality, Value: st.MolKg},
				"mg/kg":  {Kind: quantity.MassRatio, Value: st.MgKg},
				"mg/L":   {Kind: quantity.MassConcentration, Value: st.MgL},
				"mol/L":  {Kind: quantity.AmountConcentration, Value: st.MolL},
			}
			assert.Equal(t, ModelMolalityRange.Contains(m), st.EC25 != nil, "%v", m)
			if st.EC25 != nil {
				factor := 0.3 + 1.2*rng.Float64()
				back["uS/cm"] = quantity.Quantity{Kind: quantity.Conductivity, Value: *st.EC25}
				back["ppm"] = quantity.Quantity{Kind: quantity.Display, Value: *st.EC25 * factor, Factor: factor}
			}
			for unit, q := range back {
				got, err := Molality(s, q)
				require.NoError(t, err, unit)
				require.InEpsilon(t, m, got, 1e-10, "%s %s", s, unit)
			}
		}
	}
}

// Worked by hand from the definitions, with the density of the CRC Handbook
// table of concentrative properties at 20 C as a cross-check: 5 % NaCl is
// 0.901 mol/kg and (1.0340 g/cm3 at 20 C) 0.885 mol/L.
func TestStrengthAgainstTheHandbook(t *testing.T) {
	m, err := MolalityFromMassFraction(NaCl, 0.05)
	require.NoError(t, err)
	assert.InDelta(t, 0.901, m, 0.0005)
	assert.InDelta(t, 0.885, NaCl.amountConcentration(m, 20), 0.0005)
	// A litre at 25 C with 600 mg of NaCl weighs 997.05 g as water and 0.42 g
	// more for the salt.
	m, err = MolalityFromMassConcentration(NaCl, 600)
	require.NoError(t, err)
	st, err := StrengthOf(NaCl, m)
	require.NoError(t, err)
	assert.InDelta(t, 600/0.99747, st.MgKg, 0.02)
	assert.InDelta(t, 600/58.4428/1000, st.MolL, 1e-9)
}

func TestPlainWaterHasNoStrengthAndNoModel(t *testing.T) {
	st, err := StrengthOf(KCl, 0)
	require.NoError(t, err)
	assert.Equal(t, Strength{}, st)
	m, err := Molality(KCl, quantity.Quantity{Kind: quantity.MassConcentration})
	require.NoError(t, err)
	assert.Zero(t, m)
}

func TestStrengthRefusals(t *testing.T) {
	bad := []float64{-1e-9, math.NaN(), math.Inf(1), math.Inf(-1), 1e9}
	for _, kind := range quantity.Strengths() {
		for _, x := range bad {
			_, err := Molality(NaCl, quantity.Quantity{Kind: kind, Value: x, Factor: 0.5})
			var e *RangeError
			require.ErrorAs(t, err, &e, "%s %v", kind, x)
			assert.Less(t, e.Range.Low, e.Range.High)
		}
	}
	_, err := Molality(NaCl, quantity.Quantity{Kind: quantity.Temperature, Value: 25})
	require.Error(t, err)
	assert.Contains(t, err.Error(), "not the strength of a solution")
	assert.Contains(t, err.Error(), "600ppm@0.5")
	_, err = Molality(NaCl, quantity.Quantity{Kind: quantity.Display, Value: 500})
	assert.ErrorIs(t, err, quantity.ErrFactor)
	_, err = Molality(NaCl, quantity.Quantity{Kind: quantity.Display, Value: 1, Factor: 0.5})
	require.ErrorIs(t, err, ErrOutOfRange)
	assert.Contains(t, err.Error(), "1ppm@0.5 is 2 uS/cm")
	_, err = StrengthOf(NaCl, -0.1)
	assert.ErrorIs(t, err, ErrOutOfRange)
}

// The limits of every unit are the same solution; its edge is inside.
func TestStrengthLimitsAreInside(t *testing.T) {
	for _, s := range Salts() {
		w := s.density.fraction.High
		for name, f := range map[string]func() (float64, error){
			"mass fraction": func() (float64, error) { return MolalityFromMassFraction(s, w) },
			"mg/L": func() (float64, error) {
				return MolalityFromMassConcentration(s, s.massConcentrationLimits().High)
			},
			"mol/L": func() (float64, error) {
				return MolalityFromAmountConcentration(s, s.massConcentrationLimits().High/(1e3*s.MolarMass))
			},
		} {
			m, err := f()
			require.NoError(t, err, name)
			_, err = StrengthOf(s, m)
			assert.NoError(t, err, name)
		}
	}
}

func FuzzMolality(f *testing.F) {
	for _, text := range []string{"1413uS/cm", "600mg/L", "600mg/kg", "0.01mol/kg", "0.01mol/L", "600ppm@0.5", "600ppm", "25C", "-1mg/L", "9e99mg/L"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		q, err := quantity.Parse(text)
		if err != nil {
			return
		}
		for _, s := range Salts() {
			m, err := Molality(s, q)
			if err != nil {
				continue
			}
			if !(m >= 0) || math.IsInf(m, 0) {
				t.Errorf("%q gives %v mol/kg", text, m)
			}
			if _, err := StrengthOf(s, m); err != nil {
				t.Errorf("%q gives %v mol/kg, which is refused: %v", text, m, err)
			}
		}
	})
}

func FuzzSaltByFormula(f *testing.F) {
	f.Add("NaCl")
	f.Add("kcl ")
	f.Add("K\u212Al")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := SaltByFormula(text)
		if (err == nil) == (s.Formula == "") {
			t.Errorf("%q: salt %q, error %v", text, s.Formula, err)
		}
	})
}
