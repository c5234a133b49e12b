package solutions

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// This file holds the model against published values, each by name, and prints
// the comparison as Markdown: testdata/golden/conductance_accuracy.md.

// deviation is model over published value, minus 1, in percent.
func deviation(model, published float64) float64 { return (model/published - 1) * 100 }

func mustConductivity(t *testing.T, s Salt, m, temp float64) float64 {
	t.Helper()
	kappa, err := Conductivity(s, m, temp)
	require.NoError(t, err)
	return kappa
}

// molarOrLimit is Λ at c, or Λ° for c = 0.
func molarOrLimit(t *testing.T, s Salt, c, temp float64) float64 {
	t.Helper()
	if c == 0 {
		l, err := LimitingConductivity(s, temp)
		require.NoError(t, err)
		return l
	}
	l, err := MolarConductivity(s, c, temp)
	require.NoError(t, err)
	return l
}

// IUPAC 2001 (Pratt et al., Pure Appl. Chem. 73, 1783): every primary value
// within 0.06 %, and in fact within its stated uncertainty.
func TestKClAgainstThePrimaryTable(t *testing.T) {
	rows := publishedRows(t, "kcl_primary.csv")
	require.Len(t, rows, 35)
	for _, row := range rows {
		m, temp := row.float("molality_mol_kg"), row.float("t_C")
		d := deviation(mustConductivity(t, KCl, m, temp), row.float("kappa_uS_cm"))
		assert.LessOrEqual(t, math.Abs(d), row.float("U_percent"), "%v mol/kg, %v C: %+.4f %%", m, temp, d)
	}
}

// CRC Handbook, equivalent conductivities at 25 C: NaCl within 0.05 % from
// 0.0005 to 0.1 mol/L. KCl: that column lies 0.04 % below the primary table,
// which the model follows.
func TestHandbookEquivalentConductivities(t *testing.T) {
	limit := map[string]float64{"NaCl": 0.05, "KCl": 0.06}
	n := 0
	for _, row := range publishedRows(t, "molar_conductivity.csv") {
		if row.text("source") != "handbook" {
			continue
		}
		n++
		s, err := SaltByFormula(row.text("salt"))
		require.NoError(t, err)
		d := deviation(molarOrLimit(t, s, row.float("c_mol_L"), row.float("t_C")), row.float("Lambda_S_cm2_mol"))
		assert.LessOrEqual(t, math.Abs(d), limit[s.Formula], "%s %s mol/L: %+.4f %%", s, row.text("c_mol_L"), d)
	}
	assert.Equal(t, 16, n)
}

// Robinson and Stokes, Electrolyte Solutions (1959) app. 6.3, 0.2 to 1 mol/L
// at 25 C, from memory and perhaps in international ohm: within 0.11 %, which
// is that doubt and 0.06 %.
func TestRobinsonStokesStrongSolutions(t *testing.T) {
	n := 0
	for _, row := range publishedRows(t, "molar_conductivity.csv") {
		if row.text("source") != "strong" || row.float("c_mol_L") > 1 {
			continue
		}
		n++
		s, err := SaltByFormula(row.text("salt"))
		require.NoError(t, err)
		d := deviation(molarOrLimit(t, s, row.float("c_mol_L"), 25), row.float("Lambda_S_cm2_mol"))
		assert.LessOrEqual(t, math.Abs(d), 0.11, "%s %s mol/L: %+.4f %%", s, row.text("c_mol_L"), d)
	}
	assert.Equal(t, 6, n)
}

// Gunning and Gordon, J. Chem. Phys. 10 (1942) 126: limiting NaCl at 15, 25,
// 35 and 45 C within 0.1 %.
func TestNaClAgainstGunningAndGordon(t *testing.T) {
	n := 0
	for _, row := range publishedRows(t, "molar_conductivity.csv") {
		if row.text("source") != "gordon" {
			continue
		}
		n++
		d := deviation(molarOrLimit(t, NaCl, 0, row.float("t_C")), row.float("Lambda_S_cm2_mol")/internationalOhm)
		assert.LessOrEqual(t, math.Abs(d), 0.1, "%s C: %+.4f %%", row.text("t_C"), d)
	}
	assert.Equal(t, 4, n)
}

