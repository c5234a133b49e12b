package line

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// GUM (JCGM 100:2008), H.3: calibration of a thermometer, Y the correction, X = t - 20 C.
func TestOrdinaryOnGUMH3(t *testing.T) {
	data, want := published(t, "gum_h3_thermometer"), published(t, "gum_h3_thermometer_results")
	var x []float64
	for _, v := range data.column("t_C") {
		x = append(x, v-20)
	}
	f, err := Ordinary(Points{X: x, Y: data.column("b_C")})
	require.NoError(t, err)
	want.printed("y1", f.Intercept)
	want.printed("s_y1", f.UIntercept)
	want.printed("y2", f.Slope)
	want.printed("s_y2", f.USlope)
	want.printed("r_y1_y2", f.Covariance/(f.UIntercept*f.USlope))
	want.printed("s", f.ResidualSD)
	agree(t, "cov", want.exact("cov_y1_y2"), f.Covariance, 9)
	e, err := f.At(30-20, Level)
	require.NoError(t, err)
	want.printed("b_30C", e.Corrected)
	want.printed("u_b_30C", e.U)
	agree(t, "u at 30 C", want.exact("u_b_30C"), e.U, 9)
	require.True(t, e.Outside, "30 C lies beyond the highest reading")
	// GUM table G.2: t_95(9) = 2.26.
	require.InDelta(t, 2.26, e.K, 0.005)
	require.InDelta(t, e.Corrected+e.K*e.U, e.High, 1e-12)
}

// exactOrdinary fits by rational arithmetic on the float64 figures: no rounding at all.
func exactOrdinary(x, y []float64) (intercept, slope float64) {
	n := new(big.Rat).SetInt64(int64(len(x)))
	sx, sy, sxx, sxy := new(big.Rat), new(big.Rat), new(big.Rat), new(big.Rat)
	for i := range x {
		a, b := new(big.Rat).SetFloat64(x[i]), new(big.Rat).SetFloat64(y[i])
		sx.Add(sx, a)
		sy.Add(sy, b)
		sxx.Add(sxx, new(big.Rat).Mul(a, a))
		sxy.Add(sxy, new(big.Rat).Mul(a, b))
	}
	num := new(big.Rat).Sub(new(big.Rat).Mul(n, sxy), new(big.Rat).Mul(sx, sy))
	den := new(big.Rat).Sub(new(big.Rat).Mul(n, sxx), new(big.Rat).Mul(sx, sx))
	b := new(big.Rat).Quo(num, den)
	a := new(big.Rat).Quo(new(big.Rat).Sub(sy, new(big.Rat).Mul(b, sx)), n)
	intercept, _ = a.Float64()
	slope, _ = b.Float64()
	return intercept, slope
}

// Readings that differ only in their last digits (an offset a million times the spread) still give
// 7 digits, and well-conditioned ones 12, against rational arithmetic.
func TestOrdinaryKeepsDigits(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, c := range []struct {
		offset, least float64
	}{{0, 12}, {1e3, 12}, {1e6, 9}, {1e8, 7}} {
		for range 50 {
			n := 3 + rng.IntN(8)
			var x, y []float64
			for i := range n {
				x = append(x, c.offset+10*float64(i)+rng.Float64())
				y = append(y, 3+1.02*x[i]+0.1*rng.NormFloat64())
			}
			f, err := Ordinary(Points{X: x, Y: y})
			require.NoError(t, err)
			a, b := exactOrdinary(x, y)
			agree(t, "slope", b, f.Slope, c.least)
			require.InDelta(t, a+b*x[0], f.Corrected(x[0]), 1e-9*math.Max(1, c.offset/1e6)*10)
		}
	}
}

// Shifting and rescaling the units moves the line as algebra says.
func TestOrdinaryFollowsUnits(t *testing.T) {
	p := Points{X: []float64{10, 20, 31, 39}, Y: []float64{11, 20.5, 32, 41}}
	f, err := Ordinary(p)
	require.NoError(t, err)
	var q Points
	for i := range p.X {
		q.X = append(q.X, 1000*p.X[i])
		q.Y = append(q.Y, 2*p.Y[i]+7)
	}
	g, err := Ordinary(q)
	require.NoError(t, err)
	require.InDelta(t, 2*f.Slope/1000, g.Slope, 1e-15)
	require.InDelta(t, 2*f.Intercept+7, g.Intercept, 1e-11)
	require.InDelta(t, 2*f.USlope/1000, g.USlope, 1e-15)
	require.InDelta(t, 2*f.UIntercept, g.UIntercept, 1e-12)
	var sum float64
	for i := range f.Leverage {
		sum += f.Leverage[i]
		require.InDelta(t, f.Standardised[i], g.Standardised[i], 1e-9)
	}
	require.InDelta(t, 2, sum, 1e-12)
}

// Two points leave no scatter: a line, but nothing about its uncertainty.
func TestOrdinaryThroughTwoPointsHasNoBasis(t *testing.T) {
	f, err := Ordinary(Points{X: []float64{1, 2}, Y: []float64{3, 5}})
	require.NoError(t, err)
	require.Equal(t, NoBasis, f.Basis)
	require.InDelta(t, 2, f.Slope, 1e-15)
	e, err := f.At(1.5, Level)
	require.NoError(t, err)
	require.InDelta(t, 4, e.Corrected, 1e-15)
	for _, v := range []float64{e.U, e.Low, e.High, f.USlope, f.UIntercept, f.ResidualSD} {
		require.True(t, math.IsNaN(v))
	}
}

// The wild point stands out and stays in: dropping it would give another line.
func TestOrdinaryFlagsAndKeeps(t *testing.T) {
	p := Points{
		X: []float64{1, 2, 3, 4, 5, 6, 7, 8},
		Y: []float64{1.01, 2.02, 2.99, 4.01, 6.0, 5.98, 7.01, 8.02},
	}
	f, err := Ordinary(p)
	require.NoError(t, err)
	require.Equal(t, []bool{false, false, false, false, true, false, false, false}, f.Flagged)
	require.Equal(t, 8, f.N)
	require.InDelta(t, 1, f.Residuals[4], 0.2)
}

func TestGainOfOnePoint(t *testing.T) {
	f, err := Gain(Points{X: []float64{1380}, Y: []float64{1413}})
	require.NoError(t, err)
	require.Equal(t, NoBasis, f.Basis)
	require.InDelta(t, 1413.0/1380, f.Slope, 1e-15)

	// GUM 5.1.2 by hand: u(slope)^2 = (u_ref/x)^2 + (ref u_x/x^2)^2.
	covY, err := Covariance([]float64{4}, []float64{5})
	require.NoError(t, err)
	covX, err := Covariance([]float64{3})
	require.NoError(t, err)
	f, err = Gain(Points{X: []float64{1380}, Y: []float64{1413}, CovX: covX, CovY: covY})
	require.NoError(t, err)
	require.Equal(t, FromStated, f.Basis)
	b := 1413.0 / 1380
	require.InDelta(t, math.Sqrt(16+25+b*b*9)/1380, f.USlope, 1e-15)
}
