package line

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

func diagonal(t testing.TB, u ...float64) *mat.SymDense {
	t.Helper()
	v, err := Covariance(u)
	require.NoError(t, err)
	return v
}

func pearson(t testing.TB, data table) Points {
	var ux, uy []float64
	for i := range data.column("x") {
		ux = append(ux, 1/math.Sqrt(data.column("w_x")[i]))
		uy = append(uy, 1/math.Sqrt(data.column("w_y")[i]))
	}
	return Points{X: data.column("x"), Y: data.column("y"), CovX: diagonal(t, ux...), CovY: diagonal(t, uy...)}
}

// Pearson's points with York's weights: the line as printed by York (1966) and by Williamson
// (1968), uncertainties by adjusted points (York et al. 2004).
func TestErrorsInBothOnPearson(t *testing.T) {
	data, want := published(t, "york_pearson"), published(t, "york_pearson_results")
	f, err := ErrorsInBoth(pearson(t, data))
	require.NoError(t, err)
	want.printed("a", f.Intercept)
	want.printed("b", f.Slope)
	want.printed("sigma_a", f.UIntercept)
	want.printed("sigma_b", f.USlope)
	agree(t, "a", want.exact("a"), f.Intercept, 10)
	agree(t, "b", want.exact("b"), f.Slope, 10)
	agree(t, "sigma_a", want.exact("sigma_a"), f.UIntercept, 9)
	agree(t, "sigma_b", want.exact("sigma_b"), f.USlope, 9)
	agree(t, "cov", want.exact("cov_ab"), f.Covariance, 9)
	agree(t, "S", want.exact("S"), f.Chi2, 10)
	want.printed("S_over_nu", f.Chi2/float64(f.DoF))
	require.Equal(t, 8, f.DoF)
	consistent, limit, ok := f.Consistent()
	require.True(t, ok)
	require.True(t, consistent)
	require.InDelta(t, 15.507, limit, 0.0005) // chi-squared table, 8 degrees of freedom, 95 %
}

// Without errors in X the answer is the weighted line, and with the axes swapped the line is the
// same line seen from the other side.
func TestErrorsInBothLimitsAndSwap(t *testing.T) {
	p := pearson(t, published(t, "york_pearson"))
	n := len(p.X)
	exactX := mat.NewSymDense(n, nil)
	both, err := ErrorsInBoth(Points{X: p.X, Y: p.Y, CovX: exactX, CovY: p.CovY})
	require.NoError(t, err)
	weighted, err := Weighted(Points{X: p.X, Y: p.Y, CovY: p.CovY})
	require.NoError(t, err)
	require.InDelta(t, weighted.Slope, both.Slope, 1e-12)
	require.InDelta(t, weighted.UIntercept, both.UIntercept, 1e-12)
	require.InDelta(t, weighted.Chi2, both.Chi2, 1e-10)

	f, err := ErrorsInBoth(p)
	require.NoError(t, err)
	g, err := ErrorsInBoth(Points{X: p.Y, Y: p.X, CovX: p.CovY, CovY: p.CovX})
	require.NoError(t, err)
	require.InDelta(t, 1/f.Slope, g.Slope, 1e-10)
	require.InDelta(t, -f.Intercept/f.Slope, g.Intercept, 1e-9)
	require.InDelta(t, f.Chi2, g.Chi2, 1e-9)
	require.InDelta(t, f.USlope/(f.Slope*f.Slope), g.USlope, 1e-9)
}

// Generalised distance regression written out: every true reading is a parameter, both full
// covariances enter, and a general minimiser finds the same line (ISO/TS 28037:2010, clause 10).
func TestErrorsInBothIsGeneralisedDistance(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	for trial := range 20 {
		n := 3 + trial%4
		ux, uy, stock := make([]float64, n), make([]float64, n), make([]float64, n)
		sharedX := make([]float64, n)
		var p Points
		for i := range n {
			x := 10 * float64(i+1)
			ux[i], uy[i], stock[i], sharedX[i] = 0.2+rng.Float64(), 0.2+rng.Float64(), 0.03*x, 0.3*rng.Float64()
			p.X = append(p.X, x+ux[i]*rng.NormFloat64())
			p.Y = append(p.Y, 2+1.1*x+uy[i]*rng.NormFloat64())
		}
		var err error
		covX, err := Covariance(ux, sharedX)
		require.NoError(t, err)
		covY, err := Covariance(uy, stock)
		require.NoError(t, err)
		p.CovX, p.CovY = covX, covY
		f, err := ErrorsInBoth(p)
		require.NoError(t, err)

		chi2, v := wholeDistance(t, p)
		require.InDelta(t, chi2, f.Chi2, 1e-9*math.Max(1, chi2), "trial %d", trial)
		require.InDelta(t, v[1], f.Slope, 1e-9*math.Abs(f.Slope), "trial %d", trial)
		require.InDelta(t, v[0], f.Intercept, 1e-7, "trial %d", trial)
	}
}

