package line

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
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

		var ix, iy mat.Dense
		require.NoError(t, ix.Inverse(covX))
		require.NoError(t, iy.Inverse(covY))
		distance := func(v []float64) float64 {
			dx, dy := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
			for i := range n {
				dx.SetVec(i, p.X[i]-v[2+i])
				dy.SetVec(i, p.Y[i]-v[0]-v[1]*v[2+i])
			}
			return mat.Inner(dx, &ix, dx) + mat.Inner(dy, &iy, dy)
		}
		gradient := func(g, v []float64) {
			dx, dy := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
			for i := range n {
				dx.SetVec(i, p.X[i]-v[2+i])
				dy.SetVec(i, p.Y[i]-v[0]-v[1]*v[2+i])
			}
			var qx, qy mat.VecDense
			qx.MulVec(&ix, dx)
			qy.MulVec(&iy, dy)
			g[0], g[1] = 0, 0
			for i := range n {
				g[0] -= 2 * qy.AtVec(i)
				g[1] -= 2 * qy.AtVec(i) * v[2+i]
				g[2+i] = -2*qx.AtVec(i) - 2*v[1]*qy.AtVec(i)
			}
		}
		start := append([]float64{1, 1}, p.X...)
		res, err := optimize.Minimize(optimize.Problem{Func: distance, Grad: gradient}, start,
			&optimize.Settings{GradientThreshold: 1e-9}, &optimize.BFGS{})
		if err != nil {
			require.NotNil(t, res) // a line search that can no longer improve is the end, too
		}
		require.InDelta(t, res.F, f.Chi2, 1e-6*math.Max(1, res.F), "trial %d", trial)
		require.InDelta(t, res.X[1], f.Slope, 2e-5*math.Abs(f.Slope), "trial %d", trial)
		require.InDelta(t, res.X[0], f.Intercept, 1e-3, "trial %d", trial)
	}
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
