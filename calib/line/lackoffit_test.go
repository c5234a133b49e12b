package line

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Kutner et al., section 3.7, the bank example.
func TestLackOfFitOnBank(t *testing.T) {
	data, want := published(t, "lack_of_fit_bank"), published(t, "lack_of_fit_bank_results")
	l, err := JudgeLackOfFit(Points{X: data.column("x"), Y: data.column("y")})
	require.NoError(t, err)
	want.printed("ss_pure_error", l.SSPure)
	want.printed("ss_lack_of_fit", l.SSLack)
	want.printed("F", l.F)
	want.printed("p", l.P)
	agree(t, "F", want.exact("F"), l.F, 9)
	agree(t, "p", want.exact("p"), l.P, 8)
	require.Equal(t, 4, l.DoFLack)
	require.Equal(t, 5, l.DoFPure)
}

func TestLackOfFitRefusals(t *testing.T) {
	_, err := lack([]float64{1, 2, 3}, []float64{1, 2, 3.1})
	require.ErrorIs(t, err, ErrTooFew)
	_, err = lack([]float64{1, 1, 2, 2}, []float64{1, 1.1, 2, 2.1})
	require.ErrorIs(t, err, ErrTooFew)
	_, err = lack([]float64{1, 1, 2, 3}, []float64{1, 1, 2, 3.1})
	require.ErrorIs(t, err, ErrNotAvailable)
}

// lack shortens the calls above.
func lack(x, y []float64) (LackOfFit, error) { return JudgeLackOfFit(Points{X: x, Y: y}) }

func TestRepeatability(t *testing.T) {
	sd, dof := Repeatability([]string{"a", "a", "b", "b", "b", "c"}, []float64{1, 3, 10, 11, 12, 7})
	require.Equal(t, 3, dof)
	require.InDelta(t, math.Sqrt((2.0+2.0)/3), sd, 1e-15)
	sd, dof = Repeatability([]string{"a", "b"}, []float64{1, 2})
	require.Zero(t, dof)
	require.True(t, math.IsNaN(sd))
}
