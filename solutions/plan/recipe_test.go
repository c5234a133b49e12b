package plan

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The demal standards of OIML R 56 (1981), after Jones and Bradshaw (1933), from
// memory, give the mass of KCl in 1 kg of solution weighed in vacuo and the
// conductivity at 25 C. The plan must come to that mass and, within what the
// conductivity model claims (0.12 %), to that conductivity.
func TestDemalStandardsOfR56(t *testing.T) {
	n := 0
	for _, row := range published(t, "kcl_demal.csv") {
		if row["t_C"] != 25 || row["g_KCl_per_kg_solution"] > 60 {
			continue
		}
		n++
		g := row["g_KCl_per_kg_solution"]
		req := request(t, exact(t, solutions.KCl), "1000g", "1mg/kg")
		req.Targets[0].Value = g * 1000
		req.Route = Direct
		r, err := Make(req)
		require.NoError(t, err)
		assert.InDelta(t, g, r.Batches[0].SaltG.Total*1.000454, g*1e-6) // OIML D 28, KCl of 1988 kg/m3
		assert.InEpsilon(t, row["kappa_uS_cm"], r.Batches[0].Worth.EC25.Nominal(), 0.0012)
	}
	assert.Equal(t, 2, n)
}

// IUPAC primary standard (Pratt et al. 2001): 0.01 mol/kg has 1408.23 uS/cm at
// 25 C, 0.1 mol/kg has 12824.6. Asked for by conductivity, in water of 8 uS/cm,
// the molality must come out; the bottle then shows table + water.
func TestConductivityTargetsAreTheBottlesTotal(t *testing.T) {
	for molality, kappa := range map[float64]float64{0.01: 1408.23, 0.1: 12824.6} {
		b := exact(t, solutions.KCl)
		b.Water.EC25 = uncert.Exact(8)
		req := request(t, b, "500mL", "1uS/cm", "1ppm@0.5")
		req.Targets[0].Value = kappa + 8
		req.Targets[1].Value = 0.5 * (kappa + 8)
		r, err := Make(req)
		require.NoError(t, err)
		for _, batch := range r.Batches {
			assert.InEpsilon(t, molality, batch.Worth.Molality.Nominal(), 0.0006, batch.Target.Text)
			assert.InDelta(t, kappa+8, batch.Worth.EC25.Nominal(), 1e-6*kappa, batch.Target.Text)
		}
	}
}

// A concentration is of pure salt: 600 mg/L stays 600 mg/L whatever the purity,
// and what the scale shows grows by purity, moisture and buoyancy. By hand:
// 0.3 g / 0.995 / (1 - 0.02) / 1.000403 in 500 mL.
func TestPurityAndMoistureActOnWhatIsWeighed(t *testing.T) {
	b := benchOf(t, solutions.NaCl,
		JarSpec{Purity: given(0.995), UPurity: given(0.003), Moisture: given(0.02), UMoisture: given(0.005)},
		ScaleSpec{}, WaterSpec{EC25: given(8), UEC25: given(1)})
	req := request(t, b, "500mL", "600mg/L")
	req.Route = Direct
	r, err := Make(req)
	require.NoError(t, err)
	batch := r.Batches[0]
	assert.InDelta(t, 600, batch.Worth.MgL.Nominal(), 1e-9)
	assert.InEpsilon(t, 0.3/0.995/0.98/1.000403, batch.SaltG.Total, 1e-6)
	salt, err := solutions.Conductivity(solutions.NaCl, batch.Worth.Molality.Nominal(), 25)
	require.NoError(t, err)
	assert.InDelta(t, salt+8, batch.Worth.EC25.Nominal(), 1e-9)
	// 500 mL of solution at 25 C, 997.45 kg/m3 by the density table, in all.
	assert.InDelta(t, 498.7, batch.MassG, 0.05)
	assert.InDelta(t, batch.MassG, batch.SaltG.Total*1.000403+batch.WaterG.Total*1.001053, 0.002)
}

