package solutions

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The stated uncertainty covers what is known: every published value lies
// within twice the combination of the model's and the table's own, and at
// least two thirds within once. The tables that took no part in the derivation
// count too.
func TestUncertaintyCoversThePublishedValues(t *testing.T) {
	within, n := 0, 0
	check := func(what string, s Salt, m, temp, relDeviation, uTable float64) {
		u, err := ConductivityU(s, min(max(m, ModelMolalityRange.Low), ModelMolalityRange.High), temp)
		require.NoError(t, err)
		u = math.Hypot(u, uTable)
		n++
		if math.Abs(relDeviation) <= u {
			within++
		}
		assert.LessOrEqual(t, math.Abs(relDeviation), 2*u, "%s %s %v mol/kg %v C", what, s, m, temp)
	}
	for _, row := range publishedRows(t, "kcl_primary.csv") {
		m, temp := row.float("molality_mol_kg"), row.float("t_C")
		d := mustConductivity(t, KCl, m, temp)/row.float("kappa_uS_cm") - 1
		check("primary", KCl, m, temp, d, row.float("U_percent")/200)
	}
	for _, row := range publishedRows(t, "kcl_demal.csv") {
		m, err := MolalityFromMassFraction(KCl, row.float("g_KCl_per_kg_solution")/1000)
		require.NoError(t, err)
		d := mustConductivity(t, KCl, m, row.float("t_C"))/row.float("kappa_uS_cm") - 1
		check("demal", KCl, m, row.float("t_C"), d, 0.00025)
	}
	for _, row := range publishedRows(t, "molar_conductivity.csv") {
		c, temp, lambda := row.float("c_mol_L"), row.float("t_C"), row.float("Lambda_S_cm2_mol")
		uTable := 0.0002
		switch {
		case c > 1:
			continue
		case c > 0.1:
			uTable = 0.0005 // the unsure ohm
		case row.text("source") == "gordon":
			lambda /= internationalOhm
		}
		s, err := SaltByFormula(row.text("salt"))
		require.NoError(t, err)
		// Molality and amount concentration differ by 2 % at most, which
		// does not matter for an uncertainty.
		check(row.text("source"), s, c, temp, molarOrLimit(t, s, c, temp)/lambda-1, uTable)
	}
	for _, row := range publishedRows(t, "limiting_conductivity.csv") {
		temp := row.float("t_C")
		if temp == 18 || temp > 50 {
			continue
		}
		for cation, s := range map[string]Salt{"Na": NaCl, "K": KCl} {
			lambda := (row.float(cation) + row.float("Cl")) / internationalOhm
			check("limiting", s, 0, temp, molarOrLimit(t, s, 0, temp)/lambda-1, 0.041/lambda)
		}
	}
	assert.GreaterOrEqual(t, float64(within)/float64(n), 0.68, "%d of %d", within, n)
	assert.Greater(t, n, 70)
}

// Figures that the documentation states, and the behaviour it promises: small
// at 25 C, growing to the edges, never zero.
func TestUncertaintyIsAsDocumented(t *testing.T) {
	for _, c := range []struct {
		s       Salt
		m, temp float64
		percent float64
	}{
		{KCl, 0.01, 25, 0.05}, {KCl, 0.1, 25, 0.05}, {KCl, 1, 25, 0.05}, {KCl, 0.1, 45, 0.05}, {KCl, 1, 0, 0.06}, {KCl, 1e-4, 25, 0.10},
		{NaCl, 0.01, 25, 0.10}, {NaCl, 0.1, 25, 0.10}, {NaCl, 1, 25, 0.15}, {NaCl, 0.01, 45, 0.25}, {NaCl, 0.01, 5, 0.25}, {NaCl, 1, 50, 0.56},
	} {
		u, err := ConductivityU(c.s, c.m, c.temp)
		require.NoError(t, err)
		assert.InDelta(t, c.percent, 100*u, 0.0055, "%s %v mol/kg %v C", c.s, c.m, c.temp)
	}
	grid(func(s Salt, m, temp float64) {
		u := s.conductance.u.at(m, temp)
		if u < 0.0004 || u > 0.007 {
			t.Errorf("%s %v mol/kg %v C: %v", s, m, temp, u)
		}
	})
}

// No jumps: a step of 0.1 C or of 1 % in molality changes it by at most 3 %.
func TestUncertaintyIsSmooth(t *testing.T) {
	grid(func(s Salt, m, temp float64) {
		u := s.conductance.u.at(m, temp)
		for _, v := range []float64{s.conductance.u.at(m*1.01, temp), s.conductance.u.at(m, temp+0.1)} {
			if math.Abs(v/u-1) > 0.03 {
				t.Errorf("%s %v mol/kg %v C: %v then %v", s, m, temp, u, v)
			}
		}
	})
}
