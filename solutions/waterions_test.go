package solutions

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Equivalent conductivities at 25 C, CRC Handbook: NaCl 118.45 at 0.01 mol/L and
// 115.70 at 0.02, KCl 141.20 and 138.27 S cm2/mol. A 0.01 mol/L solution made
// with a water that is itself 0.01 mol/L of the salt is 0.02 mol/L and conducts
// 20 times the latter, not twice 10 times the former. 0.02 % of each value is
// allowed for, as the model's fit has it.
func TestWaterIonsAgainstHandbookConductivities(t *testing.T) {
	for _, c := range []struct {
		s                 Salt
		lambda10, lambda2 float64 // at 0.01 and 0.02 mol/L
	}{{NaCl, 118.45, 115.70}, {KCl, 141.20, 138.27}} {
		m, err := MolalityFromAmountConcentration(c.s, 0.01)
		require.NoError(t, err)
		excess, err := WaterIonsExcess(c.s, m, 10*c.lambda10, 25)
		require.NoError(t, err)
		assert.InDelta(t, 20*c.lambda10-20*c.lambda2, excess, 1, c.s.Formula)
	}
}

// None without a water, growing with it, never as large as it, and in dilute
// solutions at 5 C about as much smaller as the conductivity itself.
func TestWaterIonsGrowWithWaterAndSalt(t *testing.T) {
	for _, s := range Salts() {
		none, err := WaterIonsExcess(s, 0.01, 0, 25)
		require.NoError(t, err)
		assert.Zero(t, none)
		for _, m := range []float64{5e-5, 0.001, 0.01, 0.1, 1.1} {
			last := 0.0
			for _, ec := range []float64{0.01, 1, 5, 6, 7, 8, 50, 500, 2000} {
				e, err := WaterIonsExcess(s, m, ec, 25)
				require.NoError(t, err)
				assert.Greater(t, e, last, "%s %v mol/kg, %v uS/cm", s, m, ec)
				assert.Less(t, e, ec, "%s %v mol/kg, %v uS/cm: never more than the water itself", s, m, ec)
				last = e
				cold, err := WaterIonsExcess(s, m, ec, 5)
				require.NoError(t, err)
				if m <= 0.01 {
					ratio := s.conductivity(m, 5) / s.conductivity(m, 25)
					assert.InDelta(t, ratio, cold/e, 0.06, "%s %v mol/kg, %v uS/cm", s, m, ec)
				}
			}
		}
	}
}

func TestWaterIonsRefusals(t *testing.T) {
	for _, c := range [][3]float64{{0, 8, 25}, {2, 8, 25}, {0.01, -1, 25}, {0.01, 2001, 25}, {0.01, math.NaN(), 25}, {0.01, 8, 51}} {
		_, err := WaterIonsExcess(NaCl, c[0], c[1], c[2])
		assert.ErrorIs(t, err, ErrOutOfRange, "%v", c)
	}
	_, err := AddWater(Salt{Formula: "sugar"}, 0.01, 8, 25, uncert.Exact(1), uncert.Exact(8), uncert.Source{ID: "w"})
	assert.ErrorIs(t, err, ErrUnknownSalt)
}

func TestWaterWarning(t *testing.T) {
	assert.Empty(t, WaterWarning(PlainWaterEC))
	assert.Contains(t, WaterWarning(51), "water of 51 uS/cm is not demineralised")
}
