package agree

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/uncert"
)

// published reads a table of testdata/published, header row dropped.
func published(t *testing.T, name string) [][]string {
	t.Helper()
	text, err := os.ReadFile("../../testdata/published/" + name)
	require.NoError(t, err)
	r := csv.NewReader(bytes.NewReader(text))
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	return rows[1:]
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return x
}

// peakFlow is the data of J.M. Bland, D.G. Altman, Lancet i (1986) 307.
func peakFlow(t *testing.T) (meter1, meter2 []float64) {
	for _, row := range published(t, "peak_flow_1986.csv") {
		meter1 = append(meter1, number(t, row[1]))
		meter2 = append(meter2, number(t, row[2]))
	}
	require.Len(t, meter1, 17)
	return meter1, meter2
}

// peakFlowResults returns printed and exact figures by name; see the header of
// the file for which are from memory.
func peakFlowResults(t *testing.T) (printed, exact map[string]float64) {
	printed, exact = map[string]float64{}, map[string]float64{}
	for _, row := range published(t, "peak_flow_1986_results.csv") {
		exact[row[0]] = number(t, row[2])
		if row[1] != "" {
			printed[row[0]] = number(t, row[1])
		}
	}
	return printed, exact
}

func TestPeakFlowLimitsOfAgreement(t *testing.T) {
	x, y := peakFlow(t)
	printed, exact := peakFlowResults(t)
	d := make([]float64, len(x))
	for i := range x {
		d[i] = x[i] - y[i]
	}
	l, err := LimitsOfAgreement(d)
	require.NoError(t, err)
	// Printed in the paper: bias −2.1, sd 38.8.
	assert.InDelta(t, printed["bias"], l.Bias, 0.05)
	assert.InDelta(t, printed["sd"], l.SD, 0.05)
	assert.InDelta(t, printed["loa_lo_2sd"], l.Bias-2*l.SD, 0.2)
	assert.InDelta(t, printed["loa_hi_2sd"], l.Bias+2*l.SD, 0.2)
	se := l.SD / math.Sqrt(17)
	assert.InDelta(t, printed["se_bias"], se, 0.05)
	k := uncert.CoverageFactor(0.95, 16)
	assert.InDelta(t, printed["bias_ci_lo"], l.Bias-k*se, 0.2)
	assert.InDelta(t, printed["bias_ci_hi"], l.Bias+k*se, 0.2)
	assert.InDelta(t, printed["se_loa_approx"], l.ApproximateSE(), 0.05)
	assert.InDelta(t, printed["loa_hi_2sd_ci_hi"], l.Bias+2*l.SD+k*l.ApproximateSE(), 0.2)
	assert.InDelta(t, printed["loa_lo_2sd_ci_lo"], l.Bias-2*l.SD-k*l.ApproximateSE(), 0.2)
	// Recomputed at full precision by another program.
	assert.InEpsilon(t, exact["bias"], l.Bias, 1e-9)
	assert.InEpsilon(t, exact["sd"], l.SD, 1e-9)
	assert.InEpsilon(t, exact["loa_lo_z"], l.Low, 1e-9)
	assert.InEpsilon(t, exact["loa_hi_z"], l.High, 1e-9)
	// The interval used here is wider outwards than inwards, because a
	// standard deviation is; at n = 17 it lies near the symmetric one.
	assert.Greater(t, l.HighInterval[1]-l.High, l.High-l.HighInterval[0])
	assert.InDelta(t, printed["loa_hi_2sd_ci_lo"], l.HighInterval[0], 10)
	assert.InDelta(t, printed["loa_hi_2sd_ci_hi"], l.HighInterval[1], 10)
}

func TestPeakFlowDeming(t *testing.T) {
	x, y := peakFlow(t)
	_, exact := peakFlowResults(t)
	for suffix, lambda := range map[string]float64{"": 1, "[lambda=4]": 4, "[lambda=0.25]": 0.25} {
		fit, err := FitDeming(x, y, lambda)
		require.NoError(t, err)
		assert.InEpsilon(t, exact["deming_a"+suffix], fit.Intercept, 1e-9, suffix)
		assert.InEpsilon(t, exact["deming_b"+suffix], fit.Slope, 1e-9, suffix)
		assert.InEpsilon(t, exact["deming_se_a_jackknife"+suffix], fit.UIntercept, 1e-9, suffix)
		assert.InEpsilon(t, exact["deming_se_b_jackknife"+suffix], fit.USlope, 1e-9, suffix)
	}
}

