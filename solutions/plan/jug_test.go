package plan

import (
	"math"
	"testing"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func jugOf(t testing.TB, spec JugSpec) *Jug {
	t.Helper()
	j, err := NewJug(spec)
	require.NoError(t, err)
	return &j
}

// poured is the volume's share of the relative uncertainty of the molality of 5 g
// of salt in what was poured.
func pouredU(t *testing.T, j *Jug, fillingsML ...float64) float64 {
	t.Helper()
	b := roomy(t)
	b.Jug = j
	m, err := b.Bottle("bottle 1", nil, Weighed{SaltG: []float64{5}, WaterML: fillingsML})
	require.NoError(t, err)
	w, err := b.Worth(m.Liquid)
	require.NoError(t, err)
	return math.Abs(w.Molality.Part("filling:bottle:bottle 1/water")) / w.Molality.Nominal()
}

// The uncertainty is that of one filling in mL, and each filling has its own:
// by hand, 5 mL in 500 mL is 1 %, 5 mL twice in 1000 mL 5·√2/1000, and 5 mL in a
// jug filled to 100 mL is 5 %, though its mark at the top says 500.
func TestUncertaintyOfAFillingIsAbsoluteAndItsOwn(t *testing.T) {
	j := jugOf(t, JugSpec{SizeML: 500, UML: given(5)})
	assert.InEpsilon(t, 0.01, pouredU(t, j, 500), 1e-9)
	assert.InEpsilon(t, 5*math.Sqrt2/1000, pouredU(t, j, 500, 500), 1e-9)
	assert.InEpsilon(t, 0.05, pouredU(t, j, 100), 1e-9)
	assert.Zero(t, pouredU(t, jugOf(t, JugSpec{SizeML: 500, UML: given(0)}), 500), "0 is exact")
}

// The marks are wrong by one fraction for all that a jug measures: it does not
// average out over fillings, and two bottles share it.
func TestMarksAreSharedByAllFillings(t *testing.T) {
	b := roomy(t)
	b.Jug = jugOf(t, JugSpec{SizeML: 500, UML: given(5), UMarks: given(0.02)})
	var worths []uncert.Value
	for name, fillings := range map[string][]float64{"one": {500}, "four": {500, 500, 500, 500}} {
		m, err := b.Bottle(name, nil, Weighed{SaltG: []float64{5}, WaterML: fillings})
		require.NoError(t, err)
		w, err := b.Worth(m.Liquid)
		require.NoError(t, err)
		assert.InEpsilon(t, -0.02, w.Molality.Part("jug:jug")/w.Molality.Nominal(), 1e-9, name)
		worths = append(worths, w.Molality)
	}
	shared := worths[0].Nominal() * worths[1].Nominal() * 0.02 * 0.02
	assert.InEpsilon(t, shared, uncert.Cov(worths[0], worths[1]), 0.2)
	assert.Greater(t, uncert.Cov(worths[0], worths[1]), shared) // jar, air and scale are shared too
}

func TestFillingAboveTheSizeOfTheJugIsRefused(t *testing.T) {
	b := roomy(t)
	b.Jug = jugOf(t, JugSpec{SizeML: 250})
	_, err := b.Bottle("bottle 1", nil, Weighed{SaltG: []float64{5}, WaterML: []float64{250, 251}})
	assert.ErrorContains(t, err, "251 mL in one filling is above the size of the jug, 250 mL")
	_, err = b.Bottle("bottle 1", nil, Weighed{SaltG: []float64{5}, WaterML: []float64{250, 250}})
	assert.NoError(t, err)
}

// More fillings never make a bottle look better: with 5 mL to each, five
// fillings of 100 mL are worse than one of 500 by √5, and whatever the planner
// chooses, one filling is left in every bottle.
func TestPlannerDoesNotGainByFillings(t *testing.T) {
	volumeU := func(size float64, route Route) float64 {
		b := kitchen(t)
		b.Jug = jugOf(t, JugSpec{SizeML: size, UML: given(5)})
		req := request(t, b, "490mL", "5000mg/L")
		req.Route = route
		r, err := Make(req)
		require.NoError(t, err)
		require.Positive(t, r.Batches[0].WaterML.Portions)
		m := r.Batches[0].Worth.Molality
		return -m.Part("filling:bottle:bottle 1/water") / m.Nominal()
	}
	assert.InEpsilon(t, 5.0/490, volumeU(500, Direct), 0.01)
	assert.InEpsilon(t, math.Sqrt(5)*5/490, volumeU(100, Direct), 0.01)
	assert.Greater(t, volumeU(100, Auto), 0.99*5/490)
}

func TestJugsThatAreRefused(t *testing.T) {
	for _, spec := range []JugSpec{
		{SizeML: 0}, {SizeML: -5}, {SizeML: math.NaN()}, {SizeML: 100, UML: given(100)}, {SizeML: 100, UML: given(-1)},
		{SizeML: 100, UML: given(math.NaN())}, {SizeML: 100, UML: given(math.Inf(1))}, {SizeML: 100, UMarks: given(0.5)}, {SizeML: 100, UMarks: given(math.NaN())},
	} {
		_, err := NewJug(spec)
		assert.Error(t, err, "%+v", spec)
	}
}

func TestWhatIsTakenOfAJugIsSaid(t *testing.T) {
	assert.Len(t, jugOf(t, JugSpec{SizeML: 500}).Assumptions, 2)
	assert.Contains(t, jugOf(t, JugSpec{SizeML: 500, UML: given(5)}).Assumptions[0], "independent from filling to filling")
	assert.Empty(t, jugOf(t, JugSpec{SizeML: 500, UML: given(5), UMarks: given(0)}).Assumptions)
}