// Robinson and Stokes (1959) app. 6.2, limiting conductivities: within 0.3 %
// from 5 to 45 C, in international as well as in absolute ohm. At 0 C the Na+
// row is out of line (see robinsonStokes) and at 18 C both rows are.
func TestLimitingConductivitiesAgainstRobinsonStokes(t *testing.T) {
	for _, row := range publishedRows(t, "limiting_conductivity.csv") {
		temp := row.float("t_C")
		if temp > ModelTempRange.High || temp == 18 {
			continue
		}
		for cation, s := range map[string]Salt{"Na": NaCl, "K": KCl} {
			published := row.float(cation) + row.float("Cl")
			model := molarOrLimit(t, s, 0, temp)
			limit := 0.3
			if temp == 0 {
				limit = 0.6
			}
			assert.LessOrEqual(t, math.Abs(deviation(model, published)), limit, "%s %v C", s, temp)
			assert.LessOrEqual(t, math.Abs(deviation(model, published/internationalOhm)), limit, "%s %v C", s, temp)
		}
	}
}

// The remaining checks are against values that took no part in the derivation.

// OIML R 56 / Jones and Bradshaw (1933), KCl demal solutions: within 0.1 %.
func TestKClAgainstDemalStandards(t *testing.T) {
	rows := publishedRows(t, "kcl_demal.csv")
	require.Len(t, rows, 9)
	for _, row := range rows {
		m, err := MolalityFromMassFraction(KCl, row.float("g_KCl_per_kg_solution")/1000)
		require.NoError(t, err)
		d := deviation(mustConductivity(t, KCl, m, row.float("t_C")), row.float("kappa_uS_cm"))
		assert.LessOrEqual(t, math.Abs(d), 0.1, "%s, %s C: %+.4f %%", row.text("name"), row.text("t_C"), d)
	}
}

// The Practical Salinity Scale 1978 fixes the conductivity ratio of sea water
// by a KCl solution of 32.4356 g/kg, equal to sea water of salinity 35 at 15 C
// (IPTS-68; 14.996 C on ITS-90): F. Culkin, N.D. Smith, IEEE J. Oceanic Eng.
// OE-5 (1980) 22 found 42.914 mS/cm (from memory). The strength, 0.45 mol/kg,
// lies between those of the primary table.
func TestKClAgainstThePracticalSalinityScale(t *testing.T) {
	m, err := MolalityFromMassFraction(KCl, 0.0324356)
	require.NoError(t, err)
	d := deviation(mustConductivity(t, KCl, m, 14.996), 42914)
	assert.LessOrEqual(t, math.Abs(d), 0.05, "%+.4f %%", d)
}

// Kohlrausch at 18 C: the ratio of NaCl to KCl, in which the error of his cell
// constants cancels, within 0.15 % from 0.001 to 1 mol/L; the values themselves
// within 0.35 %.
func TestNaClToKClRatioAgainstKohlrausch(t *testing.T) {
	rows := publishedRows(t, "kohlrausch_18C.csv")
	require.Len(t, rows, 6)
	for _, row := range rows {
		c := row.float("c_mol_L")
		nacl, kcl := molarOrLimit(t, NaCl, c, 18), molarOrLimit(t, KCl, c, 18)
		d := deviation(nacl/kcl, row.float("NaCl")/row.float("KCl"))
		assert.LessOrEqual(t, math.Abs(d), 0.15, "%v mol/L: %+.4f %%", c, d)
		assert.InEpsilon(t, row.float("NaCl")/internationalOhm, nacl, 0.0035)
		assert.InEpsilon(t, row.float("KCl")/internationalOhm, kcl, 0.0035)
	}
}

// J. Johnston, J. Am. Chem. Soc. 31 (1909) 1010 (from memory): at 0 C K+ 40.4,
// Na+ 26.0, Cl- 41.1. The ratio of the limiting conductivities, 0.8233, within
// its rounding (0.1 %) and our uncertainty.
func TestNaClToKClRatioAtZeroAgainstJohnston(t *testing.T) {
	d := deviation(molarOrLimit(t, NaCl, 0, 0)/molarOrLimit(t, KCl, 0, 0), (26.0+41.1)/(40.4+41.1))
	assert.LessOrEqual(t, math.Abs(d), 0.2, "%+.4f %%", d)
}