// The figures that the project promises: with a 0.01 g / 200 g scale, salt of
// 99.5 % ± 0.3 % and water of 8 uS/cm, three bottles of 500 mL are good to 1 %,
// while weighed directly the weakest would miss by several percent.
func TestThreeKitchenBottles(t *testing.T) {
	r, err := Make(request(t, kitchen(t), "500mL", "300mg/L", "600mg/L", "900mg/L"))
	require.NoError(t, err)
	assert.True(t, r.Met)
	assert.LessOrEqual(t, r.Worst, 0.01)
	for i, batch := range r.Batches {
		assert.Equal(t, Stock, batch.Route)
		assert.InEpsilon(t, []float64{300, 600, 900}[i], batch.Worth.MgL.Nominal(), 1e-9)
		assert.LessOrEqual(t, batch.RelU(), 0.01)
	}
	// One step of 0.01 g in 0.15 g of salt alone is 6.6 %.
	assert.InDelta(t, 0.064, r.Batches[0].Direct.RelU, 0.002)
	assert.Greater(t, r.Batches[2].Direct.RelU, 0.02)
}

func TestBudgetSharesSumToOneAndAreSorted(t *testing.T) {
	r, err := Make(request(t, kitchen(t), "500mL", "300mg/L", "1413uS/cm", "600ppm@0.5"))
	require.NoError(t, err)
	for _, batch := range r.Batches {
		sum, last := 0.0, math.Inf(1)
		for _, s := range batch.Worth.EC25.Budget() {
			sum += s.Fraction
			assert.LessOrEqual(t, s.Size, last)
			last = s.Size
		}
		assert.InDelta(t, 1, sum, 1e-12)
		own, shared := batch.Split()
		assert.InDelta(t, batch.Worth.EC25.U(), math.Hypot(own, shared), 1e-9)
		assert.Greater(t, own, 0.0)
		assert.Greater(t, shared, own) // purity and stock outweigh the last weighing here
	}
}

// Bottles from one stock share its error: their covariance is that of the
// shared sources, and the scale's gain drops out of a ratio of two masses.
func TestBottlesOfOneStockShareItsSources(t *testing.T) {
	r, err := Make(request(t, kitchen(t), "500mL", "300mg/L", "600mg/L"))
	require.NoError(t, err)
	a, b := r.Batches[0].Worth.EC25, r.Batches[1].Worth.EC25
	_, sharedA := r.Batches[0].Split()
	_, sharedB := r.Batches[1].Split()
	assert.InEpsilon(t, sharedA*sharedB, uncert.Cov(a, b), 0.01)
	assert.InDelta(t, 0, a.Part(kindGain.id("scale"))/a.Nominal(), 1e-12)
}

// With a jug the water is no longer on the scale, and the gain stays in.
func TestJugIsAFallbackWithALargerUncertainty(t *testing.T) {
	byMass, err := Make(request(t, kitchen(t), "500mL", "600mg/L"))
	require.NoError(t, err)
	b := kitchen(t)
	jug, err := NewJug(JugSpec{SizeML: 250})
	require.NoError(t, err)
	b.Jug = &jug
	req := request(t, b, "500mL", "3000mg/L")
	req.Route = Direct
	r, err := Make(req)
	require.NoError(t, err)
	batch := r.Batches[0]
	assert.Nil(t, batch.WaterG)
	assert.Equal(t, 2, batch.WaterML.Portions)
	assert.Greater(t, batch.RelU(), 0.0122) // marks of 1 % and two readings of 1 % of half the volume each
	assert.Less(t, byMass.Batches[0].RelU(), 0.01)
	assert.InDelta(t, 0.001, batch.Worth.Molality.Part(kindGain.id("scale"))/batch.Worth.Molality.Nominal(), 5e-5)
	assert.False(t, r.Met)
	assert.Contains(t, r.Limit, "volume")
	assert.Contains(t, r.Limit, "weighing the water instead of pouring it")
	// The water of the bottle at 20 C has 998.2067 kg/m3 (CIPM 2001).
	assert.InDelta(t, batch.MassG-1.5, batch.WaterML.Total*0.9982067, 0.01)
}

