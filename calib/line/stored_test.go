package line

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// A fit that was kept says the same as before, whatever the method.
func TestRestore(t *testing.T) {
	full := pearson(t, published(t, "york_pearson"))
	for _, m := range Methods() {
		p := full
		if m == MethodTwoPoint {
			p = Points{X: full.X[:2], Y: full.Y[:2], CovY: full.CovY.(*mat.SymDense).SliceSym(0, 2)}
		}
		f, err := m.Fit(p)
		require.NoError(t, err)
		basis, err := ParseBasis(f.Basis.String())
		require.NoError(t, err)
		kept := f.Kept()
		kept.Basis = basis
		g, err := Restore(kept)
		require.NoError(t, err)
		for _, x := range []float64{-5, 0, 3, 20} {
			a, err := f.AtU(x, 0.1, Level)
			require.NoError(t, err)
			b, err := g.AtU(x, 0.1, Level)
			require.NoError(t, err)
			require.InDelta(t, a.Corrected, b.Corrected, 1e-10)
			require.Equal(t, a.Outside, b.Outside)
			if f.Basis == NoBasis {
				require.True(t, math.IsNaN(b.U))
				continue
			}
			require.InEpsilon(t, a.U, b.U, 1e-7)
			require.InDelta(t, a.Low, b.Low, 1e-6)
			require.Equal(t, a.DoF, b.DoF)
		}
	}
	for _, bad := range []Parameters{
		{Method: "spline"},
		{Method: MethodGain, Slope: math.NaN()},
		{Method: MethodOrdinary, Slope: 1, Basis: FromScatter, UIntercept: 1, USlope: 1, Covariance: 2, DoF: 3},
		{Method: MethodOrdinary, Slope: 1, Basis: FromScatter, UIntercept: 1, USlope: 1},
		{Method: MethodOrdinary, Slope: 1, Basis: FromStated, UIntercept: -1, USlope: 1},
	} {
		_, err := Restore(bad)
		require.Error(t, err, "%+v", bad)
	}
	_, err := ParseBasis("guess")
	require.Error(t, err)
}
