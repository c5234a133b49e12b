package agree

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
)

var fourBottles = []float64{400, 1000, 1413, 2800}

func TestMetersAgainstReferences(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 1))
	b := bench{refs: fourBottles, bottle: 0.006, noise: 0.004, gain: -0.08, giveRefs: true, giveU: true, giveNoise: true}
	c := compared(t, b.rows(rng), check.EC, fivePercent)
	require.Len(t, c.Meters, 2)
	good, bad := c.Meters[0], c.Meters[1]
	assert.Equal(t, conformity.Pass, good.Verdict)
	assert.Equal(t, conformity.Fail, bad.Verdict)
	assert.InDelta(t, -0.08, bad.WorstError, 0.02)
	assert.True(t, bad.Relative)
	assert.InDelta(t, -0.08*2800, bad.High.Error, 3*bad.High.U)
	assert.InDelta(t, -0.08*400, bad.Low.Error, 3*bad.Low.U)
	for _, e := range bad.Errors {
		assert.InDelta(t, e.Zeta/2, e.En, 1e-12)
		assert.InDelta(t, e.Error/e.U, e.Zeta, 1e-12)
	}
	assert.Contains(t, c.Next, "calibrate B")

	none := compared(t, b.rows(rng), check.EC, quantity.Tolerance{})
	assert.Empty(t, none.Meters[1].Verdict)
	assert.InDelta(t, -0.08*2800, none.Meters[1].WorstError, 60, "without a tolerance the error is in the unit of the reading")
	assert.Contains(t, none.Next, "Give a tolerance")
}

// The signed error that is largest against its tolerance is not the largest one.
func TestWorstErrorIsAgainstItsTolerance(t *testing.T) {
	rows := two([]float64{104, 1015, 2970}, []float64{104, 1015, 2970})
	for i := range rows {
		rows[i].Ref = ptr([]float64{100, 1000, 3000}[i/2])
	}
	relative := compared(t, rows, check.EC, fivePercent).Meters[0]
	assert.InDelta(t, 0.04, relative.WorstError, 1e-12)
	assert.Equal(t, "S1", relative.WorstSample)
	absolute := compared(t, rows, check.EC, quantity.Tolerance{Value: 50}).Meters[0]
	assert.InDelta(t, -30, absolute.WorstError, 1e-12)
	assert.Equal(t, "S3", absolute.WorstSample)
}

// The fitted error at both ends covers the truth as claimed in every state of
// knowledge: nothing stated, all stated, references of one stock, repetitions.
// Where only a part is stated the interval is an approximation that simulation
// puts within 1.5 % of its claim.
func TestIntervalsOfTheFittedErrorCover(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 2))
	trials := trialsOf(1500)
	cases := []struct {
		name string
		bench
		slack float64
	}{
		{"nothing stated, 3 bottles", bench{refs: fourBottles[1:], giveRefs: true}, 0},
		{"nothing stated, 4 bottles", bench{refs: fourBottles, giveRefs: true}, 0},
		{"nothing stated, repeated", bench{refs: fourBottles, reps: 3, giveRefs: true}, 0},
		{"all stated, one bottle", bench{refs: fourBottles[:1], giveRefs: true, giveU: true, giveNoise: true}, 0},
		{"all stated, two of one stock", bench{refs: fourBottles[1:3], stock: 0.01, giveRefs: true, giveU: true, giveNoise: true}, 0},
		{"all stated, four of one stock", bench{refs: fourBottles, stock: 0.01, giveRefs: true, giveU: true, giveNoise: true}, 0.015},
		{"references stated", bench{refs: fourBottles, stock: 0.01, giveRefs: true, giveU: true}, 0.015},
		{"references stated, repeated", bench{refs: fourBottles, reps: 3, giveRefs: true, giveU: true}, 0.015},
	}
	for _, c := range cases {
		c.bottle, c.noise, c.gain = 0.006, 0.004, 0.03
		covered := 0
		for range trials {
			s := newSet(t, c.rows(rng))
			fit, err := s.errorLine("B", s.cellsOf("B"), fivePercent).solve()
			require.NoError(t, err)
			k := uncert.CoverageFactor(level, fit.dof)
			for i := range fit.mean {
				if math.Abs(fit.mean[i]-0.03/0.05) <= k*fit.u[i] {
					covered++
				}
			}
		}
		// The two ends are correlated: count trials, not ends, in the band.
		assert.InDelta(t, level, float64(covered)/float64(2*trials), band(trials)+c.slack, c.name)
	}
}

