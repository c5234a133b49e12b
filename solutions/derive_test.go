package solutions

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// This file derives the coefficients of coefficients.go from the tables in
// testdata/published, by weighted linear least squares:
//
//	go test ./solutions -run TestCoefficientsAreRederived -v
//
// prints them as they have to stand in coefficients.go.

// internationalOhm is the size of the international ohm (up to 1947) in
// ohms: conductivities in its reciprocal are too high by this factor.
const internationalOhm = 1.00049

// Relative standard uncertainties that weight the observations.
const (
	uPrimary  = 0.0002 // IUPAC table: "about 0.03 %" (0.04 %), smooth within 0.01 %
	uHandbook = 0.0002 // up to 0.1 mol/L at 25 C; KCl lies 0.04 % below the IUPAC table
	uStrong   = 0.001  // above 0.1 mol/L: from memory, of unsure ohm
	uStrongNa = 0.0008 // the same for NaCl, which has no other source there
	uOutside  = 0.003  // 1.5 mol/L, outside the model's range: it keeps the end of the curve straight
	uGordon   = 0.0004 // limiting NaCl 15, 35, 45 C
	uLimiting = 0.0005 // Robinson and Stokes, to which the rounding to 0.1 is added
	uSodium0  = 0.004  // limiting NaCl at 0 C and
	uSodium5  = 0.002  // at 5 C: one of the two is out of line, see robinsonStokes
	uShape    = 0.004  // shape with temperature of NaCl at 1 mol/kg
)

// observation is one published Λ(c, t). With ratio set it is a shape: Λ(c, t)
// over Λ(c25, 25 C), and lambda only scales its weight.
type observation struct {
	c, t       float64
	lambda     float64
	u          float64 // relative standard uncertainty
	ratio, c25 float64
}

// layout is the linear form of a salt's model: the terms of Λ beside each
// unknown, and the part that is known beforehand.
type layout func(c, t float64) (terms []float64, known float64)

// kclLayout has all 14 coefficients free: Λ° (4), E, J1 (5), J2 (2), J3, J4.
func kclLayout(c, t float64) ([]float64, float64) {
	u := (t - 25) / 25
	factor, known := limitingLaw(c, t)
	h := fluidity(t) * c
	root := math.Sqrt(c)
	return []float64{
		factor, factor * u, factor * u * u, factor * u * u * u,
		h * logOf(c),
		h, h * u, h * u * u, h * u * u * u, h * u * u * u * u,
		h * root, h * root * u,
		h * c, h * c * root,
	}, known
}

// naclLayout has 11 free coefficients: Λ° (4), E, J1 at 25 C and its change in
// u and u², J2, J3 and J4. There are no primary values of NaCl by temperature, so
// the higher terms change with temperature as those of KCl do (curve1 for J1,
// curve2 for J2), except for the two terms of J1 that the shape at 1 mol/kg
// decides.
func naclLayout(kcl conductance) layout {
	return func(c, t float64) ([]float64, float64) {
		u := (t - 25) / 25
		factor, known := limitingLaw(c, t)
		h := fluidity(t) * c
		root := math.Sqrt(c)
		curve1 := polynomial5(&kcl.linear, u) / kcl.linear[0]
		curve2 := polynomial5(&kcl.threeHalves, u) / kcl.threeHalves[0]
		return []float64{
			factor, factor * u, factor * u * u, factor * u * u * u,
			h * logOf(c),
			h * curve1, h * u, h * u * u,
			h * root * curve2,
			h * c, h * c * root,
		}, known
	}
}

// limitingLaw splits Λ° − (b1 Λ° + b2) √c into the factor of Λ° and the rest.
func limitingLaw(c, t float64) (factor, rest float64) {
	b1, b2 := onsager(t)
	return 1 - b1*math.Sqrt(c), -b2 * math.Sqrt(c)
}

func logOf(c float64) float64 {
	if c == 0 {
		return 0 // c ln c goes to 0 with c
	}
	return math.Log(c)
}

