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
		assert.Equal(t, 1413.0, ec25.Nominal(), "the very figure that was stated")
		assert.Equal(t, 14.13, ec25.U())

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

// A bottle whose conductivity at 25 C is that of the primary table (KCl, Pratt
// et al., IUPAC 2001) has to have the table's at every other temperature: twice
// the claimed uncertainty of the model covers every entry, and once covers two
// thirds. The table's own scatter is not allowed for.
func TestRatioTo25CoversThePrimaryTable(t *testing.T) {
	rows := publishedRows(t, "kcl_primary.csv")
	at25 := make(map[float64]string)
	for _, row := range rows {
		if row.text("t_C") == "25" {
			at25[row.float("molality_mol_kg")] = row.text("kappa_uS_cm")
		}
	}
	require.Len(t, at25, 3)
	within, n := 0, 0
	for _, row := range rows {
		temp := row.float("t_C")
		if temp == 25 {
			continue
		}
		kappa, err := bottle(t, KCl, at25[row.float("molality_mol_kg")]+"uS/cm", 0, nil).Conductivity(uncert.Exact(temp))
		require.NoError(t, err)
		off := math.Abs(kappa.Nominal() - row.float("kappa_uS_cm"))
		assert.LessOrEqual(t, off, 2*kappa.U(), "%s mol/kg at %v C: u %v", row.text("molality_mol_kg"), temp, kappa.U())
		if off <= kappa.U() {
			within++
		}
		n++
	}
	assert.Equal(t, 32, n)
	assert.GreaterOrEqual(t, within, 22)
}

// The part that the model leaves open in the ratio to 25 C vanishes there
// without a jump.
func TestRatioTo25VanishesSmoothly(t *testing.T) {
	for _, s := range Salts() {
		last := 0.0
		for d := 0.0; d <= 5; d += 0.05 {
			u, err := ConductivityRatioU(s, 0.01, 25+d)
			require.NoError(t, err)
			assert.GreaterOrEqual(t, u, last, "%s %v C", s, d)
			assert.LessOrEqual(t, u-last, 0.0001, "%s %v C", s, d)
			last = u
		}
		at25, err := ConductivityRatioU(s, 0.01, 25)
		require.NoError(t, err)
		assert.Zero(t, at25)
		assert.GreaterOrEqual(t, last, 0.0003)
		_, err = ConductivityRatioU(s, 2, 25)
		assert.ErrorIs(t, err, ErrOutOfRange)
	}
}

// The ends of the range and what was found are in the unit that was typed. 1.1
// mol/kg of NaCl is 62.8 g/L: 64.29 g in 1064.29 g of solution of 1.039 kg/L
// (CRC Handbook, 6 % NaCl has 1.0413 at 20 C). 5e-5 mol/kg is 4.985e-5 mol/L and
// has 6.27 uS/cm: 126.4 less 89.2 times its root, S cm2/mol (limiting law).
func TestStrengthIsRefusedInItsOwnUnit(t *testing.T) {
	for text, want := range map[string]string{
		"200g/L":      "strength of NaCl: mass concentration 200 g/L is outside its range, 0.002914 to 62.",
		"2mg/L":       "mass concentration 2 mg/L is outside its range, 2.914 to 62",
		"5mol/kg":     "molality 5 mol/kg is outside its range, 0.00005 to 1.1 mol/kg",
		"5mol/L":      "amount concentration 5 mol/L",
		"1mmol/L":     "",
		"150mS/cm":    "conductivity 150 mS/cm is outside its range, 0.00627",
		"1uS/cm":      "conductivity 1 uS/cm is outside its range, 6.27",
		"9e5ppm@0.5":  "display value 900000 ppm@0.5 is outside its range, 3.13",
		"900000mg/kg": "mass ratio 900000 mg/kg",
	} {
		q, err := quantity.Parse(text, quantity.Strengths()...)
		require.NoError(t, err)
		_, err = NewSaltReference(NaCl, q, uncert.Exact(q.Value), nil)
		if want == "" {
			assert.NoError(t, err, text)
			continue
		}
		require.ErrorIs(t, err, ErrOutOfRange, text)
		assert.ErrorContains(t, err, want, text)
		limits, err := StrengthRange(NaCl, q)
		require.NoError(t, err)
		unit, _ := q.TypedUnit()
		assert.Equal(t, unit, limits.Unit, text)
	}
	_, err := StrengthRange(NaCl, quantity.Quantity{Kind: quantity.Mass, Value: 1})
	assert.ErrorContains(t, err, "not the strength of a solution")
	_, err = StrengthRange(NaCl, quantity.Quantity{Kind: quantity.Display, Value: 1})
	assert.ErrorIs(t, err, quantity.ErrFactor)
}

// The plain sum is too high, by at most one contribution of the water's ions
// among the salt's: that is the truth if the water's ions are sodium chloride.
func TestWaterIonsAreASourceOfTheirOwn(t *testing.T) {
	water := uncert.Must(uncert.New(400, 0, uncert.Source{ID: "water-ec", Label: "conductivity of the water"}))
	r := bottle(t, NaCl, "600mg/L", 0, &water)
	own, err := MolalityFor(NaCl, 400)
	require.NoError(t, err)
	for _, temp := range []float64{5, 25, 40} {
		kappa, err := r.Conductivity(uncert.Exact(temp))
		require.NoError(t, err)
		both, err := Conductivity(NaCl, r.Molality.Nominal()+own, temp)
		require.NoError(t, err)
		alone, err := Conductivity(NaCl, own, temp)
		require.NoError(t, err)
		added, err := WaterConductivity(water, uncert.Exact(temp))
		require.NoError(t, err)
		// The water's own temperature behaviour is another source.
		assert.InDelta(t, kappa.Nominal()-added.Nominal()+alone-both, kappa.Part(WaterIonsID), 1e-6, "%v C", temp)
		assert.Greater(t, kappa.Part(WaterIonsID), 0.01*both)
	}
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