func TestSaltOfFewStepsIsNeverWeighedWithoutAWarning(t *testing.T) {
	req := request(t, kitchen(t), "500mL", "300mg/L", "3000mg/L")
	req.Route, req.MaxU = Direct, 0.1
	r, err := Make(req)
	require.NoError(t, err)
	warned := strings.Join(r.Warnings, "\n")
	assert.Contains(t, warned, "bottle 1 (300mg/L): 0.1507 g of salt is only 15 steps of the scale, fewer than 50")
	assert.NotContains(t, warned, "bottle 2 (3000mg/L): 1.5")
}

func TestUnreachableUncertaintyIsSaidWithTheLimitAndTheRemedy(t *testing.T) {
	req := request(t, benchOf(t, solutions.NaCl, JarSpec{Grade: "food"}, ScaleSpec{}, WaterSpec{EC25: given(8), UEC25: given(1)}), "500mL", "600mg/L")
	r, err := Make(req)
	require.NoError(t, err)
	assert.False(t, r.Met)
	assert.Contains(t, r.Limit, "purity")
	assert.Contains(t, r.Limit, "impurities that conduct")
	assert.Contains(t, r.Limit, "a purer salt")
	assert.Contains(t, r.Limit, "a perfect scale alone would still leave 1.2 %")
	assert.Contains(t, r.Warnings, r.Limit)
}

func TestSerialDilutionWhereOneStockIsNotEnough(t *testing.T) {
	b := kitchen(t)
	b.Water.EC25 = uncert.Exact(1)
	r, err := Make(request(t, b, "500mL", "10mg/L"))
	require.NoError(t, err)
	require.True(t, r.Met)
	require.Len(t, r.Stocks, 2)
	assert.Equal(t, "stock A", r.Stocks[1].From)
	assert.Equal(t, "stock B", r.Batches[0].From)
	assert.Contains(t, r.Steps[len(r.Steps)-2].Command, "--second-stock-mass")
}

func TestRulesHoldForEveryPlan(t *testing.T) {
	for _, targets := range [][]string{{"10mg/L"}, {"300mg/L", "900mg/L"}, {"84uS/cm", "1413uS/cm", "12.88mS/cm"}, {"0.5mol/kg", "1mol/kg"}} {
		for _, maxU := range []float64{0.0005, 0.01, 0.2} {
			req := request(t, kitchen(t), "250mL", targets...)
			req.MaxU, req.BottlesML = maxU, []float64{250, 500}
			r, err := Make(req)
			require.NoError(t, err)
			weighings := 0
			for _, s := range r.Stocks {
				taken := s.SaltG
				if taken == nil {
					taken = s.StockG
				}
				assert.GreaterOrEqual(t, taken.Total, LeastSteps*0.01)
				assert.LessOrEqual(t, s.UsedG, StockShare*s.Mixed.MassG.Nominal())
				m, err := req.Bench.molality(s.Mixed.Liquid)
				require.NoError(t, err)
				assert.LessOrEqual(t, m.Nominal(), StockMolalityLimit)
				weighings += taken.Portions + s.WaterG.Portions
			}
			for _, b := range r.Batches {
				assert.LessOrEqual(t, b.WaterG.Total/float64(b.WaterG.Portions)+40, 200.0)
				weighings += b.WaterG.Portions
				if b.SaltG != nil {
					weighings += b.SaltG.Portions
				} else {
					assert.GreaterOrEqual(t, b.StockG.Total, LeastSteps*0.01)
					weighings += b.StockG.Portions
				}
			}
			assert.Equal(t, r.Weighings, weighings)
		}
	}
}

func TestForcedRoutes(t *testing.T) {
	for _, route := range []Route{Direct, Stock} {
		req := request(t, kitchen(t), "500mL", "600mg/L", "3000mg/L", "600mg/L")
		req.Route = route
		r, err := Make(req)
		require.NoError(t, err)
		for _, b := range r.Batches {
			assert.Equal(t, route, b.Route)
			assert.Equal(t, route == Direct, b.SaltG != nil)
			assert.Equal(t, route == Stock, b.StockG != nil)
		}
		assert.Equal(t, r.Batches[0].Worth.EC25.Nominal(), r.Batches[2].Worth.EC25.Nominal(), "the same target twice is fine")
	}
}

