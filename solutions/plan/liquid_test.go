package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// Hard water: a bottle of 500 mg/L made with water of 400 uS/cm. If the water's
// ions are like the salt's, the truth is what the handbook's model gives for
// all of them together, and it lies one contribution of "ions of the water
// among the salt's" below the value; two bottles of one water share it.
func TestWorthKnowsThatIonsDoNotSimplyAdd(t *testing.T) {
	b := exact(t, solutions.NaCl)
	w, err := NewWater(WaterSpec{EC25: given(400), UEC25: given(0), TempC: given(20), UTempC: given(0)})
	require.NoError(t, err)
	b.Water = w
	worth := func(saltG float64) (Worth, float64) {
		l, err := dissolve(b.Jar, uncert.Exact(saltG), uncert.Exact(1000))
		require.NoError(t, err)
		v, err := b.Worth(l)
		require.NoError(t, err)
		own, err := solutions.MolalityFor(solutions.NaCl, 400)
		require.NoError(t, err)
		truth, err := solutions.Conductivity(solutions.NaCl, v.Molality.Nominal()+own, 25)
		require.NoError(t, err)
		return v, truth
	}
	weak, weakTruth := worth(0.5)
	strong, strongTruth := worth(2)
	assert.InDelta(t, weak.EC25.Nominal()-weakTruth, weak.EC25.Part("water-ions:water"), 1e-6)
	assert.InDelta(t, strong.EC25.Nominal()-strongTruth, strong.EC25.Part("water-ions:water"), 1e-6)
	assert.Greater(t, weak.EC25.Part("water-ions:water"), 10.0, "1 % of the value: no small matter")
	assert.GreaterOrEqual(t, uncert.Cov(weak.EC25, strong.EC25), weak.EC25.Part("water-ions:water")*strong.EC25.Part("water-ions:water"))
	_, shared := split(weak.EC25, "bottle 1")
	assert.InDelta(t, weak.EC25.U(), shared, 1e-9)
}
