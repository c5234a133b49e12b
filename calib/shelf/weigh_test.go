package shelf

import (
	"math/rand/v2"
	"testing"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
	"github.com/brinemark/brinemark/solutions/plan"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// weighed is a bottle with its masses.
func weighed(b logbook.Bottle, fullG, emptyG, uG float64) logbook.Bottle {
	b.FullG, b.EmptyG, b.UWeighingG = known(fullG), known(emptyG), known(uG)
	b.Weighing = "weighing:" + b.Name + "/full/made"
	return b
}

// One per cent of mass lost is about one per cent of strength gained.
func TestOnePerCentLostIsOnePerCentGained(t *testing.T) {
	for _, unit := range []string{"mg/L", "uS/cm", "mol/kg", "ppm"} {
		strength := map[string]float64{"mg/L": 600, "uS/cm": 1200, "mol/kg": 0.01, "ppm": 600}[unit]
		b := weighed(saltBottle("A", "NaCl", unit, strength, strength/100), 552.3, 52.3, 0.05)
		if unit == "ppm" {
			b.PPMFactor = known(0.5)
		}
		before, err := True(b, uncert.Exact(25))
		require.NoError(t, err)
		next, loss, warnings, err := Weigh(b, Weighing{At: noon, MassG: 547.3})
		require.NoError(t, err)
		assert.Empty(t, warnings)
		assert.InDelta(t, 0.01, loss.Fraction.Nominal(), 0.0001)
		assert.Equal(t, "A", next.Supersedes)
		assert.Equal(t, noon, next.Since)
		after, err := True(next, uncert.Exact(25))
		require.NoError(t, err)
		assert.InDelta(t, 1.01, after.Nominal()/before.Nominal(), 0.0006, unit)
		assert.InDelta(t, before.RelU(), after.RelU(), 0.0003, unit)
		assert.Greater(t, uncert.Corr(before, after), 0.99, "the error of the strength is still the same one")
	}
}

// The planner books the same loss on the bottle it made: here by way of the
// record.
func TestTheLossIsThatOfThePlanner(t *testing.T) {
	req := plan.MadeRequest{
		Bench: kitchen(t, ""), Name: "A",
		Bottle: plan.Weighed{SaltG: []float64{3.01}, WaterG: []float64{497}},
	}
	fresh, err := plan.AsMade(req)
	require.NoError(t, err)
	req.Later = &plan.Reweighed{MadeG: 552.3, NowG: 540.1, EmptyG: known(52.3), UG: known(0.05)}
	later, err := plan.AsMade(req)
	require.NoError(t, err)
	b, err := Made(fresh, "A", nil)
	require.NoError(t, err)
	next, loss, _, err := Weigh(weighed(b, 552.3, 52.3, 0.05), Weighing{At: noon, MassG: 540.1})
	require.NoError(t, err)
	assert.InEpsilon(t, later.Loss.MassG.Nominal(), loss.MassG.Nominal(), 1e-4)
	assert.InEpsilon(t, later.Loss.Gain.Nominal(), loss.Gain.Nominal(), 1e-5)
	now, err := True(next, uncert.Exact(25))
	require.NoError(t, err)
	assert.InEpsilon(t, later.Now.EC25.Nominal(), now.Nominal(), 1e-5)
	assert.InEpsilon(t, later.Now.EC25.U(), now.U(), 1e-3)
}

// Two losses booked one after the other are one loss: the weighing between them
// drops out, and what is left is as sure as if it had never been.
func TestTheWeighingBetweenDropsOut(t *testing.T) {
	b := weighed(saltBottle("A", "NaCl", "mol/kg", 0.01, 0), 552.3, 52.3, 0.5)
	first, _, _, err := Weigh(b, Weighing{At: noon, MassG: 548.3})
	require.NoError(t, err)
	first.ID = "A/2"
	second, _, _, err := Weigh(stored(t, asFirst(first)), Weighing{At: noon.AddDate(0, 1, 0), MassG: 542.3})
	require.NoError(t, err)
	direct, _, _, err := Weigh(b, Weighing{At: noon.AddDate(0, 1, 0), MassG: 542.3})
	require.NoError(t, err)
	twice, err := second.Strength.Uncertain()
	require.NoError(t, err)
	once, err := direct.Strength.Uncertain()
	require.NoError(t, err)
	assert.InEpsilon(t, once.Nominal(), twice.Nominal(), 1e-9)
	assert.InEpsilon(t, once.U(), twice.U(), 0.002)
	assert.InDelta(t, 0, twice.Part(first.Weighing), 0.01*twice.U())
}

// asFirst makes a version one that can be saved alone.
func asFirst(b logbook.Bottle) logbook.Bottle {
	b.Head = logbook.Head{}
	return b
}

// After a portion was poured out the next loss counts from what was left.
func TestAPortionPouredOutIsNoLoss(t *testing.T) {
	b := weighed(saltBottle("A", "NaCl", "mol/kg", 0.01, 0.0001), 552.3, 52.3, 0.01)
	used, loss, _, err := Weigh(b, Weighing{At: noon, MassG: 552.3, LeftG: known(452.3)})
	require.NoError(t, err)
	assert.Zero(t, loss.MassG.Nominal())
	used.ID = "A/2"
	later, loss, _, err := Weigh(used, Weighing{At: noon.AddDate(0, 1, 0), MassG: 448.3})
	require.NoError(t, err)
	assert.InDelta(t, 4, loss.MassG.Nominal(), 0.01)
	assert.InDelta(t, 0.01, loss.Fraction.Nominal(), 0.0001, "of the 400 g that were left")
	assert.InEpsilon(t, 0.0101, later.Strength.Value, 0.0005)
}

func TestTheFirstWeighingOnlyBegins(t *testing.T) {
	b := saltBottle("A", "NaCl", "mol/kg", 0.01, 0.0001)
	next, loss, warnings, err := Weigh(b, Weighing{At: noon, MassG: 552.3, UG: known(0.05)})
	require.NoError(t, err)
	assert.Nil(t, loss)
	assert.Empty(t, warnings)
	assert.Equal(t, 552.3, *next.FullG)
	assert.Equal(t, b.Strength, next.Strength)
}

func TestWeighingsThatCannotBe(t *testing.T) {
	b := weighed(saltBottle("A", "NaCl", "mol/kg", 0.01, 0.0001), 552.3, 52.3, 0.05)
	b.Since = noon
	later := noon.AddDate(0, 0, 1)
	for text, c := range map[string]struct {
		change func(*logbook.Bottle)
		w      Weighing
	}{
		"heavier by 1 g":            {nil, Weighing{At: later, MassG: 553.3}},
		"want a later time":         {nil, Weighing{At: noon, MassG: 550}},
		"not more than the empty":   {nil, Weighing{At: later, MassG: 40}},
		"want the mass":             {nil, Weighing{At: later, MassG: -1}},
		"want less than before":     {nil, Weighing{At: later, MassG: 550, LeftG: known(551)}},
		"uncertainty of a weighing": {func(b *logbook.Bottle) { b.UWeighingG = nil }, Weighing{At: later, MassG: 550}},
		"neither the mass":          {func(b *logbook.Bottle) { b.EmptyG = nil }, Weighing{At: later, MassG: 550}},
		"make a fresh one":          {func(b *logbook.Bottle) { b.Salt, b.Strength, b.Buffer = "", nil, "7.00" }, Weighing{At: later, MassG: 550}},
		"more than the water":       {func(b *logbook.Bottle) { b.EmptyG, b.ContentG = nil, known(100) }, Weighing{At: later, MassG: 440}},
		"more than it held":         {func(b *logbook.Bottle) { b.EmptyG, b.ContentG = nil, known(100) }, Weighing{At: later, MassG: 552.3, LeftG: known(400)}},
	} {
		changed := b
		if c.change != nil {
			c.change(&changed)
		}
		_, _, _, err := Weigh(changed, c.w)
		require.ErrorIs(t, err, ErrWeighing, text)
		assert.ErrorContains(t, err, text)
	}
	_, _, warnings, err := Weigh(b, Weighing{At: later, MassG: 452.3, NothingPoured: true})
	require.NoError(t, err)
	assert.Contains(t, warnings[0], "has lost 20 % of its content: make a fresh one")
	_, _, warnings, err = Weigh(b, Weighing{At: later, MassG: 552.4})
	require.NoError(t, err)
	assert.Contains(t, warnings[0], "which weighing can explain")
}

// The strength after a loss is within its 95 % interval in 95 of 100 invented
// cases: the band is that of 4000 trials, three standard deviations wide.
func TestTheStrengthAfterALossCoversAsClaimed(t *testing.T) {
	r := rand.New(rand.NewPCG(95, 4))
	const trials = 4000
	const fullG, emptyG, uG, molality, uMolality = 552.0, 52.0, 0.4, 0.01, 0.00005
	covered := 0
	for range trials {
		lossG := 20 * r.Float64()
		truth := molality + uMolality*r.NormFloat64()
		b := weighed(saltBottle("A", "NaCl", "mol/kg", molality, uMolality), fullG+uG*r.NormFloat64(), emptyG+uG*r.NormFloat64(), uG)
		next, _, _, err := Weigh(b, Weighing{At: noon, MassG: fullG - lossG + uG*r.NormFloat64()})
		if err != nil { // it appeared heavier than weighing explains, 1 in 700 of a loss of nothing
			continue
		}
		v, err := next.Strength.Uncertain()
		require.NoError(t, err)
		trueContent := (fullG - emptyG) * 1.00105 // buoyancy of water, OIML R 111
		water := trueContent / (1 + molality*solutions.NaCl.MolarMass/1000)
		now := truth * water / (water - lossG*1.00105)
		if i := v.Expanded(0.95); i.Low <= now && now <= i.High {
			covered++
		}
	}
	assert.InDelta(t, 0.95, float64(covered)/trials, 0.0104)
}
