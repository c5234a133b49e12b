package agree

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// The 1986 peak-flow data as a comparison: bias of meter 1 − meter 2 is −2.1
// with standard error 9.4, limits −78.1 and 73.9 with z = 1.960 (Lancet i
// (1986) 307; see peak_flow_1986_results.csv).
func TestPeakFlowAsAPair(t *testing.T) {
	meter1, meter2 := peakFlow(t)
	printed, exact := peakFlowResults(t)
	p := compared(t, two(meter2, meter1), check.Other, quantity.Tolerance{Value: 40}).Pairs[0]
	assert.Equal(t, 17, p.Bias.N)
	assert.InDelta(t, printed["bias"], p.Bias.Mean, 0.05)
	assert.InDelta(t, printed["se_bias"], p.Bias.U, 0.05)
	assert.InEpsilon(t, exact["loa_lo_z"], p.Limits.Low, 1e-9)
	assert.InEpsilon(t, exact["loa_hi_z"], p.Limits.High, 1e-9)
	low, high := p.Bias.Interval()
	assert.InDelta(t, printed["bias_ci_lo"], low, 0.2)
	assert.InDelta(t, printed["bias_ci_hi"], high, 0.2)
	assert.Equal(t, Absolute, p.Form, "the spread does not grow")
	assert.Equal(t, Agree, p.Verdict)
}

// Repetitions are averaged and are no further samples.
func TestReplicatesAreNotSamples(t *testing.T) {
	a, b := []float64{600, 1400, 2700}, []float64{612, 1415, 2731}
	once := compared(t, two(a, b), check.EC, fivePercent).Pairs[0]
	var rows []Reading
	for _, off := range []float64{-1, 0, 1, 0} {
		for _, r := range two(a, b) {
			r.Value += off
			rows = append(rows, r)
		}
	}
	repeated := compared(t, rows, check.EC, fivePercent).Pairs[0]
	assert.Equal(t, 3, repeated.Bias.N)
	assert.InEpsilon(t, once.Bias.Mean, repeated.Bias.Mean, 1e-12)
	assert.InEpsilon(t, once.Bias.U, repeated.Bias.U, 1e-12)
	assert.InEpsilon(t, once.PAgree, repeated.PAgree, 1e-12)
}

func TestSingleSampleHasNoBasis(t *testing.T) {
	var rows []Reading
	for i, off := range []float64{-3, 0, 3} {
		for _, r := range two([]float64{1400}, []float64{1500}) {
			r.Value, r.Row = r.Value+off, 10*i+r.Row
			rows = append(rows, r)
		}
	}
	c := compared(t, rows, check.EC, fivePercent)
	p := c.Pairs[0]
	assert.Equal(t, 1, p.Bias.N)
	assert.InDelta(t, 100, p.Bias.Mean, 1e-9)
	assert.True(t, math.IsNaN(p.Bias.U))
	assert.True(t, math.IsNaN(p.PAgree))
	assert.Equal(t, Undecided, p.Verdict)
	assert.Nil(t, p.Limits)
	assert.Nil(t, p.Deming)
	assert.Contains(t, c.Next, "Read at least two more samples")

	// Stated uncertainties are a basis, for that sample.
	for i := range rows {
		rows[i].UValue = ptr(6)
	}
	c = compared(t, rows, check.EC, fivePercent)
	p = c.Pairs[0]
	assert.Equal(t, FromStated, p.Bias.Basis)
	assert.InDelta(t, math.Sqrt(2*36.0/3), p.Bias.U, 1e-9)
	assert.Equal(t, Disagree, p.Verdict, "100 in 1450 is 6.9 %, known to 0.3 %")
	assert.Contains(t, c.Warnings, "A and B share a single sample: the verdict rests on u_reading alone and says nothing about other strengths")
}

func TestNoScatterIsNoCertainty(t *testing.T) {
	p := compared(t, two([]float64{600, 1400, 2700}, []float64{610, 1410, 2710}), check.EC, quantity.Tolerance{Value: 20}).Pairs[0]
	assert.Equal(t, FromResolution, p.Bias.Basis)
	assert.InDelta(t, math.Sqrt(2.0/12/3), p.Bias.U, 1e-12, "a step of 1 in both displays, three samples")
	assert.Equal(t, Agree, p.Verdict)
}

// One reading without a stated uncertainty leaves what is stated of the others.
func TestOneUnknownReadingKeepsTheStatedOnes(t *testing.T) {
	rows := two([]float64{600, 1400, 2700}, []float64{601, 1402, 2703})
	for i := range rows {
		rows[i].UValue = ptr(60)
	}
	all := compared(t, rows, check.EC, quantity.Tolerance{Value: 20}).Pairs[0]
	assert.InDelta(t, 60*math.Sqrt(2.0/3), all.Bias.U, 1e-9)
	rows[3].UValue = nil
	most := compared(t, rows, check.EC, quantity.Tolerance{Value: 20}).Pairs[0]
	assert.InDelta(t, 60*math.Sqrt(5.0)/3, most.Bias.U, 0.01)
	assert.Equal(t, FromStated, most.Bias.Basis)
	assert.Equal(t, 2.0, most.Bias.DoF, "what is not stated has to be seen in the scatter")
	assert.NotEqual(t, Agree, most.Verdict)
}