func TestRequestsThatAreRefused(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Request)
		want   string
	}{
		{"no target", func(r *Request) { r.Targets = nil }, "no target"},
		{"above solubility", func(r *Request) { r.Targets = parse(t, "7mol/kg") }, "solution"},
		{"above solubility, in mg/L", func(r *Request) { r.Targets = parse(t, "400000mg/L") }, "a saturated solution has"},
		{"outside the model", func(r *Request) { r.Targets = parse(t, "2mol/kg") }, "0.00005 to 1.1 mol/kg"},
		{"too strong in conductivity", func(r *Request) { r.Targets = parse(t, "300mS/cm") }, "target 300mS/cm"},
		{"too weak", func(r *Request) { r.Targets = parse(t, "0.1mg/L") }, "target 0.1mg/L"},
		{"nothing", func(r *Request) { r.Targets = parse(t, "0mg/L") }, "target 0mg/L"},
		{"below the water's own", func(r *Request) { r.Targets = parse(t, "5uS/cm") }, "the water's own 8 uS/cm"},
		{"no strength", func(r *Request) { r.Targets = parse(t, "25C") }, "target 25C"},
		{"batch 0", func(r *Request) { r.Batch = parse(t, "0mL")[0] }, "batch 0 mL"},
		{"batch not a number", func(r *Request) { r.Batch.Value = math.NaN() }, "batch NaN"},
		{"batch of the wrong kind", func(r *Request) { r.Batch = parse(t, "50uS/cm")[0] }, "want a volume"},
		{"max u 0", func(r *Request) { r.MaxU = 0 }, "0 %"},
		{"max u negative", func(r *Request) { r.MaxU = -0.01 }, "-1 %"},
		{"route", func(r *Request) { r.Route = "magic" }, "want auto, direct or stock"},
		{"does not fit", func(r *Request) { r.BottlesML = []float64{100, 250} }, "does not fit in the largest bottle at hand, 250 mL"},
		{"bottle 0", func(r *Request) { r.BottlesML = []float64{0} }, "bottle at hand"},
		{"no portioning", func(r *Request) { r.Batch = parse(t, "20L")[0] }, "portions of the 160 g that fit beside a container of 40 g"},
		{"less than a step", func(r *Request) {
			scale, err := NewScale(ScaleSpec{StepG: given(1), CapacityG: given(5000)})
			require.NoError(t, err)
			r.Bench.Scale, r.Targets = scale, parse(t, "60mg/L")
		}, "0.03014 g of salt in bottle 1 is less than its step of 1 g"},
		{"no stock", func(r *Request) {
			scale, err := NewScale(ScaleSpec{StepG: given(1), CapacityG: given(5000)})
			require.NoError(t, err)
			r.Bench.Scale, r.Route, r.Targets = scale, Stock, parse(t, "60mg/L")
		}, "no stock"},
	} {
		req := request(t, kitchen(t), "500mL", "600mg/L")
		c.change(&req)
		_, err := Make(req)
		require.Error(t, err, c.name)
		assert.ErrorContains(t, err, c.want, c.name)
		assert.NotContains(t, err.Error(), "\n", c.name)
	}
}

func TestJugOfTooManyFillingsIsRefused(t *testing.T) {
	b := kitchen(t)
	jug, err := NewJug(JugSpec{SizeML: 5})
	require.NoError(t, err)
	b.Jug = &jug
	req := request(t, b, "500mL", "600mg/L")
	req.Route = Direct
	_, err = Make(req)
	require.ErrorIs(t, err, ErrNoPlan)
	assert.ErrorContains(t, err, "larger jug")
}

// A mass typed as the batch is the mass of solution.
func TestBatchByMass(t *testing.T) {
	r, err := Make(request(t, kitchen(t), "500g", "600mg/kg"))
	require.NoError(t, err)
	assert.Equal(t, 500.0, r.Batches[0].MassG)
	_, err = quantity.Parse("500g", quantity.Mass)
	require.NoError(t, err)
}

