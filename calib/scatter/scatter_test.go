package scatter_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"github.com/brinemark/brinemark/calib/scatter"
	"github.com/brinemark/brinemark/calib/uncert"
)

func source(id string) uncert.Source { return uncert.Source{ID: id, Label: id} }

// pair is two parameters that rest on one scatter.
func pair(t *testing.T, a, b, ua, ub float64) (uncert.Value, uncert.Value) {
	t.Helper()
	v, err := uncert.FromCovariance([]float64{a, b}, mat.NewDiagDense(2, []float64{ua * ua, ub * ub}), "fit", "scatter")
	require.NoError(t, err)
	return v[0], v[1]
}

// Student's t for 95 %: 12.71 for one degree of freedom, 3.18 for three
// (JCGM 100:2008, table G.2).
func TestScatterCountsOnce(t *testing.T) {
	a, b := pair(t, 10, 1, 0.3, 0.4)
	for dof, factor := range map[float64]float64{1: 12.71, 3: 3.18} {
		e := scatter.Fit{ID: "fit", DoF: dof}.Estimate(a.Add(b), 0.95)
		assert.InDelta(t, 0.5, *e.U, 1e-12)
		assert.InDelta(t, factor, (*e.High-e.Value)/(*e.U), 0.005)
		assert.Equal(t, dof, e.DoF)
	}
}

func TestSharesAddInSquares(t *testing.T) {
	a, _ := pair(t, 10, 1, 0.3, 0.4)
	known := uncert.Must(uncert.New(0, 2, source("thermometer")))
	e := scatter.Fit{ID: "fit", DoF: 3}.Estimate(a.Add(known), 0.95)
	assert.InDelta(t, math.Hypot(3.182446*0.3, 1.959964*2), *e.High-10, 1e-5)
	assert.InDelta(t, 20, *e.High+*e.Low, 1e-12)
	// Without scatter it is the usual interval, with its own degrees of freedom.
	few := uncert.Must(uncert.New(5, 2, uncert.Source{ID: "repeats", Label: "repeats", DoF: 4}))
	e = scatter.Fit{ID: "fit", DoF: math.Inf(1)}.Estimate(few, 0.95)
	assert.InDelta(t, few.Expanded(0.95).High, *e.High, 1e-12)
	assert.InDelta(t, 4, e.DoF, 1e-12)
	e = scatter.Fit{ID: "fit", DoF: 3}.Estimate(uncert.Exact(7), 0.95)
	assert.Equal(t, 7.0, *e.Low, "an exact value has an interval of no width")
}

func TestUnstatedHasNoInterval(t *testing.T) {
	e := scatter.Fit{ID: "fit", DoF: 3}.Estimate(uncert.Unstated(4, source("x")), 0.95)
	assert.Equal(t, 4.0, e.Value)
	assert.Nil(t, e.U)
	assert.Nil(t, e.Low)
	assert.Nil(t, e.High)
	assert.True(t, math.IsNaN(e.DoF))
}

func TestSharedAndStated(t *testing.T) {
	var v []uncert.Value
	for i := range 3 {
		x := uncert.Must(uncert.New(1, 0.1, source(fmt.Sprint("own", i))))
		x = uncert.Must(x.With(0.2, source("shared")))
		v = append(v, x.Add(uncert.Unstated(0, source("unknown"))))
	}
	for i, w := range scatter.SharedOnly(v) {
		assert.InDelta(t, 0.2, w.U(), 1e-12)
		assert.Empty(t, w.Unstated())
		assert.Len(t, scatter.StatedOnly(v[i]).Parts(), 2)
		assert.InDelta(t, math.Hypot(0.1, 0.2), scatter.StatedOnly(v[i]).U(), 1e-12)
	}
	assert.True(t, math.IsNaN(scatter.StatedOnly(uncert.Exact(math.NaN())).Nominal()))
}

// A mean of n readings, whose scatter is estimated, plus a known error: the
// interval covers at least what it claims and not much more.
func TestCoverage(t *testing.T) {
	const trials = 8000
	rng := rand.New(rand.NewPCG(7, 11))
	for _, n := range []int{2, 4, 10} {
		for _, uKnown := range []float64{0, 0.3, 1, 3} {
			hits := 0
			for range trials {
				var sum, squares float64
				for range n {
					x := rng.NormFloat64()
					sum, squares = sum+x, squares+x*x
				}
				m := sum / float64(n)
				u := math.Sqrt((squares - sum*m) / float64(n-1) / float64(n))
				mean, _ := pair(t, m, 0, u, 0)
				truth := mean.Add(uncert.Must(uncert.New(uKnown*rng.NormFloat64(), uKnown, source("known"))))
				e := scatter.Fit{ID: "fit", DoF: float64(n - 1)}.Estimate(truth, 0.95)
				if *e.Low <= 0 && 0 <= *e.High {
					hits++
				}
			}
			p := float64(hits) / trials
			// The standard deviation of the count is 0.24 %.
			assert.Greater(t, p, 0.94, "n %d, known %g", n, uKnown)
			assert.Less(t, p, 0.99, "n %d, known %g", n, uKnown)
			if uKnown == 0 {
				assert.InDelta(t, 0.95, p, 0.01)
			}
		}
	}
}

// Two parameters of a line through three points: their sum rests on one
// estimate with one degree of freedom, so the factor is 12.7 and not that of
// two.
func ExampleFit_Estimate() {
	parameters, err := uncert.FromCovariance([]float64{1, 0.5}, mat.NewDiagDense(2, []float64{0.0009, 0.0016}), "line", "scatter of three points")
	if err != nil {
		fmt.Println(err)
		return
	}
	fit := scatter.Fit{ID: "line", DoF: 1}
	e := fit.Estimate(parameters[0].Add(parameters[1]), 0.95)
	fmt.Printf("%.2f, u %.2f, 95 %% from %.2f to %.2f\n", e.Value, *e.U, *e.Low, *e.High)
	// Output: 1.50, u 0.05, 95 % from 0.86 to 2.14
}