func TestRelativeToleranceIsOfTheReference(t *testing.T) {
	rows := two([]float64{1000, 2000, 3000}, []float64{1050, 2110, 3140})
	without := compared(t, rows, check.EC, fivePercent).Pairs[0]
	assert.InDelta(t, (50/1025.0+110/2055.0+140/3070.0)/3/0.05, without.InTolerance.Mean, 1e-12)
	for i := range rows {
		rows[i].Ref = ptr(500 * float64(1+i/2))
	}
	with := compared(t, rows, check.EC, fivePercent).Pairs[0]
	assert.InDelta(t, (50/500.0+110/1000.0+140/1500.0)/3/0.05, with.InTolerance.Mean, 1e-12)
}

// Swapping the meters turns the signs and nothing else.
func TestPairIsAntisymmetric(t *testing.T) {
	a, b := []float64{603, 1400, 2710, 4100}, []float64{640, 1460, 2800, 4333}
	ab := compared(t, two(a, b), check.EC, fivePercent).Pairs[0]
	ba := compared(t, two(b, a), check.EC, fivePercent).Pairs[0]
	assert.InDelta(t, ab.Bias.Mean, -ba.Bias.Mean, 1e-9)
	assert.InDelta(t, ab.Bias.U, ba.Bias.U, 1e-9)
	assert.InDelta(t, ab.Limits.Low, -ba.Limits.High, 1e-9)
	assert.InDelta(t, ab.PAgree, ba.PAgree, 1e-9)
	assert.InDelta(t, ab.LogRatio.Mean, -ba.LogRatio.Mean, 1e-12)
	assert.InDelta(t, 1, ab.Deming.Slope*ba.Deming.Slope, 1e-9)
}

func formOf(s *Set) Form { return s.differences("A", "B", fivePercent).form() }

func TestFormFollowsTheSpread(t *testing.T) {
	refs := []float64{300, 700, 1400, 2800, 5000, 9000}
	rng := rand.New(rand.NewPCG(13, 1))
	proportional, absolute := 0, 0
	trials := trialsOf(300)
	for range trials {
		growing := bench{refs: refs, noise: 0.01, gain: -0.03}.rows(rng)
		if formOf(newSet(t, growing)) == Proportional {
			proportional++
		}
		even := bench{refs: refs}.rows(rng)
		for i := range even {
			even[i].Value += 10 * rng.NormFloat64()
		}
		if formOf(newSet(t, even)) == Absolute {
			absolute++
		}
	}
	assert.Greater(t, proportional, trials*95/100)
	assert.Greater(t, absolute, trials*95/100)
	ph := newSet(t, two([]float64{4, 7, 10, 9}, []float64{4.1, 7.2, 10.3, 9.2})).pair("A", "B", check.PH, quantity.Tolerance{})
	assert.Nil(t, ph.RelativeLimits, "pH has no ratio scale")
	assert.Equal(t, Absolute, ph.Form)
}

// The interval of the mean difference in units of the tolerance, which p_agree
// is computed from, covers the truth in 95 % of cases, whatever the bottles
// share: it cancels between meters. Repetitions change nothing in that. With
// stated uncertainties the larger of two bases is taken, which covers more.
func TestIntervalsOfTheBiasCover(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 2))
	trials := trialsOf(4000)
	refs := []float64{500, 1000, 1500, 2000, 2500}
	for _, c := range []struct {
		name string
		bench
	}{
		{"scatter", bench{}},
		{"repeats", bench{reps: 3}},
		{"stated", bench{reps: 2, giveNoise: true}},
	} {
		b, name := c.bench, c.name
		b.refs, b.giveRefs, b.noise, b.bottle, b.stock = refs, true, 0.004, 0.006, 0.02
		covered := 0
		for range trials {
			e := inTolerance(newSet(t, b.rows(rng)), fivePercent)
			if low, high := e.Interval(); low <= 0 && 0 <= high {
				covered++
			}
		}
		got := float64(covered) / float64(trials)
		if name == "stated" {
			assert.GreaterOrEqual(t, got, level-band(trials), name)
			// 97 % in a long run, and the scatter of this number of trials.
			assert.LessOrEqual(t, got, 0.97+band(trials), name)
			continue
		}
		assert.InDelta(t, level, got, band(trials), name)
	}
}

