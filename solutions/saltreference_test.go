package solutions

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
)

func bottle(t *testing.T, s Salt, strength string, u float64, water *uncert.Value) SaltReference {
	t.Helper()
	q, err := quantity.Parse(strength, quantity.Strengths()...)
	require.NoError(t, err)
	v := uncert.Must(uncert.New(q.Value, u, uncert.Source{ID: StrengthID, Label: "strength"}))
	r, err := NewSaltReference(s, q, v, water)
	require.NoError(t, err)
	return r
}

func at20(t *testing.T, u float64) uncert.Value {
	t.Helper()
	return uncert.Must(uncert.New(20, u, uncert.Source{ID: TemperatureID, Label: "thermometer"}))
}

// IUPAC 2001 (Pratt et al.), KCl 0.01 mol/kg: 1408.23 uS/cm at 25 C and
// 1273.03 at 20 C, without the water's own conductivity.
func TestSaltReferenceAgainstPrimaryStandard(t *testing.T) {
	r := bottle(t, KCl, "0.01mol/kg", 0, nil)
	ec25, err := r.EC25()
	require.NoError(t, err)
	assert.InEpsilon(t, 1408.23, ec25.Nominal(), 0.0006)
	kappa, err := r.Conductivity(at20(t, 0))
	require.NoError(t, err)
	assert.InEpsilon(t, 1273.03, kappa.Nominal(), 0.0006)
}

// A strength in uS/cm is the salt's own conductivity at 25 C: the model then
// adds no uncertainty there, and only its temperature part elsewhere.
func TestStrengthAsConductivityNeedsNoModelAt25(t *testing.T) {
	for _, strength := range []string{"1413uS/cm", "706.5ppm@0.5"} {
		u := 14.13
		if strength != "1413uS/cm" {
			u = 7.065
		}
		r := bottle(t, NaCl, strength, u, nil)
		ec25, err := r.EC25()
		require.NoError(t, err)
		assert.InDelta(t, 1413, ec25.Nominal(), 1e-6)
		assert.InEpsilon(t, 14.13, ec25.U(), 1e-4)

		kappa, err := r.Conductivity(uncert.Exact(5))
		require.NoError(t, err)
		assert.InEpsilon(t, 0.01, kappa.Part(StrengthID)/kappa.Nominal(), 0.01)
		model := kappa.Part("model:NaCl") / kappa.Nominal()
		whole, err := ConductivityU(NaCl, r.Molality.Nominal(), 5)
		require.NoError(t, err)
		assert.Positive(t, model)
		assert.Less(t, model, whole)
	}
}

// A strength by mass needs the model, and 1 % of strength is about 1 % of
// conductivity (a little less: stronger solutions conduct less per gram).
func TestStrengthByMassCarriesTheModel(t *testing.T) {
	r := bottle(t, NaCl, "600mg/L", 6, nil)
	ec25, err := r.EC25()
	require.NoError(t, err)
	assert.InDelta(t, 0.0098, ec25.Part(StrengthID)/ec25.Nominal(), 0.0002)
	want, err := ConductivityU(NaCl, r.Molality.Nominal(), 25)
	require.NoError(t, err)
	assert.InEpsilon(t, want, ec25.Part("model:NaCl")/ec25.Nominal(), 1e-9)
}

func TestWaterAddsToTheSalt(t *testing.T) {
	alone := bottle(t, NaCl, "600mg/L", 0, nil)
	water := uncert.Must(uncert.New(8, 2, uncert.Source{ID: "water-ec", Label: "conductivity of the water"}))
	with := bottle(t, NaCl, "600mg/L", 0, &water)
	a, err := alone.EC25()
	require.NoError(t, err)
	b, err := with.EC25()
	require.NoError(t, err)
	assert.InDelta(t, 8, b.Nominal()-a.Nominal(), 1e-9)
	assert.InDelta(t, 2, b.Part("water-ec"), 1e-9)
	// Cooler water conducts less: at 5 C about 0.6 of its value at 25 C.
	cold, err := with.Conductivity(uncert.Exact(5))
	require.NoError(t, err)
	coldAlone, err := alone.Conductivity(uncert.Exact(5))
	require.NoError(t, err)
	assert.InDelta(t, 0.62*8, cold.Nominal()-coldAlone.Nominal(), 0.3)
}

// Half a degree is one percent (common practice): NaCl changes by about 2.1 %
// per degree of its value near 20 C.
func TestTemperatureIsTheLargestError(t *testing.T) {
	r := bottle(t, NaCl, "600mg/L", 0, nil)
	kappa, err := r.Conductivity(at20(t, 0.5))
	require.NoError(t, err)
	assert.InDelta(t, 0.0108, kappa.Part(TemperatureID)/kappa.Nominal(), 0.0005)
}

func TestUnstatedSourcesAreKept(t *testing.T) {
	q, err := quantity.Parse("600mg/L", quantity.Strengths()...)
	require.NoError(t, err)
	r, err := NewSaltReference(NaCl, q, uncert.Unstated(q.Value, uncert.Source{ID: StrengthID, Label: "strength"}), nil)
	require.NoError(t, err)
	kappa, err := r.Conductivity(uncert.Unstated(18, uncert.Source{ID: TemperatureID, Label: "temperature"}))
	require.NoError(t, err)
	var ids []string
	for _, s := range kappa.Unstated() {
		ids = append(ids, s.ID)
	}
	assert.ElementsMatch(t, []string{StrengthID, TemperatureID}, ids)
	model, err := ConductivityU(NaCl, r.Molality.Nominal(), 18)
	require.NoError(t, err)
	assert.InEpsilon(t, model*kappa.Nominal(), kappa.U(), 1e-9)
}

func TestSaltReferenceRefusals(t *testing.T) {
	for _, strength := range []string{"0mg/L", "0uS/cm", "200g/L", "5mol/kg", "1uS/cm", "150mS/cm"} {
		q, err := quantity.Parse(strength, quantity.Strengths()...)
		require.NoError(t, err, strength)
		_, err = NewSaltReference(NaCl, q, uncert.Exact(q.Value), nil)
		assert.ErrorIs(t, err, ErrOutOfRange, strength)
	}
	r := bottle(t, NaCl, "600mg/L", 0, nil)
	for _, tempC := range []float64{-1, 50.1, 77, math.NaN()} {
		_, err := r.Conductivity(uncert.Exact(tempC))
		assert.ErrorIs(t, err, ErrOutOfRange, "%v C", tempC)
	}
	_, err := r.Conductivity(uncert.Exact(77))
	assert.ErrorContains(t, err, "give it as 25C")
	q, err := quantity.Parse("600mg/L", quantity.Strengths()...)
	require.NoError(t, err)
	_, err = NewSaltReference(NaCl, q, uncert.Exact(601), nil)
	assert.ErrorContains(t, err, "601")
	_, err = NewSaltReference(Salt{Formula: "sugar"}, q, uncert.Exact(600), nil)
	assert.ErrorIs(t, err, ErrUnknownSalt)
}
