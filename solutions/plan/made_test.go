package plan

import (
	"math"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A plan and its own masses, entered as weighed, are the same bottle: value,
// uncertainty and every source.
func TestPlannedMassesAsMadeAreThePlan(t *testing.T) {
	for _, target := range []string{"30mg/L", "600mg/L", "20000mg/L"} {
		r, err := Make(request(t, kitchen(t), "500mL", target))
		require.NoError(t, err)
		b := r.Batches[0]
		req := MadeRequest{Bench: kitchen(t), Bottle: Weighed{WaterG: b.WaterG.shares()}}
		for _, s := range r.Stocks {
			w := Weighed{WaterG: s.WaterG.shares()}
			if s.SaltG != nil {
				w.SaltG = s.SaltG.shares()
			} else {
				w.StockG = s.StockG.shares()
			}
			req.Stocks = append(req.Stocks, w)
		}
		if b.SaltG != nil {
			req.Bottle.SaltG = b.SaltG.shares()
		} else {
			req.Bottle.StockG = b.StockG.shares()
		}
		m, err := AsMade(req)
		require.NoError(t, err)
		difference := m.Now.EC25.Sub(b.Worth.EC25)
		assert.InDelta(t, 0, difference.Nominal(), 1e-9, target)
		assert.InDelta(t, 0, difference.U(), 1e-9, target)
		assert.Equal(t, b.Route, m.Route)
	}
}

// Working backwards, by hand: 0.74551 g of KCl and 1000 g of water, true
// masses, are 0.0100 mol/kg, the IUPAC primary standard of 1408.23 uS/cm (Pratt
// et al. 2001). On the scale they show less by the buoyancy of OIML D 28.
func TestBottleMadeBySomeoneElse(t *testing.T) {
	m, err := AsMade(MadeRequest{Bench: exact(t, solutions.KCl), Name: "theirs", Bottle: Weighed{
		SaltG: []float64{0.745513 / 1.000454}, WaterG: []float64{400 / 1.001053, 600 / 1.001053},
	}})
	require.NoError(t, err)
	assert.InEpsilon(t, 0.01, m.Now.Molality.Nominal(), 1e-6)
	assert.InEpsilon(t, 1408.23, m.Now.EC25.Nominal(), 0.0006)
	// 0.01 mol/kg · 74.5513 g/mol in 1000.7455 g of 997.5 kg/m3.
	assert.InEpsilon(t, 743.1, m.Now.MgL.Nominal(), 2e-4)
}

// A miss of 3 % in the salt is a bottle stronger by 3 %, not a bad bottle.
func TestOvershootIsKeptAndKnown(t *testing.T) {
	planned, err := AsMade(MadeRequest{Bench: roomy(t), Bottle: Weighed{SaltG: []float64{5}, WaterG: []float64{495}}})
	require.NoError(t, err)
	over, err := AsMade(MadeRequest{Bench: roomy(t), Bottle: Weighed{SaltG: []float64{5.15}, WaterG: []float64{495}}})
	require.NoError(t, err)
	assert.InEpsilon(t, 1.03, over.Now.Molality.Nominal()/planned.Now.Molality.Nominal(), 1e-9)
	assert.InEpsilon(t, planned.Now.EC25.RelU(), over.Now.EC25.RelU(), 0.01)
}

func TestMassesThatAreRefused(t *testing.T) {
	good := Weighed{SaltG: []float64{5}, WaterG: []float64{165, 165, 165}}
	for _, c := range []struct {
		name string
		req  MadeRequest
		want string
	}{
		{"negative salt", MadeRequest{Bottle: Weighed{SaltG: []float64{-5}, WaterG: []float64{495}}}, "bottle 1: salt mass: -5 is negative"},
		{"no salt", MadeRequest{Bottle: Weighed{WaterG: []float64{495}}}, "bottle 1: no salt was given"},
		{"salt 0", MadeRequest{Bottle: Weighed{SaltG: []float64{0}, WaterG: []float64{495}}}, "salt mass is 0 g"},
		{"no water", MadeRequest{Bottle: Weighed{SaltG: []float64{5}}}, "bottle 1: no water was given"},
		{"water not a number", MadeRequest{Bottle: Weighed{SaltG: []float64{5}, WaterG: []float64{math.NaN()}}}, "NaN is not a finite number"},
		{"water infinite", MadeRequest{Bottle: Weighed{SaltG: []float64{5}, WaterG: []float64{math.Inf(1)}}}, "+Inf is not a finite number"},
		{"above the capacity", MadeRequest{Bench: kitchen(t), Bottle: Weighed{SaltG: []float64{5}, WaterG: []float64{495}}}, "water mass: 495 g in one weighing is above the capacity of the scale, 200 g"},
		{"volume without a jug", MadeRequest{Bottle: Weighed{SaltG: []float64{5}, WaterML: []float64{500}}}, "without the jug"},
		{"stock from nowhere", MadeRequest{Bottle: Weighed{StockG: []float64{5}, WaterG: []float64{495}}}, "without the salt and water"},
		{"salt and stock", MadeRequest{Stocks: []Weighed{good}, Bottle: Weighed{SaltG: []float64{1}, StockG: []float64{5}, WaterG: []float64{495}}}, "both given"},
		{"stock without water", MadeRequest{Stocks: []Weighed{{SaltG: []float64{5}}}, Bottle: Weighed{StockG: []float64{5}, WaterG: []float64{495}}}, "stock A: no water"},
		{"more than there is", MadeRequest{Stocks: []Weighed{good}, Bottle: Weighed{StockG: []float64{600}, WaterG: []float64{495}}}, "only 500.5 g were made"},
		{"too many stocks", MadeRequest{Stocks: []Weighed{good, good, good}, Bottle: good}, "at most 2"},
		{"stock beyond saturation", MadeRequest{Stocks: []Weighed{{SaltG: []float64{200}, WaterG: []float64{300}}}, Bottle: Weighed{StockG: []float64{5}, WaterG: []float64{495}}}, "stock A: 11.34 mol of NaCl per kg of water is above its solubility, 6.141 mol/kg at 20 C"},
		{"bottle beyond the model", MadeRequest{Bottle: Weighed{SaltG: []float64{50}, WaterG: []float64{450}}}, "bottle 1: conductivity of NaCl"},
	} {
		if c.req.Bench.Jar.ID == "" {
			c.req.Bench = roomy(t)
		}
		_, err := AsMade(c.req)
		assert.ErrorContains(t, err, c.want, c.name)
	}
}

func TestStockMayBeUsedAsItIs(t *testing.T) {
	m, err := AsMade(MadeRequest{Bench: roomy(t), Stocks: []Weighed{{SaltG: []float64{5}, WaterG: []float64{495}}}, Bottle: Weighed{StockG: []float64{200}}})
	require.NoError(t, err)
	direct, err := AsMade(MadeRequest{Bench: roomy(t), Bottle: Weighed{SaltG: []float64{5}, WaterG: []float64{495}}})
	require.NoError(t, err)
	assert.InDelta(t, direct.Now.EC25.Nominal(), m.Now.EC25.Nominal(), 1e-9)
	assert.InDelta(t, direct.Now.EC25.U(), m.Now.EC25.U(), 1e-9)
}

// The name of a bottle is not that of a stock, and one name may begin with, or
// end in, another: whose a weighing is does not hang on that.
func TestABottleOwnsItsWeighingsAlone(t *testing.T) {
	stock := Weighed{SaltG: []float64{5.02}, WaterG: []float64{145.1}}
	bottle := Weighed{StockG: []float64{4.53}, WaterG: []float64{495}}
	plain, err := AsMade(MadeRequest{Bench: roomy(t), Name: "bottle 1", Stocks: []Weighed{stock}, Bottle: bottle})
	require.NoError(t, err)
	own, shared := plain.Split()
	require.Positive(t, own)
	require.Greater(t, shared, own)
	for _, c := range []struct{ name, stockName, bottleID, stockID string }{
		{"A", "", "", ""}, {"stock A", "", "", ""}, {"k A", "", "", ""}, {"", "bottle 1", "", ""},
		{"A", "A", "A", "A"}, {"A", "A", "A", "A/x"}, {"A", "A", "A/x", "A"}, {"stock:A", "A", "stock:A", "A"},
	} {
		s, w := stock, bottle
		s.Name, s.ID, w.ID = c.stockName, c.stockID, c.bottleID
		m, err := AsMade(MadeRequest{Bench: roomy(t), Name: c.name, Stocks: []Weighed{s}, Bottle: w})
		require.NoError(t, err)
		gotOwn, gotShared := m.Split()
		assert.InEpsilon(t, own, gotOwn, 1e-12, "%+v", c)
		assert.InEpsilon(t, shared, gotShared, 1e-12, "%+v", c)
	}

	// Bottles of one stock, by its identity, share its weighings on any day.
	kept := func(run, bottleID, stockID string) uncert.Value {
		b, s, w := roomy(t), stock, bottle
		b.Run, s.ID, w.ID = run, stockID, bottleID
		m, err := AsMade(MadeRequest{Bench: b, Stocks: []Weighed{s}, Bottle: w})
		require.NoError(t, err)
		return m.Now.EC25
	}
	a, b, c := kept("monday ", "A", "S"), kept("tuesday ", "B", "S"), kept("tuesday ", "C", "T")
	assert.InEpsilon(t, shared*shared, uncert.Cov(a, b), 1e-9)
	of := func(v uncert.Value, what string) float64 { return math.Pow(v.Part("weighing:stock:S/"+what), 2) }
	assert.InEpsilon(t, shared*shared-of(a, "salt")-of(a, "water"), uncert.Cov(b, c), 1e-9, "two stocks")
}

// Bottles of two bench days share the jar and the scale but no weighing.
func TestRunsKeepWeighingsApart(t *testing.T) {
	w := Weighed{SaltG: []float64{5}, WaterG: []float64{495}}
	monday, tuesday := roomy(t), roomy(t)
	tuesday.Run = "2026-03-03 "
	a, err := AsMade(MadeRequest{Bench: monday, Bottle: w})
	require.NoError(t, err)
	b, err := AsMade(MadeRequest{Bench: tuesday, Bottle: w})
	require.NoError(t, err)
	own, shared := a.Split()
	assert.InEpsilon(t, shared*shared, uncert.Cov(a.Now.EC25, b.Now.EC25), 1e-9)
	assert.InEpsilon(t, math.Sqrt2*own, a.Now.EC25.Sub(b.Now.EC25).U(), 1e-9)
}

// One percent of the content lost is water lost, and one percent more strength
// (common practice); exactly 1/(1 - 0.01/0.99) where the content is 99 % water.
func TestOnePercentLostIsOnePercentStronger(t *testing.T) {
	b := exact(t, solutions.NaCl)
	content := 500.0
	m, err := AsMade(MadeRequest{Bench: b, Bottle: Weighed{SaltG: []float64{5}, WaterG: []float64{495}},
		Later: &Reweighed{MadeG: 550, NowG: 545, EmptyG: given(50), UG: given(0.1)}})
	require.NoError(t, err)
	assert.InDelta(t, 0.01, m.Loss.Fraction.Nominal(), 1e-5) // 5 g of 500 g, buoyancy of both alike
	water := m.Mixed.Water.Nominal()
	assert.InDelta(t, 1/(1-0.01/water), m.Loss.Gain.Nominal(), 1e-5)
	assert.InDelta(t, m.Fresh.Molality.Nominal()*m.Loss.Gain.Nominal(), m.Now.Molality.Nominal(), 1e-12)
	// Two weighings of 0.1 g: √2 · 0.1 g in 500 g of content is 0.028 %.
	assert.InEpsilon(t, 0.1*math.Sqrt2/content/water, m.Loss.Gain.U(), 0.03)
	assert.Empty(t, m.Warnings)

	// Without the empty bottle, the content is what was weighed in.
	same, err := AsMade(MadeRequest{Bench: b, Bottle: Weighed{SaltG: []float64{5}, WaterG: []float64{495}},
		Later: &Reweighed{MadeG: 550, NowG: 545, UG: given(0.1)}})
	require.NoError(t, err)
	assert.InEpsilon(t, m.Now.EC25.Nominal(), same.Now.EC25.Nominal(), 1e-5)
}

// The water's own ions stay behind as well.
func TestEvaporationConcentratesTheWatersOwnConductivity(t *testing.T) {
	b := exact(t, solutions.NaCl)
	b.Water.EC25 = uncert.Exact(10)
	m, err := AsMade(MadeRequest{Bench: b, Bottle: Weighed{SaltG: []float64{1}, WaterG: []float64{999}},
		Later: &Reweighed{MadeG: 1050, NowG: 950, UG: given(0)}})
	require.NoError(t, err)
	salt, err := solutions.Conductivity(solutions.NaCl, m.Now.Molality.Nominal(), 25)
	require.NoError(t, err)
	assert.InDelta(t, 10*m.Loss.Gain.Nominal(), m.Now.EC25.Nominal()-salt, 1e-9)
}

func TestLaterWeighingsThatAreRefusedOrRemarkedOn(t *testing.T) {
	w := Weighed{SaltG: []float64{5}, WaterG: []float64{495}}
	for _, c := range []struct {
		name  string
		later Reweighed
		want  string
	}{
		{"heavier", Reweighed{MadeG: 550, NowG: 551, UG: given(0.02)}, "heavier by 1.00"},
		{"heavier than a kitchen scale can explain", Reweighed{MadeG: 550, NowG: 555}, "heavier by 5"},
		{"more than it held", Reweighed{MadeG: 550, NowG: 30}, "more than the water it held"},
		{"full bottle lighter than its content", Reweighed{MadeG: 400, NowG: 399}, "the full bottle weighed 400 g when made, less than the 500.5 g weighed into it"},
		{"another batch", Reweighed{MadeG: 1050, NowG: 1049, EmptyG: given(50)}, "500.5 g were weighed in, but full less empty is 1001 g"},
		{"masses beyond reason", Reweighed{MadeG: 1e301, NowG: 1e301}, "1e+301 g is outside its range"},
		{"empty too heavy", Reweighed{MadeG: 550, NowG: 545, EmptyG: given(548)}, "not below the full one"},
		{"zero", Reweighed{MadeG: 0, NowG: 545}, "0 g"},
		{"not a number", Reweighed{MadeG: 550, NowG: math.NaN()}, "NaN g"},
		{"infinite", Reweighed{MadeG: math.Inf(1), NowG: 500}, "+Inf g"},
		{"u negative", Reweighed{MadeG: 550, NowG: 545, UG: given(-1)}, "-1 g"},
		{"dried out of the model", Reweighed{MadeG: 550, NowG: 120}, "now: conductivity of NaCl"},
	} {
		_, err := AsMade(MadeRequest{Bench: roomy(t), Bottle: w, Later: &c.later})
		assert.ErrorContains(t, err, c.want, c.name)
	}
	for _, c := range []struct {
		later Reweighed
		want  string
	}{
		{Reweighed{MadeG: 550, NowG: 550.02, UG: given(0.02)}, "heavier by 0.02 g"},
		{Reweighed{MadeG: 550, NowG: 480, UG: given(0.02)}, "has lost 14 %"},
		{Reweighed{MadeG: 550, NowG: 549}, "1 g in each of the two full masses is 0.28 % of the strength"},
	} {
		m, err := AsMade(MadeRequest{Bench: roomy(t), Bottle: w, Later: &c.later})
		require.NoError(t, err)
		assert.Contains(t, strings.Join(m.Warnings, "\n"), c.want)
	}
}

// The bottle is weighed on whatever scale takes it: the pocket scale that weighed
// the salt, of 200 g and with a linearity of its own, has no say in it.
func TestBottleMassesComeFromAnyScale(t *testing.T) {
	b := benchOf(t, solutions.NaCl, JarSpec{Purity: given(0.995), UPurity: given(0.003)},
		ScaleSpec{CapacityG: given(200), LinearityG: given(0.5)}, WaterSpec{EC25: given(8), UEC25: given(1)})
	req := MadeRequest{Bench: b, Bottle: Weighed{SaltG: []float64{5}, WaterG: []float64{165, 165, 165}},
		Later: &Reweighed{MadeG: 550, NowG: 545, EmptyG: given(49.4), UG: given(0.3)}}
	m, err := AsMade(req)
	require.NoError(t, err)
	assert.InEpsilon(t, 0.3*math.Sqrt2*1.00105, m.Loss.MassG.U(), 2e-4) // with the buoyancy of water
	// 5 g of 501 g, about.
	assert.InDelta(t, 1.0102, m.Loss.Gain.Nominal(), 0.0002)

	req.Later.UG = nil
	m, err = AsMade(req)
	require.NoError(t, err)
	require.Len(t, m.Now.EC25.Unstated(), 1, "unknown is neither zero nor that of the pocket scale")
	assert.Equal(t, "weighings of the bottle", m.Now.EC25.Unstated()[0].Label)
	assert.Contains(t, strings.Join(m.Warnings, "\n"), "--u-bottle-mass")

	req.Later.UG = given(0)
	m, err = AsMade(req)
	require.NoError(t, err)
	assert.Empty(t, m.Now.EC25.Unstated(), "0 is exact")
}

func TestDoubtfulReadingsAreRemarkedOn(t *testing.T) {
	for want, w := range map[string]Weighed{
		"5.003 g of salt is nothing that a scale with a step of 0.01 g shows": {SaltG: []float64{5.003}, WaterG: []float64{495}},
		"0.4 g of salt is only 40 steps of the scale":                         {SaltG: []float64{0.4}, WaterG: []float64{495}},
		"0.3 g of water is only 30 steps of the scale":                        {SaltG: []float64{0.01}, WaterG: []float64{0.3}},
		"reaches below zero: this bottle is no reference":                     {SaltG: []float64{0.01}, WaterG: []float64{495}},
	} {
		m, err := AsMade(MadeRequest{Bench: roomy(t), Bottle: w})
		require.NoError(t, err)
		assert.Contains(t, strings.Join(m.Warnings, "\n"), want)
	}
	m, err := AsMade(MadeRequest{Bench: roomy(t), Bottle: Weighed{SaltG: []float64{5.03}, WaterG: []float64{495.17}}})
	require.NoError(t, err)
	assert.Empty(t, m.Warnings)
}

// Sums that no balance and no float64 can hold are refused, by what they are.
func TestSumsBeyondReasonAreRefused(t *testing.T) {
	_, err := AsMade(MadeRequest{Bench: roomy(t), Bottle: Weighed{SaltG: []float64{5}, WaterG: []float64{1.7e308, 1.7e308}}})
	assert.ErrorContains(t, err, "bottle 1: water mass: all together: mass +Inf g is outside its range")
	assert.Less(t, len(err.Error()), 200)
	_, err = AsMade(MadeRequest{Bench: roomy(t), Bottle: Weighed{SaltG: []float64{5}, WaterG: []float64{1e300}}})
	assert.Less(t, len(err.Error()), 200)
}