// solveWeighted minimises the sum of squared deviations over u.
func solveWeighted(t *testing.T, form layout, obs []observation) []float64 {
	t.Helper()
	first, _ := form(0, 25)
	x := mat.NewDense(len(obs), len(first), nil)
	y := mat.NewVecDense(len(obs), nil)
	for i, o := range obs {
		terms, known := form(o.c, o.t)
		target := o.lambda
		if o.ratio != 0 {
			base, baseKnown := form(o.c25, 25)
			for j := range terms {
				terms[j] -= o.ratio * base[j]
			}
			known -= o.ratio * baseKnown
			target = 0
		}
		w := 1 / (o.u * o.lambda)
		for j, term := range terms {
			x.Set(i, j, term*w)
		}
		y.SetVec(i, (target-known)*w)
	}
	var qr mat.QR
	qr.Factorize(x)
	var b mat.VecDense
	require.NoError(t, qr.SolveVecTo(&b, false, y))
	return b.RawVector().Data
}

func deriveKCl(t *testing.T) conductance {
	var obs []observation
	for _, row := range publishedRows(t, "kcl_primary.csv") {
		temp := row.float("t_C")
		c := KCl.amountConcentration(row.float("molality_mol_kg"), temp)
		obs = append(obs, observation{c: c, t: temp, lambda: row.float("kappa_uS_cm") / 1000 / c, u: uPrimary})
	}
	obs = append(obs, handbook(t, KCl, uHandbook, uStrong)...)
	obs = append(obs, robinsonStokes(t, "K", nil)...)
	b := solveWeighted(t, kclLayout, obs)
	k := conductance{logarithmic: b[4], quadratic: b[12], fiveHalves: b[13]}
	copy(k.limiting[:], b[:4])
	copy(k.linear[:], b[5:10])
	copy(k.threeHalves[:], b[10:12])
	return k
}

func deriveNaCl(t *testing.T, kcl conductance) conductance {
	obs := handbook(t, NaCl, uHandbook, uStrongNa)
	obs = append(obs, robinsonStokes(t, "Na", map[float64]float64{0: uSodium0, 5: uSodium5})...)
	obs = append(obs, naclShape(t)...)
	b := solveWeighted(t, naclLayout(kcl), obs)
	k := conductance{logarithmic: b[4], quadratic: b[9], fiveHalves: b[10]}
	copy(k.limiting[:], b[:4])
	for i := range k.linear {
		k.linear[i] = b[5] * kcl.linear[i] / kcl.linear[0]
		k.threeHalves[i] = b[8] * kcl.threeHalves[i] / kcl.threeHalves[0]
	}
	k.linear[1] += b[6]
	k.linear[2] += b[7]
	return k
}

// handbook reads the molar conductivities of a salt, in absolute ohm.
func handbook(t *testing.T, s Salt, u, strong float64) []observation {
	var obs []observation
	for _, row := range publishedRows(t, "molar_conductivity.csv") {
		if row.text("salt") != s.Formula {
			continue
		}
		o := observation{c: row.float("c_mol_L"), t: row.float("t_C"), lambda: row.float("Lambda_S_cm2_mol")}
		switch row.text("source") {
		case "handbook":
			o.u = u
		case "strong":
			o.u = strong
			if o.c > 1 {
				o.u = uOutside
			}
		case "gordon":
			if o.t == 25 {
				continue // the same measurement as the handbook's
			}
			o.lambda /= internationalOhm
			o.u = uGordon
		default:
			require.Fail(t, "unknown source "+row.text("source"))
		}
		obs = append(obs, o)
	}
	return obs
}

// robinsonStokes reads limiting conductivities of a chloride by temperature,
// with other uncertainties for some of them. The 25 C row repeats the
// handbook's value; the 18 C row is wrong for KCl.
//
// Na+ at 0 and 5 C: no smooth curve through 15 to 55 C meets both. Such a curve
// alone gives NaCl 67.17 at 0 C (0.4 % below the row) and 77.91 at 5 C (0.2 %
// above it), and there it agrees with the ratio of NaCl to KCl that J. Johnston,
// J. Am. Chem. Soc. 31 (1909) 1010, has at 0 C. So the two rows get weights that
// let the curve through between them.
func robinsonStokes(t *testing.T, cation string, special map[float64]float64) []observation {
	const rounding = 0.1 / 3.4641 * math.Sqrt2 // two ions, each printed to 0.1
	var obs []observation
	for _, row := range publishedRows(t, "limiting_conductivity.csv") {
		temp := row.float("t_C")
		if temp == 18 || temp == 25 {
			continue
		}
		o := observation{t: temp, lambda: (row.float(cation) + row.float("Cl")) / internationalOhm}
		o.u = math.Hypot(uLimiting, rounding/o.lambda)
		if u, ok := special[temp]; ok {
			o.u = u
		}
		obs = append(obs, o)
	}
	return obs
}