// McCleskey 2011 is good to 1 or 2 %: no more is asked. Of it the derivation
// used only the shape of NaCl at 1 mol/kg.
func TestBothSaltsAgainstMcCleskey2011(t *testing.T) {
	for formula, molar := range electrolyte2011(t) {
		s, err := SaltByFormula(formula)
		require.NoError(t, err)
		for _, m := range []float64{1e-4, 1e-3, 0.01, 0.1, 0.5, 1} {
			for temp := 5.0; temp <= 50; temp += 5 {
				d := deviation(mustConductivity(t, s, m, temp), 1000*s.amountConcentration(m, temp)*molar(m, temp))
				assert.LessOrEqual(t, math.Abs(d), 2.0, "%s %v mol/kg %v C: %+.3f %%", s, m, temp, d)
			}
		}
	}
}

// The comparison as a table for people, the one in the README.
func TestAccuracyTable(t *testing.T) {
	var b strings.Builder
	primary := map[[2]float64]float64{}
	var temps []float64
	for _, row := range publishedRows(t, "kcl_primary.csv") {
		key := [2]float64{row.float("molality_mol_kg"), row.float("t_C")}
		primary[key] = row.float("kappa_uS_cm")
		if key[0] == 0.01 {
			temps = append(temps, key[1])
		}
	}
	b.WriteString("KCl against the IUPAC primary table (2001), uS/cm and model minus published in %:\n\n")
	b.WriteString("| t, C | 0.01 mol/kg | % | 0.1 mol/kg | % | 1 mol/kg | % |\n|---|---|---|---|---|---|---|\n")
	for _, temp := range temps {
		fmt.Fprintf(&b, "| %v |", temp)
		for _, m := range []float64{0.01, 0.1, 1} {
			kappa, ok := primary[[2]float64{m, temp}]
			if !ok {
				b.WriteString(" | |")
				continue
			}
			fmt.Fprintf(&b, " %v | %+.3f |", kappa, deviation(mustConductivity(t, KCl, m, temp), kappa))
		}
		b.WriteString("\n")
	}
	b.WriteString("\nEquivalent conductivity at 25 C (CRC Handbook; above 0.1 mol/L Robinson and Stokes 1959), S cm2/mol:\n\n")
	b.WriteString("| c, mol/L | NaCl | % | KCl | % |\n|---|---|---|---|---|\n")
	byC := map[string]map[string]float64{}
	var order []string
	for _, row := range publishedRows(t, "molar_conductivity.csv") {
		if row.text("source") == "gordon" || row.float("c_mol_L") > 1 {
			continue
		}
		c := row.text("c_mol_L")
		if byC[c] == nil {
			byC[c] = map[string]float64{}
			order = append(order, c)
		}
		byC[c][row.text("salt")] = row.float("Lambda_S_cm2_mol")
	}
	for _, text := range order {
		var c float64
		_, err := fmt.Sscan(text, &c)
		require.NoError(t, err)
		fmt.Fprintf(&b, "| %v |", c)
		for _, s := range Salts() {
			fmt.Fprintf(&b, " %.2f | %+.3f |", byC[text][s.Formula], deviation(molarOrLimit(t, s, c, 25), byC[text][s.Formula]))
		}
		b.WriteString("\n")
	}
	b.WriteString("\nLimiting conductivity of NaCl by temperature (absolute ohm), S cm2/mol:\n\n")
	b.WriteString("| t, C | Gunning and Gordon 1942 | % | Robinson and Stokes 1959 | % |\n|---|---|---|---|---|\n")
	gordon := map[float64]float64{}
	for _, row := range publishedRows(t, "molar_conductivity.csv") {
		if row.text("source") == "gordon" {
			gordon[row.float("t_C")] = row.float("Lambda_S_cm2_mol") / internationalOhm
		}
	}
	for _, row := range publishedRows(t, "limiting_conductivity.csv") {
		temp := row.float("t_C")
		if temp == 18 || temp > ModelTempRange.High {
			continue
		}
		model := molarOrLimit(t, NaCl, 0, temp)
		fmt.Fprintf(&b, "| %v |", temp)
		if g, ok := gordon[temp]; ok {
			fmt.Fprintf(&b, " %.2f | %+.3f |", g, deviation(model, g))
		} else {
			b.WriteString(" | |")
		}
		rs := (row.float("Na") + row.float("Cl")) / internationalOhm
		fmt.Fprintf(&b, " %.2f | %+.3f |\n", rs, deviation(model, rs))
	}
	t.Log("\n" + b.String())
	golden(t, "conductance_accuracy.md", b.String())
}