// The limits of a step are readings of the scale, and none of them moves the
// bottle by more than a quarter of its uncertainty.
func TestStepsAreRoundedAndBounded(t *testing.T) {
	r, err := Make(request(t, kitchen(t), "500mL", "300mg/L", "600mg/L"))
	require.NoError(t, err)
	weighings := 0
	var all []string
	for _, s := range r.Steps {
		all = append(all, s.Text)
		if s.TargetG == 0 {
			continue
		}
		weighings++
		assert.False(t, s.Enter)
		assert.LessOrEqual(t, s.LowG, s.TargetG)
		assert.GreaterOrEqual(t, s.HighG, s.TargetG)
		for _, g := range []float64{s.TargetG, s.LowG, s.HighG} {
			assert.InDelta(t, 0, math.Remainder(g, 0.01), 1e-9)
			assert.LessOrEqual(t, math.Abs(g/s.TargetG-1), 0.25*r.Worst+0.005/s.TargetG)
		}
	}
	assert.Equal(t, 2+2*2, weighings) // stock: salt, water; each bottle: stock, water
	text := strings.Join(all, "\n")
	for _, want := range []string{"not for drinking", "out of the tub", "110 C", "If you overshoot, keep it and enter what you weighed", "Weigh each full closed bottle now", "Mains", "portions of", "wet a light cup"} {
		assert.Contains(t, strings.ToLower(text), strings.ToLower(want))
	}
	// 0.84 % of 1.34 g is 0.011 g, a quarter of it less than a step.
	assert.Contains(t, text, "weigh 1.34 g of NaCl into a clean, dry, empty bottle of its own (any other reading: enter it with recipe made)")
}

// A scale with a step of 1 g shows 2 g where 1.507 g would be right, a third of
// the salt more: the step must not call that right, nor give it limits.
func TestMassesTheScaleCannotShowAreToBeEntered(t *testing.T) {
	b := benchOf(t, solutions.NaCl, JarSpec{Purity: given(0.995), UPurity: given(0.003)},
		ScaleSpec{StepG: given(1), CapacityG: given(5000)}, WaterSpec{EC25: given(8), UEC25: given(1)})
	req := request(t, b, "500mL", "3000mg/L")
	req.Route = Direct
	r, err := Make(req)
	require.NoError(t, err)
	assert.InEpsilon(t, 3000, r.Batches[0].Worth.MgL.Nominal(), 1e-9)
	i := slices.IndexFunc(r.Steps, func(s Step) bool { return s.TargetG == 2 })
	require.GreaterOrEqual(t, i, 0)
	assert.True(t, r.Steps[i].Enter)
	assert.Zero(t, r.Steps[i].HighG)
	assert.Contains(t, r.Steps[i].Text, "(1.507 g would be right: as near as the scale shows, and enter it with recipe made)")
	assert.Contains(t, strings.Join(r.Warnings, "\n"), "the scale's step of 1 g is too coarse to hit these masses to a quarter of the bottle's u: bottle 1 (3000mg/L), 2 g")
}

// A quarter of the bottle's uncertainty is the limit on both sides, in readings.
func TestLimitsAreReadings(t *testing.T) {
	s, err := NewScale(ScaleSpec{StepG: given(0.01)})
	require.NoError(t, err)
	for _, c := range []struct{ mass, within, low, high float64 }{
		{1.5, 0.004, 1.5, 1.5}, {1.504, 0.005, 1.5, 1.5}, {1.505, 0.004, 1.51, 1.5}, {1.5, 0.01, 1.49, 1.51}, {1.5, 0.0299, 1.48, 1.52},
	} {
		low, high := s.readings(c.mass, c.within)
		assert.InDelta(t, c.low, low, 1e-9, "%v", c)
		assert.InDelta(t, c.high, high, 1e-9, "%v", c)
	}
}

// What is not known is left out of "met", and named.
func TestLeftOutSourcesAreNamed(t *testing.T) {
	b := benchOf(t, solutions.NaCl, JarSpec{Purity: given(0.995)}, ScaleSpec{}, WaterSpec{EC25: given(8), TempC: given(20)})
	r, err := Make(request(t, b, "500mL", "3000mg/L", "5000mg/L"))
	require.NoError(t, err)
	// By mass the thermometer does not matter, stated or not.
	assert.ElementsMatch(t, []string{"purity", "water's own conductivity"}, r.LeftOut)
	b = kitchen(t)
	b.Jug = jugOf(t, JugSpec{SizeML: 500, UML: given(1)})
	b.Water.TempC = uncert.Unstated(20, uncert.Source{ID: "water-temp:water", Label: "temperature"})
	r, err = Make(request(t, b, "500mL", "5000mg/L"))
	require.NoError(t, err)
	assert.Equal(t, []string{"temperature"}, r.LeftOut)
	r, err = Make(request(t, kitchen(t), "500mL", "3000mg/L"))
	require.NoError(t, err)
	assert.Empty(t, r.LeftOut)
}