// A meter whose true error is exactly the tolerance, at the lowest reference,
// passes, or fails, in no more than 5 % of cases.
func TestMeterVerdictsAtTheEdge(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 3))
	trials := trialsOf(3000)
	for _, b := range []bench{
		{refs: fourBottles, giveRefs: true},
		{refs: fourBottles, stock: 0.01, giveRefs: true, giveU: true, giveNoise: true},
	} {
		name := fmt.Sprintf("all stated: %v", b.giveU)
		b.bottle, b.noise, b.zero = 0.006, 0.004, 0.05*fourBottles[0]
		pass, fail := 0, 0
		for range trials {
			s := newSet(t, b.rows(rng))
			e := s.errorLine("B", s.cellsOf("B"), fivePercent)
			fit, err := e.solve()
			require.NoError(t, err)
			switch conformity.Default.Decide(bothWithin(fit.mean, fit.u, fit.corr, fit.dof)) {
			case conformity.Pass:
				pass++
			case conformity.Fail:
				fail++
			}
		}
		edge := 0.05 + 3*math.Sqrt(0.05*0.95/float64(trials))
		assert.LessOrEqual(t, float64(pass)/float64(trials), edge, name)
		assert.LessOrEqual(t, float64(fail)/float64(trials), edge, name)
		assert.Greater(t, pass+fail, 0, name)
	}
}

// What bottles of one stock share does not average away, and is the same for
// both meters.
func TestSharedErrorsStayInVerdictsAndCancelBetweenMeters(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 4))
	refs := []float64{300, 500, 800, 1000, 1400, 1800, 2200, 2800, 3500, 4000}
	b := bench{refs: refs, bottle: 0.001, noise: 0.001, stock: 0, giveRefs: true, giveU: true, giveNoise: true}
	rows := b.rows(rng)
	sharp := compared(t, rows, check.EC, fivePercent)
	for i := range rows {
		rows[i].URefShared = ptr(0.03 * *rows[i].Ref)
	}
	shared := compared(t, rows, check.EC, fivePercent)
	assert.InDelta(t, 0.03*4000, shared.Meters[0].High.U, 10)
	assert.Equal(t, sharp.Pairs[0].Bias, shared.Pairs[0].Bias)
	assert.Equal(t, sharp.Pairs[0].PAgree, shared.Pairs[0].PAgree)
	assert.Equal(t, conformity.Pass, sharp.Meters[0].Verdict)
	assert.Equal(t, conformity.Undecided, shared.Meters[0].Verdict)
	assert.True(t, shared.Meters[0].SharedLimits)
	assert.Zero(t, shared.Meters[0].MoreSamples)
	assert.Contains(t, shared.Next, "another source")

	for i := range rows { // ten bottles of ten sources
		rows[i].RefSource = rows[i].Sample
	}
	apart := compared(t, rows, check.EC, fivePercent)
	assert.Less(t, apart.Meters[0].High.U, 0.6*shared.Meters[0].High.U)
}

// A rough reference (the strength on a label) weighs next to nothing beside
// good ones, and does not spoil their verdict.
func TestRoughReferenceWeighsWhatItMay(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 5))
	rows := bench{refs: fourBottles, bottle: 0.004, noise: 0.002, giveRefs: true, giveU: true, giveNoise: true}.rows(rng)
	before := compared(t, rows, check.EC, fivePercent).Meters[0]
	for _, m := range []string{"A", "B"} {
		rows = append(rows, Reading{Meter: m, Sample: "label", Value: 2000, UValue: ptr(8), Ref: ptr(2300), URef: ptr(230), URefShared: ptr(0)})
	}
	after := compared(t, rows, check.EC, fivePercent).Meters[0]
	assert.Equal(t, conformity.Pass, before.Verdict)
	assert.Equal(t, conformity.Pass, after.Verdict)
	assert.InDelta(t, before.High.Error, after.High.Error, 0.2*after.High.U)
	assert.InDelta(t, -300.0/2300, after.WorstError, 1e-9)
}

