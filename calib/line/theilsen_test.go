package line

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// P.K. Sen (1968), the worked example: slope 4, intercept 6, limits 26/7 and 35/8, the 4th and 18th
// of 21 slopes. Sen calls them 93 %, reading Kendall's table at the critical value itself; counted
// out, that pair covers 1 - 2*76/5040 = 96.98 %, and the pair one rank further in 93.1 %.
func TestTheilSenOnSen1968(t *testing.T) {
	data, want := published(t, "theil_sen_1968"), published(t, "theil_sen_1968_results")
	p := Points{X: data.column("t"), Y: data.column("y")}
	f, err := TheilSen(p)
	require.NoError(t, err)
	want.printed("theil_sen_slope", f.Slope)
	want.printed("intercept_median_residual", f.Intercept)
	low, high, reached, err := SenLimits(p, 0.95)
	require.NoError(t, err)
	require.InDelta(t, 26.0/7, low, 1e-12)
	require.InDelta(t, 35.0/8, high, 1e-12)
	require.InDelta(t, 1-2*76.0/5040, reached, 1e-12)
	require.Equal(t, NoBasis, f.Basis)
}

// One bottle mixed up among seven: the robust line stays, the point is flagged, the ordinary line
// is pulled.
func TestTheilSenIgnoresOneWildPoint(t *testing.T) {
	p := Points{X: []float64{100, 200, 300, 400, 500, 600, 700}, Y: []float64{101, 202, 302, 405, 505, 906, 708}}
	f, err := TheilSen(p)
	require.NoError(t, err)
	require.InDelta(t, 1.01, f.Slope, 0.005)
	require.Equal(t, []bool{false, false, false, false, false, true, false}, f.Flagged)
	ols, err := Ordinary(p)
	require.NoError(t, err)
	require.Greater(t, ols.Slope, 1.1)
}

// Kendall's null distribution sums to n! and is symmetric; M. Kendall's table for n = 4: the
// permutations with 0..6 inversions number 1, 3, 5, 6, 5, 3, 1 (Mahonian numbers).
func TestInversionCounts(t *testing.T) {
	require.Equal(t, []float64{1, 3, 5, 6, 5, 3, 1}, inversions(4))
	var sum float64
	for _, c := range inversions(10) {
		sum += c
	}
	require.Equal(t, 3628800.0, sum)
}

func TestSenLimitsNeedPoints(t *testing.T) {
	_, _, _, err := SenLimits(Points{X: []float64{1, 2, 3}, Y: []float64{1, 2, 4}}, 0.95)
	require.ErrorIs(t, err, ErrTooFew)
	_, _, _, err = SenLimits(Points{X: []float64{1, 2, 3}, Y: []float64{1, 2, 4}}, 1)
	require.Error(t, err)
}
