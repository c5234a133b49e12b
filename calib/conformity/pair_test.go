package conformity

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Two errors in common are as one and a rest: both values at their limit, with correlation rho, are
// within with probability 1/4 + asin(rho)/(2 pi) (W.F. Sheppard 1899).
func TestTwoCommonErrors(t *testing.T) {
	a, b := [][]float64{{3, 1}, {1, 2}}, []float64{2, 1}
	v00, v01, v11 := 9.0+1+4, 3.0+2, 1.0+4+1
	want := 0.25 + math.Asin(v01/math.Sqrt(v00*v11))/(2*math.Pi)
	far := Limits{Low: math.Inf(-1), High: 0}
	j := Joint{Value: []float64{0, 0}, Limits: []Limits{far, far}, Own: b, Shared: a}
	p, err := j.Probability()
	require.NoError(t, err)
	require.InDelta(t, want, p, 1e-7)
	// Sheppard's figure holds for Student's t as well: only the direction counts.
	j = Joint{Value: []float64{0, 0}, Limits: []Limits{far, far}, Scatter: b, SharedScatter: a, DoF: 2}
	p, err = j.Probability()
	require.NoError(t, err)
	require.InDelta(t, want, p, 1e-5)
	j = Joint{Value: []float64{0}, Limits: []Limits{Around(5)}, Shared: [][]float64{{3}, {4}}}
	p, err = j.Probability()
	require.NoError(t, err)
	require.InDelta(t, 0.6826894921370859, p, 1e-12, "within one standard deviation")
}
