package solutions

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/uncert"
)

func TestSaltByFormula(t *testing.T) {
	for text, want := range map[string]string{"NaCl": "NaCl", "nacl": "NaCl", " KCL ": "KCl"} {
		s, err := SaltByFormula(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, s.String())
	}
	for _, text := range []string{"", "NaCI", "sugar", "CaCl2"} {
		_, err := SaltByFormula(text)
		require.ErrorIs(t, err, ErrUnknownSalt, text)
		assert.Contains(t, err.Error(), "want NaCl or KCl")
	}
}

// IUPAC atomic weights Na 22.98977, K 39.0983, Cl 35.453; the conventional
// Cl 35.45 of today is within the stated uncertainty.
func TestMolarMasses(t *testing.T) {
	assert.InDelta(t, 22.98977+35.453, NaCl.MolarMass, 5e-5)
	assert.InDelta(t, 39.0983+35.453, KCl.MolarMass, 5e-5)
	assert.InDelta(t, 22.98977+35.45, NaCl.MolarMass, 1.01*NaCl.UMolarMass)
	assert.InDelta(t, 39.0983+35.45, KCl.MolarMass, 1.01*KCl.UMolarMass)
}

// CRC Handbook, 98th ed., molality of saturated NaCl by temperature; and
// Potter, Babcock, Brown, J. Res. USGS 5 (1977) 389: 26.46 mass percent at
// 25 C. KCl: CRC Handbook 26.22 mass percent at 25 C.
func TestSolubility(t *testing.T) {
	for temp, m := range map[float64]float64{10: 6.11, 15: 6.121, 20: 6.136, 25: 6.153, 30: 6.174, 35: 6.197, 40: 6.222} {
		got, err := Solubility(NaCl, temp)
		require.NoError(t, err)
		assert.InDelta(t, m, got, 0.012, "%v C", temp)
	}
	got, err := Solubility(NaCl, 25)
	require.NoError(t, err)
	w, err := MassFraction(NaCl, got)
	require.NoError(t, err)
	assert.InDelta(t, 0.2646, w, 0.0002)
	got, err = Solubility(KCl, 25)
	require.NoError(t, err)
	assert.InDelta(t, 1000*0.2622/(0.7378*KCl.MolarMass), got, 1e-9)

	for _, temp := range []float64{-0.01, 40.01, math.NaN(), math.Inf(1)} {
		_, err := Solubility(KCl, temp)
		assert.ErrorIs(t, err, ErrOutOfRange, "%v", temp)
	}
}

// OIML D 28 with the densities of the CRC Handbook, worked by hand: weighing
// salt with steel weights reads 0.040 % (NaCl), 0.045 % (KCl) low, water 0.105 %.
func TestBuoyancyFactors(t *testing.T) {
	f, err := NaCl.BuoyancyFactor()
	require.NoError(t, err)
	assert.InDelta(t, 1.000403, f, 1e-6)
	f, err = KCl.BuoyancyFactor()
	require.NoError(t, err)
	assert.InDelta(t, 1.000454, f, 1e-6)
	f, err = WaterBuoyancyFactor(20)
	require.NoError(t, err)
	assert.InDelta(t, 1.001053, f, 1e-6)
	f, err = BuoyancyFactor(WeightDensity, 1.1)
	require.NoError(t, err)
	assert.Equal(t, 1.0, f, "a body as dense as the weights")

	for _, c := range []struct{ rho, air float64 }{{1, 1.2}, {-2000, 1.2}, {math.NaN(), 1.2}, {math.Inf(1), 1.2}, {2000, 0}, {2000, math.NaN()}, {2000, 1200}} {
		_, err := BuoyancyFactor(c.rho, c.air)
		assert.ErrorIs(t, err, ErrOutOfRange, "%v", c)
	}
	_, err = WaterBuoyancyFactor(41)
	assert.ErrorIs(t, err, ErrOutOfRange)
}

// A Salt built by hand has no model; nothing may be computed from it.
func TestForeignSaltIsRefusedEverywhere(t *testing.T) {
	s := Salt{Formula: "LiCl", MolarMass: 42.394}
	exact := uncert.Exact
	for name, err := range map[string]error{
		"Conductivity":                  second(Conductivity(s, 0.01, 25)),
		"ConductivityU":                 second(ConductivityU(s, 0.01, 25)),
		"ConductivityValue":             second(ConductivityValue(s, exact(0.01), exact(25))),
		"ConductivityRange":             second(ConductivityRange(s, 25)),
		"MolarConductivity":             second(MolarConductivity(s, 0.01, 25)),
		"LimitingConductivity":          second(LimitingConductivity(s, 25)),
		"Alpha":                         second(Alpha(s, 0.01, 20, 25)),
		"MolalityFor":                   second(MolalityFor(s, 1413)),
		"MassFraction":                  second(MassFraction(s, 0.01)),
		"MassFractionRange":             second(MassFractionRange(s)),
		"StrengthOf":                    second(StrengthOf(s, 0.01)),
		"MolalityFromMassFraction":      second(MolalityFromMassFraction(s, 0.01)),
		"MolalityFromMassConcentration": second(MolalityFromMassConcentration(s, 600)),
		"MolalityFromAmountConc":        second(MolalityFromAmountConcentration(s, 0.01)),
		"MolalityFromDisplay":           second(MolalityFromDisplay(s, 600, 0.5)),
		"SolutionDensity":               second(SolutionDensity(s, 0.01, 25)),
		"SolutionDensityU":              second(SolutionDensityU(s, 0.01, 25)),
		"Solubility":                    second(Solubility(s, 25)),
	} {
		assert.True(t, errors.Is(err, ErrUnknownSalt), "%s: %v", name, err)
	}
}
