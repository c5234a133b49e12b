package solutions

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/uncert"
)

// grid calls f over the whole model: 121 molalities in equal ratios times 51
// temperatures.
func grid(f func(s Salt, m, temp float64)) {
	lo, hi := ModelMolalityRange.Low, ModelMolalityRange.High
	for _, s := range Salts() {
		for i := range 121 {
			m := lo * math.Pow(hi/lo, float64(i)/120)
			m = min(max(m, lo), hi)
			for temp := 0.0; temp <= 50; temp++ {
				f(s, m, temp)
			}
		}
	}
}

// More salt and more warmth conduct better, everywhere.
func TestConductivityRisesWithStrengthAndTemperature(t *testing.T) {
	grid(func(s Salt, m, temp float64) {
		kappa := s.conductivity(m, temp)
		perM := s.molalitySlope(m, temp) * m / kappa
		perC := s.tempSlope(m, temp) / kappa
		// Between the limiting law's 1 and what 1 mol/kg leaves of it; about
		// 2 %/C at 25 C, 3 %/C at 0 C.
		if !(perM > 0.8 && perM < 1.0) || !(perC > 0.011 && perC < 0.034) {
			t.Errorf("%s %v mol/kg %v C: d ln k/d ln m = %v, d ln k/dt = %v", s, m, temp, perM, perC)
		}
	})
}

// No waves between the tabulated strengths and temperatures. Against √c, Λ falls
// less and less steeply over the whole range, as the published curves do; and
// κ rises by ever less of itself per degree.
func TestConductivityIsSmooth(t *testing.T) {
	for _, s := range Salts() {
		for temp := 0.0; temp <= 50; temp += 5 {
			last := math.Inf(-1)
			for root := 0.008; root <= 1.02; root += 0.004 {
				const h = 1e-4
				slope := (s.conductance.molar(sq(root+h), temp) - s.conductance.molar(sq(root-h), temp)) / (2 * h)
				assert.Negative(t, slope, "%s %v mol/L %v C", s, sq(root), temp)
				assert.Greater(t, slope, last, "%s %v mol/L %v C", s, sq(root), temp)
				last = slope
			}
		}
		for _, m := range []float64{5e-5, 1e-3, 0.01, 0.1, 0.3, 0.6, 1.1} {
			last := math.Inf(1)
			for temp := 0.0; temp <= 50; temp += 0.5 {
				perC := s.tempSlope(m, temp) / s.conductivity(m, temp)
				assert.Less(t, perC, last, "%s %v mol/kg %v C", s, m, temp)
				last = perC
			}
		}
	}
}

// Onsager's law is the limit: at the low end of the range (Λ°−Λ)/√c is its
// slope within 2 %. At 25 C that slope is 60.65 + 0.2300 Λ° (Robinson and
// Stokes 1959, ch. 7: 60.65 and 0.2300; Harned and Owen: 60.19 and 0.2289).
func TestLimitingLaw(t *testing.T) {
	b1, b2 := onsager(25)
	assert.InDelta(t, 0.2300, b1, 0.0002)
	assert.InDelta(t, 60.65, b2, 0.05)
	for _, s := range Salts() {
		for temp := 0.0; temp <= 50; temp += 10 {
			l0, err := LimitingConductivity(s, temp)
			require.NoError(t, err)
			c := s.amountConcentration(ModelMolalityRange.Low, temp)
			b1, b2 := onsager(temp)
			slope := (l0 - s.conductance.molar(c, temp)) / math.Sqrt(c)
			assert.InEpsilon(t, b1*l0+b2, slope, 0.02, "%s %v C", s, temp)
		}
	}
}

// Water: permittivity 78.30 at 25 C and 87.74 at 0 C (Malmberg and Maryott
// 1956), viscosity 1.002 at 20, 0.890 at 25, 0.6527 at 40 C mPa s (Kestin et al.
// 1978, table).
func TestSolventAgainstPublishedValues(t *testing.T) {
	assert.InDelta(t, 78.30, permittivity(25), 0.005)
	assert.InDelta(t, 87.74, permittivity(0), 0.005)
	assert.InDelta(t, 1.0020, viscosity(20), 1e-12)
	assert.InDelta(t, 0.8903, viscosity(25), 0.0005)
	assert.InDelta(t, 0.6527, viscosity(40), 0.0005)
	assert.Equal(t, 1.0, fluidity(25))
}

