package agree

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// One-sided normal tolerance factors k, the quantile of a noncentral t over
// √n: D.B. Owen, Factors for one-sided tolerance limits (1963), as tabulated in
// G.J. Hahn, W.Q. Meeker, Statistical Intervals (from memory); n = 43 is the
// worked example of the NIST/SEMATECH e-Handbook, 7.2.6.3 (from memory).
func TestNoncentralTAgainstToleranceFactors(t *testing.T) {
	const z95, z90 = 1.6448536269514722, 1.2815515655446004
	for _, c := range []struct {
		n        int
		z, level float64
		k, digit float64
	}{
		{2, z95, 0.95, 26.260, 0.0005}, {3, z95, 0.95, 7.656, 0.0005}, {5, z95, 0.95, 4.203, 0.0005},
		{10, z95, 0.95, 2.911, 0.0005}, {20, z95, 0.95, 2.396, 0.0005}, {100, z95, 0.95, 1.927, 0.0005}, {1000, z95, 0.95, 1.727, 0.0005},
		{43, z90, 0.99, 1.8740, 0.00005},
	} {
		root := math.Sqrt(float64(c.n))
		got := noncentralT{Nu: float64(c.n - 1), Delta: c.z * root}.quantile(c.level) / root
		assert.InDelta(t, c.k, got, c.digit, "n = %d", c.n)
	}
}

// band is three standard deviations of a simulated coverage.
func band(trials int) float64 { return 3 * math.Sqrt(level*(1-level)/float64(trials)) }

// Without replicates the interval of a limit is exact. It is the same for all
// data up to shift and scale, so one set gives the factors for all trials.
func TestIntervalsOfLimitsCoverAsClaimed(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	const z, mu, sigma = 1.959963984540054, 3.0, 2.0
	trials := trialsOf(20000)
	for _, n := range []int{3, 6, 17} {
		d := normals(rng, n, mu, sigma)
		l, err := LimitsOfAgreement(d)
		require.NoError(t, err)
		inner, outer := (l.HighInterval[0]-l.Bias)/l.SD, (l.HighInterval[1]-l.Bias)/l.SD
		assert.InDelta(t, l.Bias-inner*l.SD, l.LowInterval[1], 1e-9, "the lower limit mirrors the upper one")
		assert.InDelta(t, l.Bias-outer*l.SD, l.LowInterval[0], 1e-9)
		covered := 0
		for range trials {
			mean, sd := meanSD(normals(rng, n, mu, sigma))
			truth := mu + z*sigma
			if mean+inner*sd <= truth && truth <= mean+outer*sd {
				covered++
			}
		}
		assert.InDelta(t, level, float64(covered)/float64(trials), band(trials), "n = %d", n)
	}
}

// With replicates the interval covers at least as claimed, up to 100 % where
// samples are few.
func TestIntervalsOfLimitsWithReplicatesCoverAtLeastAsClaimed(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 2))
	trials := trialsOf(3000)
	for _, n := range []int{4, 8, 25} {
		covered := 0
		truth := 1.959963984540054 * math.Sqrt(3) // variances 1 between, 1 and 1 within
		for range trials {
			a, b := make([][]float64, n), make([][]float64, n)
			for i := range a {
				between := rng.NormFloat64()
				a[i] = normals(rng, 2, 0, 1)
				b[i] = normals(rng, 3, between, 1)
			}
			d, err := meanDifferences(a, b)
			require.NoError(t, err)
			l := replicateInterval(t, a, b, d)
			if l[0] <= truth && truth <= l[1] {
				covered++
			}
		}
		assert.GreaterOrEqual(t, float64(covered)/float64(trials), level-band(trials), "n = %d", n)
	}
}

// replicateInterval is the interval of the upper limit without the cost of the
// exact one.
func replicateInterval(t *testing.T, a, b [][]float64, d []float64) [2]float64 {
	t.Helper()
	mean, sd := meanSD(d)
	n := float64(len(d))
	parts := []variancePart{{weight: 1, variance: sd * sd, dof: n - 1}}
	for _, cells := range [][][]float64{a, b} {
		p, ok := withinPart(cells)
		require.True(t, ok)
		parts = append(parts, p)
	}
	inner, outer := recoveredReach(parts, sd/math.Sqrt(n), n-1)
	return [2]float64{mean + inner, mean + outer}
}

func normals(rng *rand.Rand, n int, mean, sd float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = mean + sd*rng.NormFloat64()
	}
	return out
}

func meanSD(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean) / float64(len(x)-1)
	}
	return mean, math.Sqrt(sd)
}

// The scatter that averaging took out is put back: with r readings of variance
// w in each sample and no other difference, single readings differ with 2w.
func TestReplicatesWidenTheLimits(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 3))
	const n, reps, sigma = 400, 4, 2.0
	a, b := make([][]float64, n), make([][]float64, n)
	for i := range a {
		a[i], b[i] = normals(rng, reps, 0, sigma), normals(rng, reps, 1, sigma)
	}
	l, err := LimitsOfReplicates(a, b)
	require.NoError(t, err)
	assert.InDelta(t, sigma*math.Sqrt2, l.SD, 0.15)
	assert.InDelta(t, sigma*math.Sqrt2/2, l.MeansSD, 0.15)
}

func TestLimitsRefuseWhatTheyCannotUse(t *testing.T) {
	for name, c := range map[string]struct{ a, b [][]float64 }{
		"want 2 or more":      {[][]float64{{1}}, [][]float64{{2}}},
		"want as many":        {[][]float64{{1}, {2}}, [][]float64{{2}}},
		"no reading":          {[][]float64{{1}, {}}, [][]float64{{2}, {3}}},
		"not a finite number": {[][]float64{{1}, {math.NaN()}}, [][]float64{{2}, {3}}},
	} {
		_, err := LimitsOfReplicates(c.a, c.b)
		assert.ErrorContains(t, err, name)
	}
	l, err := LimitsOfAgreement([]float64{5, 5, 5})
	require.NoError(t, err)
	assert.Equal(t, [2]float64{5, 5}, l.HighInterval, "no scatter, no width")
}

func BenchmarkLimitsOfAgreement(b *testing.B) {
	d := []float64{-18, -35, -4, 6, -24, -43, 49, 62, -8, -12, -15, 30, 7, 1, -81, 73, -24}
	for b.Loop() {
		if _, err := LimitsOfAgreement(d); err != nil {
			b.Fatal(err)
		}
	}
}