func TestPeakFlowPassingBablok(t *testing.T) {
	x, y := peakFlow(t)
	_, exact := peakFlowResults(t)
	fit, err := FitPassingBablok(x, y)
	require.NoError(t, err)
	checkPassingBablok(t, exact, fit)
	assert.Equal(t, int(exact["pb_N"]), fit.Slopes)
}

// Six points with a slope below −1: slope 1.05 and intercept 0.125.
func TestPassingBablokShiftsItsMedian(t *testing.T) {
	var x, y []float64
	want := map[string]float64{}
	for _, row := range published(t, "passing_bablok_small.csv") {
		if row[0] == "point" {
			x, y = append(x, number(t, row[1])), append(y, number(t, row[2]))
		} else {
			want[row[1]] = number(t, row[2])
		}
	}
	fit, err := FitPassingBablok(x, y)
	require.NoError(t, err)
	checkPassingBablok(t, want, fit)
}

func checkPassingBablok(t *testing.T, want map[string]float64, fit PassingBablok) {
	t.Helper()
	assert.InEpsilon(t, want["pb_b"], fit.Slope, 1e-9)
	assert.InEpsilon(t, want["pb_a"], fit.Intercept, 1e-9)
	assert.InEpsilon(t, want["pb_b_lo"], fit.SlopeInterval[0], 1e-9)
	assert.InEpsilon(t, want["pb_b_hi"], fit.SlopeInterval[1], 1e-9)
	assert.InEpsilon(t, want["pb_a_lo"], fit.InterceptInterval[0], 1e-9)
	assert.InEpsilon(t, want["pb_a_hi"], fit.InterceptInterval[1], 1e-9)
	assert.Equal(t, int(want["pb_K"]), fit.Shift)
}

// Scores of ISO 13528:2022; cases computed by another program.
func TestScoresOfPerformance(t *testing.T) {
	rows := published(t, "proficiency_scores.csv")
	require.Len(t, rows, 4)
	for _, row := range rows {
		v := make([]float64, 9)
		for i := range v {
			v[i] = number(t, row[i+1])
		}
		x, u, ref, uRef, sigma := v[0], v[1], v[2], v[3], v[4]
		z, err := ZScore(x, ref, sigma)
		require.NoError(t, err)
		zPrime, err := ZPrimeScore(x, ref, sigma, uRef)
		require.NoError(t, err)
		zeta, err := ZetaScore(x, u, ref, uRef)
		require.NoError(t, err)
		en, err := EnScore(x, u, ref, uRef)
		require.NoError(t, err)
		for i, got := range []float64{z, zPrime, zeta, en} {
			assert.InDelta(t, v[5+i], got, 1e-9*math.Max(1, math.Abs(v[5+i])), "%s, score %d", row[0], i)
		}
		assert.InDelta(t, zeta/2, en, 1e-12, "with k = 2 on both sides E_n is half of zeta")
	}
}

// Weighted mean and consistency after M.G. Cox, Metrologia 39 (2002) 589.
func TestConsensus(t *testing.T) {
	sets := map[string]Consensus{}
	for name, xu := range map[string][2][]float64{
		"three": {{1.405, 1.421, 1.462}, {0.010, 0.012, 0.015}},
		"two":   {{2.71, 2.80}, {0.03, 0.04}},
	} {
		c, err := ConsensusOf(xu[0], xu[1])
		require.NoError(t, err)
		sets[name] = c
	}
	rows := published(t, "consensus.csv")
	require.Len(t, rows, 20)
	for _, row := range rows {
		c := sets[row[0]]
		got := map[string]float64{"weighted_mean": c.Mean, "u_weighted_mean": c.UMean, "chi2": c.Chi2, "p_chi2": c.P, "birge_ratio": c.Birge}
		for i, d := range c.Deviations {
			got["d["+strconv.Itoa(i+1)+"]"] = d
			got["E_n_vs_mean["+strconv.Itoa(i+1)+"]"] = c.En[i]
		}
		require.Contains(t, got, row[1])
		want := number(t, row[2])
		assert.InDelta(t, want, got[row[1]], 1e-9*math.Max(1, math.Abs(want)), "%s %s", row[0], row[1])
	}
	assert.False(t, sets["three"].Consistent())
	assert.True(t, sets["two"].Consistent())
}