// naclShape is κ(t)/κ(25 C) of NaCl at 1 mol/kg from the 2011 coefficients,
// times the error of the same source's shape for KCl against the primary
// table. At lower strengths limiting law and limiting conductivity decide.
func naclShape(t *testing.T) []observation {
	const m = 1.0
	primary := map[float64]float64{}
	for _, row := range publishedRows(t, "kcl_primary.csv") {
		if row.float("molality_mol_kg") == m {
			primary[row.float("t_C")] = row.float("kappa_uS_cm")
		}
	}
	salt2011 := electrolyte2011(t)
	shape := func(s Salt, temp float64) float64 {
		return salt2011[s.Formula](m, temp) * s.amountConcentration(m, temp) /
			(salt2011[s.Formula](m, 25) * s.amountConcentration(m, 25))
	}
	var obs []observation
	for temp := 5.0; temp <= 50; temp += 5 { // its range starts at 5 C
		if temp == 25 {
			continue
		}
		kappaRatio := shape(NaCl, temp) / shape(KCl, temp) * primary[temp] / primary[25]
		c, c25 := NaCl.amountConcentration(m, temp), NaCl.amountConcentration(m, 25)
		ratio := kappaRatio * c25 / c
		obs = append(obs, observation{c: c, t: temp, u: uShape, ratio: ratio, c25: c25, lambda: ratio * salt2011["NaCl"](m, 25)})
	}
	return obs
}

// electrolyte2011 returns Λ(m, t) of the 2011 table by salt.
func electrolyte2011(t *testing.T) map[string]func(m, temp float64) float64 {
	out := map[string]func(m, temp float64) float64{}
	for _, row := range publishedRows(t, "electrolyte_2011.csv") {
		c1, c2, c3 := row.float("c1"), row.float("c2"), row.float("c3")
		d1, d2, d3, b := row.float("d1"), row.float("d2"), row.float("d3"), row.float("B")
		out[row.text("salt")] = func(m, temp float64) float64 {
			a := d1*temp*temp + d2*temp + d3
			return c1*temp*temp + c2*temp + c3 - a*math.Sqrt(m)/(1+b*math.Sqrt(m))
		}
	}
	return out
}

// The coefficients in coefficients.go are those of the published tables, to
// their last digit.
func TestCoefficientsAreRederived(t *testing.T) {
	kcl := deriveKCl(t)
	nacl := deriveNaCl(t, kcl)
	for _, c := range []struct {
		name            string
		derived, inFile conductance
	}{{"kclConductance", kcl, kclConductance}, {"naclConductance", nacl, naclConductance}} {
		t.Log(goSource(c.name, c.derived))
		want, got := c.derived.list(), c.inFile.list()
		for i := range want {
			unit := lastDigit(want[i])
			assert.InDelta(t, want[i], got[i], 0.55*unit, "%s, coefficient %d of limiting, logarithmic, linear, threeHalves, quadratic, fiveHalves", c.name, i)
		}
	}
}

func (k conductance) list() []float64 {
	out := append([]float64{}, k.limiting[:]...)
	out = append(out, k.logarithmic)
	out = append(out, k.linear[:]...)
	out = append(out, k.threeHalves[:]...)
	return append(out, k.quadratic, k.fiveHalves)
}

// coefficientDigits is how many significant digits a coefficient is written with: enough
// that rounding moves no conductivity by 1e-6 of its value.
const coefficientDigits = 8

func lastDigit(x float64) float64 {
	if x == 0 {
		return 0
	}
	return math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-coefficientDigits+1)
}

func goSource(name string, k conductance) string {
	list := func(xs []float64) string {
		var parts []string
		for _, x := range xs {
			parts = append(parts, strconv.FormatFloat(x, 'g', coefficientDigits, 64))
		}
		return strings.Join(parts, ", ")
	}
	return fmt.Sprintf("\n%s\n\tlimiting: {%s}\n\tlogarithmic: %s\n\tlinear: {%s}\n\tthreeHalves: {%s}\n\tquadratic: %s\n\tfiveHalves: %s",
		name, list(k.limiting[:]), list([]float64{k.logarithmic}), list(k.linear[:]), list(k.threeHalves[:]), list([]float64{k.quadratic}), list([]float64{k.fiveHalves}))
}