func TestTooFewReferencesStayUndecided(t *testing.T) {
	rows := two([]float64{1413, 2760}, []float64{1500, 2990})
	for i := range rows {
		rows[i].Ref = ptr([]float64{1413, 2760}[i/2])
	}
	c := compared(t, rows, check.EC, fivePercent)
	for _, m := range c.Meters {
		assert.Equal(t, conformity.Undecided, m.Verdict)
		assert.True(t, math.IsNaN(m.PWithin))
		assert.Equal(t, NoBasis, m.Basis)
	}
	assert.Contains(t, c.Next, "three or more references")

	for i := range rows { // exact references, exact readings
		rows[i].URef, rows[i].UValue = ptr(0), ptr(0)
	}
	c = compared(t, rows, check.EC, fivePercent)
	assert.Equal(t, conformity.Pass, c.Meters[0].Verdict)
	assert.Equal(t, conformity.Fail, c.Meters[1].Verdict)
}

// Two values with a common part, against closed forms: independent ones
// multiply, equal ones are one, and a t with one degree of freedom is a Cauchy.
func TestBothWithin(t *testing.T) {
	inf := math.Inf(1)
	one := func(m, u, dof float64) float64 {
		p, err := conformity.Probability(m, u, dof, conformity.Around(1))
		require.NoError(t, err)
		return p
	}
	assert.InDelta(t, one(0.3, 0.5, inf)*one(-0.6, 0.4, inf), bothWithin([2]float64{0.3, -0.6}, [2]float64{0.5, 0.4}, 0, inf), 1e-9)
	assert.InDelta(t, one(0.3, 0.5, inf), bothWithin([2]float64{0.3, 0.3}, [2]float64{0.5, 0.5}, 1, inf), 1e-9)
	assert.InDelta(t, one(0.3, 0.5, inf), bothWithin([2]float64{0.3, -0.3}, [2]float64{0.5, 0.5}, -1, inf), 1e-9)
	for _, dof := range []float64{1, 2.5, 10} {
		assert.InDelta(t, one(0.4, 0.2, dof), bothWithin([2]float64{0.4, 0.4}, [2]float64{0.2, 0.2}, 1, dof), 1e-6, "dof %v", dof)
	}
	cauchy := (math.Atan(0.6/0.2) + math.Atan(1.4/0.2)) / math.Pi
	assert.InDelta(t, cauchy, bothWithin([2]float64{0.4, 0.4}, [2]float64{0.2, 0.2}, 1, 1), 1e-6)
}

// References good to 10 % cannot show a meter to be within 2 %. That is said of
// the references: nothing is proved against a meter whose error is small.
func TestVagueReferencesAreNoFaultOfTheMeters(t *testing.T) {
	refs := []float64{400, 1000, 1413, 2000, 2800}
	rows := two([]float64{400.4, 1001, 1414.4, 2002, 2802.8}, []float64{400.5, 1001.2, 1414.7, 2002.4, 2803.4})
	for i := range rows {
		rows[i].Ref, rows[i].URef = ptr(refs[i/2]), ptr(0.1*refs[i/2])
	}
	c := compared(t, rows, check.EC, quantity.Tolerance{Value: 0.02, Relative: true})
	for _, m := range c.Meters {
		assert.Equal(t, conformity.Fail, m.Verdict, "as p_within defines it")
		assert.True(t, m.TooUncertain)
		assert.Zero(t, m.Off)
	}
	assert.Contains(t, c.Next, "the references are too uncertain for a tolerance of 2 %")
	assert.NotContains(t, c.Next, "same way")
	assert.NotContains(t, c.Next, "Clean and calibrate")

	// The same words would be wrong of a meter that is 30 % off.
	for i := range rows {
		rows[i].Value *= 1.3
	}
	c = compared(t, rows, check.EC, quantity.Tolerance{Value: 0.02, Relative: true})
	for _, m := range c.Meters {
		assert.Equal(t, conformity.Fail, m.Verdict)
		assert.False(t, m.TooUncertain)
		assert.Equal(t, 1, m.Off)
	}
	assert.Contains(t, c.Next, "All meters agree and are off the references the same way")
}
