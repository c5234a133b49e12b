package line

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// ISO/TS 28037:2010, clause 6 (equal weights) with prediction 11.1 and forward evaluation 11.2.
func TestWeightedOnISO28037(t *testing.T) {
	data, want := published(t, "iso28037_equal_weights"), published(t, "iso28037_equal_weights_results")
	f, err := Weighted(Points{X: data.column("x"), Y: data.column("y"), CovY: diagonal(t, data.column("u_y")...)})
	require.NoError(t, err)
	want.printed("a", f.Intercept)
	want.printed("b", f.Slope)
	want.printed("u_a", f.UIntercept)
	want.printed("u_b", f.USlope)
	want.printed("cov_ab", f.Covariance)
	want.printed("chi2_obs", f.Chi2)
	_, limit, ok := f.Consistent()
	require.True(t, ok)
	want.printed("chi2_95", limit)
	require.Equal(t, 4, f.DoF)

	inv, err := f.Inverse(10.5, Seen{U: 0.5}, Level)
	require.NoError(t, err)
	want.printed("predict_x[y=10.5;u=0.5]", inv.Reading)
	want.printed("u_predict_x[y=10.5;u=0.5]", inv.U)
	e, err := f.AtU(3.5, 0.2, Level)
	require.NoError(t, err)
	want.printed("forward_y[x=3.5;u=0.2]", e.Corrected)
	want.printed("u_forward_y[x=3.5;u=0.2]", e.U)
	require.InDelta(t, 1.959964, e.K, 1e-6)
}

// ISO/TS 28037:2010, clause 6, unequal weights (data and printed results from memory): u(y) 0.5 for
// the first three points and 1.0 for the last three.
func TestWeightedOnISO28037Unequal(t *testing.T) {
	f, err := Weighted(Points{
		X: []float64{1, 2, 3, 4, 5, 6}, Y: []float64{3.2, 4.3, 7.6, 8.6, 11.7, 12.8},
		CovY: diagonal(t, 0.5, 0.5, 0.5, 1, 1, 1),
	})
	require.NoError(t, err)
	require.InDelta(t, 0.885, f.Intercept, 0.0005)
	require.InDelta(t, 2.057, f.Slope, 0.0005)
	require.InDelta(t, 0.530, f.UIntercept, 0.0005)
	require.InDelta(t, 0.178, f.USlope, 0.0005)
	require.InDelta(t, -0.082, f.Covariance, 0.0005)
	require.InDelta(t, 4.131, f.Chi2, 0.0005)
}

// Full covariance: the closed matrix form (J'V^-1 J)^-1 J'V^-1 y, computed by general matrix
// algebra, is what the whitened solution gives.
func TestWeightedAgainstMatrixForm(t *testing.T) {
	x, y := []float64{3, 5, 8, 13, 21}, []float64{3.3, 4.9, 8.4, 12.6, 21.9}
	v, err := Covariance([]float64{0.1, 0.2, 0.1, 0.4, 0.3}, []float64{0.03, 0.05, 0.08, 0.13, 0.21}, []float64{0, 0.3, 0.3, 0, 0})
	require.NoError(t, err)
	f, err := Weighted(Points{X: x, Y: y, CovY: v})
	require.NoError(t, err)
	j := mat.NewDense(5, 2, nil)
	for i := range x {
		j.Set(i, 0, 1)
		j.Set(i, 1, x[i])
	}
	var inv, jt, normal, cov mat.Dense
	require.NoError(t, inv.Inverse(v))
	jt.Mul(j.T(), &inv)
	normal.Mul(&jt, j)
	require.NoError(t, cov.Inverse(&normal))
	var right, par mat.VecDense
	right.MulVec(&jt, mat.NewVecDense(5, y))
	par.MulVec(&cov, &right)
	require.InDelta(t, par.AtVec(0), f.Intercept, 1e-10)
	require.InDelta(t, par.AtVec(1), f.Slope, 1e-11)
	require.InDelta(t, cov.At(0, 0), f.UIntercept*f.UIntercept, 1e-12)
	require.InDelta(t, cov.At(1, 1), f.USlope*f.USlope, 1e-13)
	require.InDelta(t, cov.At(0, 1), f.Covariance, 1e-12)
	var hat mat.Dense
	hat.Product(j, &cov, &jt)
	var sum float64
	for i := range x {
		require.InDelta(t, hat.At(i, i), f.Leverage[i], 1e-9)
		sum += f.Leverage[i]
	}
	require.InDelta(t, 2, sum, 1e-9)
}
