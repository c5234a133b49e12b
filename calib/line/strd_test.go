package line

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// NIST StRD, linear regression: Norris (lower difficulty), 9 digits asked, all certified figures.
func TestOrdinaryOnNorris(t *testing.T) {
	data, want := published(t, "strd_norris"), published(t, "strd_norris_results")
	f, err := Ordinary(Points{X: data.column("x"), Y: data.column("y")})
	require.NoError(t, err)
	agree(t, "b0", want.cell("b0", "printed"), f.Intercept, 11)
	agree(t, "sd b0", want.cell("sd_b0", "printed"), f.UIntercept, 11)
	agree(t, "b1", want.cell("b1", "printed"), f.Slope, 13)
	agree(t, "sd b1", want.cell("sd_b1", "printed"), f.USlope, 11)
	agree(t, "residual sd", want.cell("residual_sd", "printed"), f.ResidualSD, 11)
	agree(t, "cov", want.exact("cov_b0_b1"), f.Covariance, 11)
	require.Equal(t, 34, f.DoF)
	require.Equal(t, FromScatter, f.Basis)
	require.True(t, math.IsNaN(f.Chi2))
}

// NIST StRD, linear regression: NoInt1 (average difficulty), through the origin.
func TestGainOnNoInt1(t *testing.T) {
	data, want := published(t, "strd_noint1"), published(t, "strd_noint1_results")
	f, err := Gain(Points{X: data.column("x"), Y: data.column("y")})
	require.NoError(t, err)
	agree(t, "b1", want.cell("b1", "printed"), f.Slope, 13)
	agree(t, "sd b1", want.cell("sd_b1", "printed"), f.USlope, 12)
	agree(t, "residual sd", want.cell("residual_sd", "printed"), f.ResidualSD, 12)
	require.Equal(t, 10, f.DoF)
	require.Zero(t, f.Intercept)
	require.Zero(t, f.UIntercept)
}

// NIST StRD, linear regression: NoInt2 (average difficulty); data and certified values from memory.
func TestGainOnNoInt2(t *testing.T) {
	f, err := Gain(Points{X: []float64{4, 5, 6}, Y: []float64{3, 4, 4}})
	require.NoError(t, err)
	agree(t, "b1", 0.727272727272727, f.Slope, 13)
	agree(t, "sd b1", 0.0420827318078432, f.USlope, 13)
	agree(t, "residual sd", 0.369274472937998, f.ResidualSD, 13)
}

// Repeats in one bottle: a gain on readings of 1 is the mean, with the mean's standard deviation.
// NIST StRD, univariate: NumAcc2 and Mavro from the tables; NumAcc1, 3 and 4 by their published
// construction (from memory), of which 3 and 4 are the ill-conditioned ones.
func TestGainOnUnivariateSets(t *testing.T) {
	alternate := func(first, low, high float64) []float64 {
		v := []float64{first}
		for range 500 {
			v = append(v, low, high)
		}
		return v
	}
	numAcc2, mavro := published(t, "strd_numacc2"), published(t, "strd_mavro")
	mavroWant := published(t, "strd_mavro_results")
	for _, c := range []struct {
		name     string
		y        []float64
		mean, sd float64
		digits   float64
	}{
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, 15},
		{"NumAcc2", numAcc2.column("y"), 1.2, 0.1, 13},
		{"NumAcc3", alternate(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, 9},
		{"NumAcc4", alternate(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, 8},
		{"Mavro", mavro.column("y"), mavroWant.exact("mean"), mavroWant.exact("sd"), 12},
	} {
		x := filled(len(c.y), 1)
		f, err := Gain(Points{X: x, Y: c.y})
		require.NoError(t, err, c.name)
		agree(t, c.name+" mean", c.mean, f.Slope, 15)
		agree(t, c.name+" sd", c.sd, f.ResidualSD, c.digits)
		agree(t, c.name+" sd of the mean", c.sd/math.Sqrt(float64(len(c.y))), f.USlope, c.digits)
		require.InDelta(t, c.mean, mean(c.y), 1e-9, c.name)
	}
}
