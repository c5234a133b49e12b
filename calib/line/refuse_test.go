package line

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// What no fit can use is refused with its cause, never fitted to a number.
func TestFitsRefuse(t *testing.T) {
	one := mat.NewSymDense(1, []float64{1})
	indefinite := mat.NewSymDense(2, []float64{1, 2, 2, 1})
	negative := mat.NewSymDense(2, []float64{1, 0, 0, -1})
	zero := mat.NewSymDense(2, nil)
	unit := mat.NewSymDense(2, []float64{1, 0, 0, 1})
	// Two bottles with nothing but one common error: not positive definite as weights.
	common := mat.NewSymDense(2, []float64{1, 1, 1, 1})
	for _, c := range []struct {
		name   string
		method Method
		p      Points
		cause  error
	}{
		{"no points", MethodOrdinary, Points{}, ErrTooFew},
		{"more parameters than points", MethodOrdinary, Points{X: []float64{1}, Y: []float64{1}}, ErrTooFew},
		{"one point for two", MethodTwoPoint, Points{X: []float64{1}, Y: []float64{1}}, ErrTooFew},
		{"three points for two", MethodTwoPoint, Points{X: []float64{1, 2, 3}, Y: []float64{1, 2, 3}}, ErrTooMany},
		{"two points for a robust line", MethodTheilSen, Points{X: []float64{1, 2}, Y: []float64{1, 2}}, ErrTooFew},
		{"unequal lengths", MethodGain, Points{X: []float64{1, 2}, Y: []float64{1}}, ErrLength},
		{"NaN", MethodGain, Points{X: []float64{math.NaN()}, Y: []float64{1}}, ErrNotFinite},
		{"infinite", MethodOrdinary, Points{X: []float64{1, 2}, Y: []float64{1, math.Inf(1)}}, ErrNotFinite},
		{"constant readings", MethodOrdinary, Points{X: []float64{5, 5, 5}, Y: []float64{1, 2, 3}}, ErrConstantX},
		{"constant references", MethodTheilSen, Points{X: []float64{1, 2, 3}, Y: []float64{5, 5, 5}}, ErrConstantY},
		{"zero reading", MethodGain, Points{X: []float64{0, 0}, Y: []float64{1, 1}}, ErrZeroReading},
		{"size of covariance", MethodWeighted, Points{X: []float64{1, 2}, Y: []float64{1, 2}, CovY: one}, ErrLength},
		{"not stated", MethodWeighted, Points{X: []float64{1, 2}, Y: []float64{1, 2}}, ErrNotStated},
		{"readings not stated", MethodErrorsInBoth, Points{X: []float64{1, 2}, Y: []float64{1, 2}, CovY: unit}, ErrNotStated},
		{"references not stated", MethodErrorsInBoth, Points{X: []float64{1, 2}, Y: []float64{1, 2}, CovX: unit}, ErrNotStated},
		{"indefinite", MethodWeighted, Points{X: []float64{1, 2}, Y: []float64{1, 2}, CovY: indefinite}, ErrNotPositive},
		{"negative variance", MethodErrorsInBoth, Points{X: []float64{1, 2}, Y: []float64{1, 2}, CovX: negative, CovY: unit}, ErrNotPositive},
		{"all exact", MethodErrorsInBoth, Points{X: []float64{1, 2}, Y: []float64{1, 2}, CovX: zero, CovY: zero}, ErrAllExact},
		{"all exact weights", MethodWeighted, Points{X: []float64{1, 2}, Y: []float64{1, 2}, CovY: zero}, ErrAllExact},
		{"singular weights", MethodWeighted, Points{X: []float64{1, 2}, Y: []float64{1, 2}, CovY: common}, ErrNotPositive},
		{"too large to square", MethodOrdinary, Points{X: []float64{1e200, 2e200, -4e200}, Y: []float64{1, 2, 3}}, ErrNotFinite},
		{"too close to square", MethodOrdinary, Points{X: []float64{1e-200, 2e-200, 4e-200}, Y: []float64{1, 2, 3}}, ErrNotFinite},
		{"no such method", Method("spline"), Points{X: []float64{1, 2}, Y: []float64{1, 2}}, nil},
	} {
		f, err := c.method.Fit(c.p)
		require.Error(t, err, c.name)
		require.Nil(t, f, c.name)
		if c.cause != nil {
			require.ErrorIs(t, err, c.cause, c.name)
		}
	}
}

func TestCovarianceRefuses(t *testing.T) {
	_, err := Covariance(nil)
	require.ErrorIs(t, err, ErrTooFew)
	_, err = Covariance([]float64{1, -1})
	var at *PointError
	require.ErrorAs(t, err, &at)
	require.Equal(t, 1, at.Index)
	_, err = Covariance([]float64{1, 1}, []float64{1})
	require.ErrorIs(t, err, ErrLength)
	_, err = Covariance([]float64{1, 1}, []float64{1, math.NaN()})
	require.ErrorIs(t, err, ErrNotFinite)
	v, err := Covariance([]float64{3, 4}, []float64{1, -2})
	require.NoError(t, err)
	require.Equal(t, []float64{10, -2, -2, 20}, []float64{v.At(0, 0), v.At(0, 1), v.At(1, 0), v.At(1, 1)})
}

func TestChoose(t *testing.T) {
	unit2, unit3 := mat.NewSymDense(2, []float64{1, 0, 0, 1}), mat.NewSymDense(3, []float64{1, 0, 0, 0, 1, 0, 0, 0, 1})
	x3, y3 := []float64{1, 2, 3}, []float64{1, 2, 4}
	for _, c := range []struct {
		want Method
		p    Points
	}{
		{MethodGain, Points{X: []float64{1}, Y: []float64{1}}},
		{MethodGain, Points{X: []float64{1, 1.1, 0.9}, Y: []float64{1, 1, 1}}},
		{MethodTwoPoint, Points{X: x3[:2], Y: y3[:2], CovX: unit2, CovY: unit2}},
		{MethodErrorsInBoth, Points{X: x3, Y: y3, CovX: unit3, CovY: unit3}},
		{MethodWeighted, Points{X: x3, Y: y3, CovY: unit3}},
		{MethodOrdinary, Points{X: x3, Y: y3, CovX: unit3}},
		{MethodOrdinary, Points{X: x3, Y: y3}},
		{MethodOffset, Points{X: x3, Y: []float64{0, 0, 0}}},
	} {
		got, why := Choose(c.p)
		require.Equal(t, c.want, got)
		require.NotEmpty(t, why)
	}
	require.Len(t, Methods(), 7)
	_, err := ParseMethod("lines")
	require.ErrorContains(t, err, "errors-in-both")
}

func TestAtRefuses(t *testing.T) {
	f, err := Ordinary(Points{X: []float64{1, 2, 3}, Y: []float64{1, 2, 4}})
	require.NoError(t, err)
	for _, c := range [][3]float64{{math.NaN(), 0, 0.95}, {1, -1, 0.95}, {1, 0, 1}, {1, math.Inf(1), 0.95}} {
		_, err := f.AtU(c[0], c[1], c[2])
		require.Error(t, err, "%v", c)
	}
}