// inTolerance is Pair.InTolerance without the limits of agreement, whose exact
// intervals take time.
func inTolerance(s *Set, tolerance quantity.Tolerance) Estimate {
	e, _ := s.differences("A", "B", tolerance).inTolerance()
	return e
}

// A difference exactly as large as the tolerance gets either sharp verdict in
// no more than 5 % of cases each: that is what 95 % means.
func TestVerdictsAtTheEdgeOfTheTolerance(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 3))
	trials := trialsOf(4000)
	for _, n := range []int{3, 6} {
		agree, disagree := 0, 0
		for range trials {
			p := estimate(normals(rng, n, 1, 0.1), nans(n), make([]float64, n), false).within()
			if p >= 0.95 {
				agree++
			}
			if p <= 0.05 {
				disagree++
			}
		}
		edge := 0.05 + 3*math.Sqrt(0.05*0.95/float64(trials))
		assert.LessOrEqual(t, float64(agree)/float64(trials), edge)
		assert.LessOrEqual(t, float64(disagree)/float64(trials), edge)
		assert.Greater(t, agree+disagree, 0)
	}
}

func nans(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	return out
}

// The number of further samples is the first at which the verdict falls, if the
// scatter and the mean stay.
func TestMoreSamplesDecide(t *testing.T) {
	e := estimate([]float64{0.5, 0.9, 0.7, 0.6}, nans(4), make([]float64, 4), false)
	e.Mean = 0.9
	n, ok := e.more()
	require.True(t, ok)
	require.Greater(t, n, 0)
	at := func(n int) float64 {
		f := e
		f.N, f.U, f.DoF = n, e.SD/math.Sqrt(float64(n)), float64(n-1)
		return f.within()
	}
	assert.GreaterOrEqual(t, at(4+n), 0.95)
	assert.Less(t, at(4+n-1), 0.95)

	e.Mean = 1
	_, ok = e.more()
	assert.False(t, ok, "exactly at the edge nothing decides")
	e.Mean = 0.1
	n, ok = e.more()
	assert.True(t, ok)
	assert.Zero(t, n, "decided already")
}

// The mean difference may be within the tolerance while single samples are far
// outside it, to one side where they are weak and to the other where they are
// strong: that is said beside the verdict.
func TestAgreementOnTheAverageAloneIsSaid(t *testing.T) {
	a := []float64{400, 600, 800, 1000, 1200, 1400, 1600, 1800, 2000, 2200, 2400, 2600, 2800}
	var b []float64
	for i, x := range a {
		b = append(b, x*(1.10-0.20*float64(i)/float64(len(a)-1)))
	}
	c := compared(t, two(a, b), check.EC, fivePercent)
	p := c.Pairs[0]
	assert.Equal(t, Agree, p.Verdict)
	assert.InDelta(t, 2, p.WidestSize, 0.2)
	assert.Greater(t, p.Reach, 2.0)
	assert.Contains(t, strings.Join(c.Warnings, "\n"), "A and B agree on the average alone")

	c = compared(t, two(a, divided(a, 0.99)), check.EC, fivePercent)
	assert.Equal(t, Agree, c.Pairs[0].Verdict)
	assert.NotContains(t, strings.Join(c.Warnings, "\n"), "on the average alone")
}

// Equal differences are equal to the last digit: between two displays with a
// step of 1 the standard deviation of a difference is √(2/12) = 0.41.
func TestLimitsAreNoNarrowerThanTheLastDigit(t *testing.T) {
	p := compared(t, two([]float64{600, 1000, 1400}, []float64{610, 1010, 1410}), check.EC, fivePercent).Pairs[0]
	assert.InDelta(t, math.Sqrt(2.0/12), p.Limits.SD, 1e-12)
	assert.InDelta(t, 10-1.959964*math.Sqrt(2.0/12), p.Limits.Low, 1e-6)
	assert.Less(t, p.Limits.LowInterval[0], p.Limits.Low)
	assert.Greater(t, p.Limits.HighInterval[1], p.Limits.High)
	assert.Equal(t, 1.0, p.Step)
}

func TestReadingsOfNothingHaveNoRelativeTolerance(t *testing.T) {
	c := compared(t, two([]float64{0, 0, 0}, []float64{0, 0, 0}), check.EC, fivePercent)
	assert.Equal(t, Undecided, c.Pairs[0].Verdict)
	assert.Contains(t, c.Next, "Give the tolerance in the unit of the readings")
	assert.NotContains(t, c.Next, "edge of the tolerance")
	assert.Contains(t, strings.Join(c.Warnings, "\n"), "of readings of 0 a tolerance in percent allows nothing")
	c = compared(t, two([]float64{0, 0, 0}, []float64{0, 0, 0}), check.EC, quantity.Tolerance{Value: 10})
	assert.Equal(t, Agree, c.Pairs[0].Verdict)
}
