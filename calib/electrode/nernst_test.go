package electrode_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/electrode"
)

// CODATA 2018 (Tiesinga, Mohr, Newell, Taylor, Rev. Mod. Phys. 93 (2021)
// 025010), exact since the 2019 SI, to the printed digits.
func TestConstants(t *testing.T) {
	assert.InDelta(t, 8.314462618, electrode.GasConstant, 5e-10)
	assert.InDelta(t, 96485.33212, electrode.FaradayConstant, 5e-6)
}

// Ideal slopes in mV per pH: 54.20 at 0 C, 59.16 at 25 C and 64.12 at 50 C are
// printed in every handbook of pH measurement (Bates, Determination of pH,
// from memory); the rest are computed from CODATA constants to three decimals.
func TestIdealSlope(t *testing.T) {
	for temp, want := range map[float64]float64{0: 54.20, 25: 59.16, 50: 64.12} {
		s, err := electrode.IdealSlope(temp)
		require.NoError(t, err)
		assert.InDelta(t, want, s, 0.005, "at %g C", temp)
	}
	for temp, want := range map[float64]float64{
		0: 54.199, 5: 55.191, 10: 56.183, 15: 57.175, 20: 58.167, 25: 59.159,
		30: 60.151, 35: 61.144, 40: 62.136, 45: 63.128, 50: 64.120,
	} {
		s, err := electrode.IdealSlope(temp)
		require.NoError(t, err)
		assert.InDelta(t, want, s, 0.001, "at %g C", temp)
	}
	for _, bad := range []float64{-0.1, 50.1, 77, math.NaN(), math.Inf(1)} {
		_, err := electrode.IdealSlope(bad)
		assert.Error(t, err)
	}
}