func TestInverseReturnsTheMolality(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for _, s := range Salts() {
		for range 3000 {
			m := logUniform(rng, ModelMolalityRange.Low, ModelMolalityRange.High)
			temp := 50 * rng.Float64()
			got, err := MolalityAt(s, mustConductivity(t, s, m, temp), temp)
			require.NoError(t, err)
			require.InEpsilon(t, m, got, 1e-12, "%s %v mol/kg %v C", s, m, temp)
		}
		for _, m := range []float64{ModelMolalityRange.Low, ModelMolalityRange.High} {
			for _, temp := range []float64{0, 25, 50} {
				got, err := MolalityAt(s, mustConductivity(t, s, m, temp), temp)
				require.NoError(t, err)
				assert.InEpsilon(t, m, got, 1e-12)
				assert.NoError(t, ModelMolalityRange.Check("", got), "the edge must not round to the outside")
			}
		}
	}
}

// The well-known 1413 uS/cm: 0.01 mol/L of KCl at 25 C, 745.5 mg/L (CRC Handbook;
// common to all makers of references). The handbook's Λ of 141.20 gives 1412.
func TestFourteenThirteen(t *testing.T) {
	m, err := MolalityFor(KCl, 1413)
	require.NoError(t, err)
	st, err := StrengthOf(KCl, m)
	require.NoError(t, err)
	assert.InEpsilon(t, 0.01, st.MolL, 0.001)
	assert.InEpsilon(t, 745.5, st.MgL, 0.001)
}

func TestModelRefusesOutsideItsRange(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct{ m, temp float64 }{
		{0, 25}, {-0.01, 25}, {4.9e-5, 25}, {1.1001, 25}, {nan, 25}, {inf, 25}, {-inf, 25},
		{0.01, -0.01}, {0.01, 50.01}, {0.01, 77}, {0.01, nan}, {0.01, inf}, {0.01, -inf},
	} {
		_, err := Conductivity(NaCl, c.m, c.temp)
		var e *RangeError
		require.ErrorAs(t, err, &e, "%v", c)
		assert.Contains(t, err.Error(), "conductivity of NaCl")
		_, err = ConductivityU(NaCl, c.m, c.temp)
		assert.ErrorIs(t, err, ErrOutOfRange)
		_, err = ConductivityValue(NaCl, uncert.Exact(c.m), uncert.Exact(c.temp))
		assert.ErrorIs(t, err, ErrOutOfRange)
		_, err = Alpha(NaCl, c.m, c.temp, 25)
		assert.ErrorIs(t, err, ErrOutOfRange)
		_, err = MolarConductivity(NaCl, c.m, c.temp)
		assert.ErrorIs(t, err, ErrOutOfRange)
	}
	for _, temp := range []float64{-1, 51, nan, inf} {
		for name, err := range map[string]error{
			"MolalityAt":           second(MolalityAt(KCl, 1413, temp)),
			"ConductivityRange":    second(ConductivityRange(KCl, temp)),
			"LimitingConductivity": second(LimitingConductivity(KCl, temp)),
			"Alpha":                second(Alpha(KCl, 0.01, 25, temp)),
		} {
			assert.ErrorIs(t, err, ErrOutOfRange, "%s %v", name, temp)
		}
	}
	for _, kappa := range []float64{0, -1413, 7.4, 119000, nan, inf} {
		_, err := MolalityFor(KCl, kappa)
		require.ErrorIs(t, err, ErrOutOfRange, "%v", kappa)
		assert.Contains(t, err.Error(), "KCl solution at 25 C: conductivity")
	}
}

func second[T any](_ T, err error) error { return err }

// The range is at least what the project promises: 8 uS/cm to 110 mS/cm.
func TestRangeReachesAsFarAsPromised(t *testing.T) {
	r, err := ConductivityRange(KCl, 25)
	require.NoError(t, err)
	assert.True(t, r.Contains(8) && r.Contains(110e3), "%v", r)
	for _, s := range Salts() {
		for _, m := range []float64{5e-5, 1.1} {
			for _, temp := range []float64{0, 50} {
				_, err := Conductivity(s, m, temp)
				assert.NoError(t, err)
			}
		}
	}
}

// α from the IUPAC table: (1408.23/1141.45 − 1)/10 and the like, in %/C.
func TestAlphaAgainstThePrimaryTable(t *testing.T) {
	a, err := Alpha(KCl, 0.01, 15, 25)
	require.NoError(t, err)
	assert.InDelta(t, (1141.45/1408.23-1)/-10, a, 2e-5)
	a, err = Alpha(KCl, 0.1, 30, 20)
	require.NoError(t, err)
	assert.InDelta(t, (14059.2/11615.9-1)/10, a, 2e-5)
	// Where the temperatures meet the chord becomes the slope, without a jump.
	at, err := Alpha(KCl, 0.01, 25, 25)
	require.NoError(t, err)
	near, err := Alpha(KCl, 0.01, 25.01, 25)
	require.NoError(t, err)
	assert.InDelta(t, at, near, 1e-6)
}