// Numbers that differ are printed so that one sees it.
func TestReachedAndAskedAreToldApart(t *testing.T) {
	for _, c := range []struct {
		x, y float64
		a, b string
	}{{1.2, 1, "1.2", "1"}, {1.004, 1, "1.004", "1"}, {1.0449, 1.0441, "1.045", "1.044"}, {1.00004, 1, "1.00004", "1"}, {3, 3, "3", "3"}} {
		a, b := apart(c.x, c.y)
		assert.Equal(t, []string{c.a, c.b}, []string{a, b})
	}
}

// A batch of 500 g weighs 500 g with all that is in it: 20 g of salt of 95 %,
// by hand, bring 1.05 g of something else.
func TestImpuritiesAreWeighedToo(t *testing.T) {
	b := exact(t, solutions.NaCl)
	b.Jar.Purity = uncert.Exact(0.95)
	req := request(t, b, "500g", "40000mg/kg")
	req.Route = Direct
	r, err := Make(req)
	require.NoError(t, err)
	batch := r.Batches[0]
	assert.InDelta(t, 500, batch.SaltG.Total*1.000403+batch.WaterG.Total*1.001053, 0.001)
	assert.InDelta(t, 500, batch.MassG, 1e-9)
	// 40 g in 1000 g of salt and water, 20 g in 500 g less the impurity.
	assert.InDelta(t, 20.0/(1+0.04*(1/0.95-1)), batch.SaltG.Total*1.000403*0.95, 1e-4)
}

// The direct route without a step of salt names the route that would do.
func TestDirectRouteWithTooLittleSaltNamesTheStock(t *testing.T) {
	req := request(t, kitchen(t), "500mL", "10mg/L")
	req.Route = Direct
	_, err := Make(req)
	require.ErrorIs(t, err, ErrNoPlan)
	assert.ErrorContains(t, err, "a stock does: want --route stock or auto")
}

func TestWaterAloneMayBeWhatPutsATargetOutOfReach(t *testing.T) {
	b := kitchen(t)
	_, err := Make(request(t, b, "500mL", "9uS/cm"))
	assert.ErrorContains(t, err, "9 uS/cm in all leave 1 uS/cm for the salt beside the water's own 8 uS/cm")
}

// A full bottle cannot be shaken.
func TestHeadspaceIsRemarkedOnAndKeptInStocks(t *testing.T) {
	for ml, warned := range map[float64]bool{500: true, 520: true, 530: false} {
		req := request(t, kitchen(t), "500mL", "300mg/L")
		req.BottlesML = []float64{ml}
		r, err := Make(req)
		require.NoError(t, err)
		assert.Equal(t, warned, strings.Contains(strings.Join(r.Warnings, "\n"), "cannot be shaken"), "%v mL", ml)
		for _, st := range r.Stocks {
			assert.LessOrEqual(t, st.Mixed.MassG.Nominal(), 0.95*ml*1.05)
		}
	}
}

// What cancels is not a source: no trace of the gain in what one scale weighs.
func TestWhatCancelsIsNotCounted(t *testing.T) {
	r, err := Make(request(t, kitchen(t), "500mL", "3000mg/L", "5000mg/L"))
	require.NoError(t, err)
	for _, b := range r.Batches {
		own, _ := b.Split()
		assert.True(t, own == 0 || own > 1e-9, "%v", own)
	}
	m, err := AsMade(MadeRequest{Bench: roomy(t), Stocks: []Weighed{{SaltG: []float64{5}, WaterG: []float64{495}}}, Bottle: Weighed{StockG: []float64{200}}})
	require.NoError(t, err)
	own, shared := m.Split()
	assert.Zero(t, own)
	assert.Positive(t, shared)
}
