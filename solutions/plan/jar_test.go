package plan

import (
	"math"
	"testing"

	"github.com/brinemark/brinemark/solutions"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Codex Stan 150-1985, 3.1: not less than 97 % NaCl on a dry matter basis. A
// rectangle from 97 to 100 % has its middle at 98.5 % and the standard
// uncertainty 1.5 %/√3 = 0.866 % (JCGM 100:2008 4.3.7).
func TestFoodGradeIsTheCodexMinimum(t *testing.T) {
	jar, err := NewJar(solutions.NaCl, JarSpec{Grade: "food"})
	require.NoError(t, err)
	assert.InDelta(t, 0.985, jar.Purity.Nominal(), 1e-12)
	assert.InDelta(t, 0.00866, jar.Purity.U(), 5e-6)
	assert.Contains(t, jar.Assumptions[0], "Codex Stan 150")
	assert.Contains(t, jar.Warnings[0], "anti-caking")
	assert.Contains(t, jar.Warnings[0], "iodine")
}

// JECFA specification of potassium chloride (INS 508), FNP 52: assay not less
// than 99.0 % on the dried basis.
func TestFoodGradeOfPotassiumChlorideIsTheAdditiveSpecification(t *testing.T) {
	jar, err := NewJar(solutions.KCl, JarSpec{Grade: "food"})
	require.NoError(t, err)
	assert.InDelta(t, 0.995, jar.Purity.Nominal(), 1e-12)
	assert.InDelta(t, 0.005/math.Sqrt(3), jar.Purity.U(), 1e-12)
}

func TestUnknownExactAndZeroPurityAreThreeThings(t *testing.T) {
	unknown, err := NewJar(solutions.NaCl, JarSpec{Purity: given(0.99)})
	require.NoError(t, err)
	assert.Len(t, unknown.Purity.Unstated(), 1)
	assert.Contains(t, unknown.Warnings[0], "unknown, not zero")

	exact, err := NewJar(solutions.NaCl, JarSpec{Purity: given(0.99), UPurity: given(0)})
	require.NoError(t, err)
	assert.Empty(t, exact.Purity.Unstated())
	assert.Zero(t, exact.Purity.U())
	assert.Empty(t, exact.Warnings)

	none, err := NewJar(solutions.NaCl, JarSpec{})
	require.NoError(t, err)
	assert.Equal(t, GradeReagent, none.Grade)
	assert.Contains(t, none.Warnings[0], "neither grade nor purity")
}

func TestGivenPurityOverridesTheGrade(t *testing.T) {
	jar, err := NewJar(solutions.NaCl, JarSpec{Grade: "food", Purity: given(0.997), UPurity: given(0.001)})
	require.NoError(t, err)
	assert.InDelta(t, 0.997, jar.Purity.Nominal(), 1e-12)
	assert.InDelta(t, 0.001, jar.Purity.U(), 1e-12)
}

func TestJarsThatAreRefused(t *testing.T) {
	for _, c := range []struct {
		name string
		spec JarSpec
		want string
	}{
		{"over 100 %", JarSpec{Purity: given(1.2)}, "purity 120 % is outside its range, 50 to 100 %"},
		{"zero", JarSpec{Purity: given(0)}, "purity 0 %"},
		{"negative", JarSpec{Purity: given(-0.5)}, "purity -50 %"},
		{"not a number", JarSpec{Purity: given(math.NaN())}, "purity NaN %"},
		{"infinite", JarSpec{Purity: given(math.Inf(1))}, "purity +Inf %"},
		{"u without purity", JarSpec{UPurity: given(0.01)}, "without the purity"},
		{"u negative", JarSpec{Purity: given(0.99), UPurity: given(-0.01)}, "uncertainty of the purity -1 %"},
		{"u infinite", JarSpec{Purity: given(0.99), UPurity: given(math.Inf(1))}, "+Inf %"},
		{"u not a number", JarSpec{Purity: given(0.99), UPurity: given(math.NaN())}, "NaN %"},
		{"moisture too high", JarSpec{Moisture: given(0.5)}, "moisture 50 %"},
		{"moisture negative", JarSpec{Moisture: given(-0.01)}, "moisture -1 %"},
		{"u without moisture", JarSpec{UMoisture: given(0.01)}, "without the moisture"},
		{"u of moisture too large", JarSpec{Moisture: given(0.01), UMoisture: given(0.5)}, "uncertainty of the moisture 50 %"},
		{"unknown grade", JarSpec{Grade: "gourmet"}, "known: food, reagent"},
	} {
		_, err := NewJar(solutions.NaCl, c.spec)
		assert.ErrorContains(t, err, c.want, c.name)
	}
}

func TestKitchenSaltsThatAreNoReferenceAreToldApart(t *testing.T) {
	for word, reason := range map[string]string{
		"sea": "magnesium", "Sea salt": "magnesium", "rock-salt": "magnesium",
		"curing": "nitrite", "nitrite salt": "nitrite",
		"low-sodium": "potassium chloride", "lite": "potassium chloride",
		"himalayan": "magnesium", "Himalayan pink salt": "magnesium", "black salt": "magnesium",
		"pink curing salt": "nitrite", "Prague powder": "nitrite", "prague-powder #1": "nitrite",
	} {
		_, err := NewJar(solutions.NaCl, JarSpec{Grade: word})
		require.ErrorIs(t, err, ErrNotAReference, word)
		assert.ErrorContains(t, err, reason, word)
		assert.ErrorContains(t, err, "refined table salt", word)
	}
	for _, word := range []string{"table salt", "kosher", "Kosher salt", "pickling salt"} {
		assert.NoError(t, Refused(word))
		_, err := SaltByName(word)
		assert.ErrorContains(t, err, "say --salt NaCl --grade food", word)
	}
	for _, word := range []string{"iodised", "iodized salt", "table"} {
		jar, err := NewJar(solutions.NaCl, JarSpec{Grade: word})
		require.NoError(t, err)
		assert.Equal(t, GradeFood, jar.Grade, word)
		_, err = NewJar(solutions.KCl, JarSpec{Grade: word})
		assert.ErrorContains(t, err, "of KCl is not known", word)
	}
	kcl, err := SaltByName("kcl")
	require.NoError(t, err)
	assert.Equal(t, "KCl", kcl.Formula)
	_, err = SaltByName("salt")
	assert.ErrorIs(t, err, solutions.ErrUnknownSalt)
	assert.NoError(t, Refused("food"))
	assert.NoError(t, Refused(""))
}

// The expected value of a bottle is that of its pure salt; what the impurities
// carry widens it. A jar of 99 % can gain 1 % at most if the rest conducts like
// the salt, and the uncertainty covers that at k = 1.73.
func TestImpuritiesWidenAndDoNotShift(t *testing.T) {
	b := benchOf(t, solutions.NaCl, JarSpec{Purity: given(0.99), UPurity: given(0), Moisture: given(0), UMoisture: given(0)},
		ScaleSpec{UG: given(0)}, WaterSpec{EC25: given(0), UEC25: given(0)})
	m, err := b.Bottle("bottle 1", nil, Weighed{SaltG: []float64{1}, WaterG: []float64{999}})
	require.NoError(t, err)
	w, err := b.Worth(m.Liquid)
	require.NoError(t, err)
	pure, err := solutions.Conductivity(solutions.NaCl, w.Molality.Nominal(), 25)
	require.NoError(t, err)
	assert.InDelta(t, pure, w.EC25.Nominal(), 1e-9)
	assert.InDelta(t, 0.01/0.99/math.Sqrt(3), w.EC25.Part(kindImpurities.id("NaCl"))/pure, 1e-9)
}