func TestConductivityValueCarriesItsSources(t *testing.T) {
	m := uncert.Must(uncert.New(0.01, 2e-5, uncert.Source{ID: "jar", Label: "salt purity"}))
	temp := uncert.Must(uncert.New(18, 0.2, uncert.Source{ID: "thermometer", Label: "thermometer"}))
	v, err := ConductivityValue(KCl, m, temp)
	require.NoError(t, err)
	kappa := mustConductivity(t, KCl, 0.01, 18)
	assert.Equal(t, kappa, v.Nominal())
	// IUPAC: 1141.45 at 15 C, 1273.03 at 20 C. Handbook: Λ 143.48 at 0.005 and
	// 138.27 at 0.02 mol/L, so κ goes with the power 0.973 of the strength.
	assert.InDelta(t, 0.2*(1273.03-1141.45)/5, v.Part("thermometer"), 0.03)
	assert.InEpsilon(t, 0.002*0.973*kappa, v.Part("jar"), 0.002)
	u, err := ConductivityU(KCl, 0.01, 18)
	require.NoError(t, err)
	assert.InEpsilon(t, u*kappa, v.Part("model:KCl"), 1e-12)
}

// The linear propagation is good enough: with errors drawn for molality,
// temperature and model, the 95 % interval around a value computed from the
// erring inputs holds the true one in 95 % of 20000 trials, within three
// standard deviations of that count.
func TestConductivityIntervalCovers(t *testing.T) {
	const trials = 20000
	band := 3 * math.Sqrt(0.95*0.05/trials)
	rng := rand.New(rand.NewPCG(3, 5))
	for _, c := range []struct {
		s           Salt
		m, temp     float64
		uRelM, uTmp float64
	}{{NaCl, 0.012, 18, 0.005, 0.5}, {NaCl, 0.9, 8, 0.001, 0.1}, {KCl, 2e-4, 40, 0.02, 1}} {
		uModel, err := ConductivityU(c.s, c.m, c.temp)
		require.NoError(t, err)
		inside := 0
		for range trials {
			truth := c.s.conductivity(c.m, c.temp) / (1 + uModel*rng.NormFloat64())
			m := uncert.Must(uncert.New(c.m*(1+c.uRelM*rng.NormFloat64()), c.uRelM*c.m, uncert.Source{ID: "m"}))
			temp := uncert.Must(uncert.New(c.temp+c.uTmp*rng.NormFloat64(), c.uTmp, uncert.Source{ID: "t"}))
			v, err := ConductivityValue(c.s, m, temp)
			require.NoError(t, err)
			i := v.Expanded(0.95)
			if i.Low <= truth && truth <= i.High {
				inside++
			}
		}
		assert.InDelta(t, 0.95, float64(inside)/trials, band, "%s %v mol/kg %v C", c.s, c.m, c.temp)
	}
}

// The model's error is the same for every bottle of a salt: the mean of many
// bottles keeps it, and the two salts do not share it.
func TestModelErrorIsShared(t *testing.T) {
	exact := uncert.Exact
	a := uncert.Must(ConductivityValue(NaCl, exact(0.01), exact(25)))
	b := uncert.Must(ConductivityValue(NaCl, exact(0.02), exact(20)))
	k := uncert.Must(ConductivityValue(KCl, exact(0.01), exact(25)))
	assert.InDelta(t, 1, uncert.Corr(a, b), 1e-12)
	assert.Zero(t, uncert.Cov(a, k))
	mean := a.Add(b).Scale(0.5)
	assert.InEpsilon(t, (a.U()+b.U())/2, mean.U(), 1e-12)
}

func TestModelAllocatesNothing(t *testing.T) {
	var sink float64
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		kappa, _ := Conductivity(NaCl, 0.012, 18)
		sink += kappa
	}))
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		m, _ := MolalityAt(NaCl, 1413, 18)
		sink += m
	}))
	assert.NotZero(t, sink)
}

func BenchmarkConductivity(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Conductivity(NaCl, 0.012, 18); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkMolalityFor(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := MolalityFor(NaCl, 1413); err != nil {
			b.Fatal(err)
		}
	}
}