// wholeDistance minimises the generalised distance over the line and all true readings at once, by
// Gauss-Newton on the whitened residuals. v is intercept, slope, readings.
func wholeDistance(t *testing.T, p Points) (chi2 float64, v []float64) {
	n := len(p.X)
	var cx, cy mat.Cholesky
	require.True(t, cx.Factorize(p.CovX))
	require.True(t, cy.Factorize(p.CovY))
	var lx, ly mat.TriDense
	cx.LTo(&lx)
	cy.LTo(&ly)
	v = append([]float64{0, 1}, p.X...)
	for range 200 {
		jac, res := mat.NewDense(2*n, n+2, nil), mat.NewDense(2*n, 1, nil)
		rawX, rawY := mat.NewDense(n, n+3, nil), mat.NewDense(n, n+3, nil)
		for i := range n {
			rawX.Set(i, n+2, p.X[i]-v[2+i])
			rawX.Set(i, 2+i, 1)
			rawY.Set(i, n+2, p.Y[i]-v[0]-v[1]*v[2+i])
			rawY.Set(i, 0, 1)
			rawY.Set(i, 1, v[2+i])
			rawY.Set(i, 2+i, v[1])
		}
		var wx, wy mat.Dense
		require.NoError(t, wx.Solve(&lx, rawX))
		require.NoError(t, wy.Solve(&ly, rawY))
		for i := range n {
			for k := range n + 2 {
				jac.Set(i, k, wx.At(i, k))
				jac.Set(n+i, k, wy.At(i, k))
			}
			res.Set(i, 0, wx.At(i, n+2))
			res.Set(n+i, 0, wy.At(i, n+2))
		}
		var step mat.Dense
		require.NoError(t, step.Solve(jac, res))
		chi2 = mat.Norm(res, 2) * mat.Norm(res, 2)
		for k := range v {
			v[k] += step.At(k, 0)
		}
		if mat.Norm(&step, 2) < 1e-12 {
			break
		}
	}
	return chi2, v
}

// A stock error common to all bottles leaves the chi-squared of the shape alone: it must not be
// averaged away. With two bottles the interval is exactly what two-point propagation gives.
func TestSharedErrorIsNotAveragedAway(t *testing.T) {
	x, y := []float64{100, 200, 300, 400, 500}, []float64{101, 199, 302, 398, 503}
	own := []float64{0.5, 0.5, 0.5, 0.5, 0.5}
	var stock []float64
	for _, v := range y {
		stock = append(stock, 0.02*v)
	}
	covY, err := Covariance(own, stock)
	require.NoError(t, err)
	f, err := Weighted(Points{X: x, Y: y, CovY: covY})
	require.NoError(t, err)
	e, err := f.At(300, Level)
	require.NoError(t, err)
	require.Greater(t, e.U, 0.019*e.Corrected, "2 % of stock doubt stays 2 %")

	pair := Points{X: x[:2], Y: y[:2], CovX: diagonal(t, 1, 2), CovY: covY.SliceSym(0, 2)}
	two, err := TwoPoint(pair)
	require.NoError(t, err)
	both, err := ErrorsInBoth(pair)
	require.NoError(t, err)
	require.InDelta(t, two.Slope, both.Slope, 1e-12)
	require.InDelta(t, two.USlope, both.USlope, 1e-12)
	require.InDelta(t, two.UIntercept, both.UIntercept, 1e-9)
	require.InDelta(t, two.Covariance, both.Covariance, 1e-10)
}
