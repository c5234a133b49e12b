package plan

import (
	"math"
	"testing"

	"github.com/brinemark/brinemark/solutions"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPortionsCountTheContainerIn(t *testing.T) {
	s, err := NewScale(ScaleSpec{CapacityG: given(200), ContainerG: given(50)})
	require.NoError(t, err)
	for mass, want := range map[float64]int{1: 1, 150: 1, 150.01: 2, 300: 2, 450: 3, 498: 4} {
		assert.Equal(t, want, s.portions(mass), "%v g", mass)
	}
}

func TestScaleDefaultsAreSaid(t *testing.T) {
	s, err := NewScale(ScaleSpec{})
	require.NoError(t, err)
	assert.Equal(t, []float64{0.01, 0.01, 200, 40}, []float64{s.StepG, s.UG, s.CapacityG, s.ContainerG})
	assert.Len(t, s.Assumptions, 3)
	assert.Len(t, s.RoomAssumptions, 2)
	all, err := NewScale(ScaleSpec{StepG: given(0.01), UG: given(0.02), CapacityG: given(200), ContainerG: given(30), UGain: given(0)})
	require.NoError(t, err)
	assert.Empty(t, all.Assumptions)
	assert.Empty(t, all.RoomAssumptions)
	assert.Empty(t, all.Warnings)
}

func TestUsualContainerGrowsWithTheScale(t *testing.T) {
	for capacity, want := range map[float64]float64{50: 10, 200: 40, 250: 50, 1000: 50, 5000: 250, 100000: 5000} {
		s, err := NewScale(ScaleSpec{CapacityG: &capacity})
		require.NoError(t, err)
		assert.Equal(t, want, s.ContainerG, "%v g", capacity)
	}
}

// Two readings rounded to a step d have the standard uncertainty d·√(2/12)
// between them (JCGM 100:2008 F.2.2.1 gives d/√12 for one).
func TestUncertaintyBelowRoundingIsRemarkedOn(t *testing.T) {
	for u, warned := range map[float64]bool{0: false, 0.003: true, 0.0040: true, 0.0041: false} {
		s, err := NewScale(ScaleSpec{StepG: given(0.01), UG: given(u)})
		require.NoError(t, err)
		assert.Equal(t, warned, len(s.Warnings) == 1, "u = %v g", u)
	}
}

func TestMassesAreFormattedToTheStep(t *testing.T) {
	for _, c := range []struct {
		step, mass float64
		want       string
	}{
		{0.01, 5, "5.00"}, {0.01, 475.499, "475.50"}, {0.01, 0.004999, "0.00"}, {0.01, 0.005001, "0.01"},
		{0.05, 1.234, "1.25"}, {1, 499.6, "500"}, {0.001, 1.23449, "1.234"}, {0.5, 12.3, "12.5"},
	} {
		s, err := NewScale(ScaleSpec{StepG: given(c.step)})
		require.NoError(t, err)
		assert.Equal(t, c.want, s.Format(c.mass), "%v g at %v g", c.mass, c.step)
	}
}

func TestScalesThatAreRefused(t *testing.T) {
	for _, c := range []struct {
		name string
		spec ScaleSpec
		want string
	}{
		{"step 0", ScaleSpec{StepG: given(0)}, "step 0 g"},
		{"step negative", ScaleSpec{StepG: given(-0.01)}, "step -0.01 g"},
		{"step not a number", ScaleSpec{StepG: given(math.NaN())}, "step NaN g"},
		{"step above capacity", ScaleSpec{StepG: given(50), CapacityG: given(20)}, "not smaller than the room"},
		{"capacity 0", ScaleSpec{CapacityG: given(0)}, "capacity 0 g"},
		{"u negative", ScaleSpec{UG: given(-1)}, "-1 g"},
		{"u infinite", ScaleSpec{UG: given(math.Inf(1))}, "+Inf g"},
		{"container too heavy", ScaleSpec{CapacityG: given(200), ContainerG: given(200)}, "leaves no room"},
		{"gain over the top", ScaleSpec{UGain: given(0.5)}, "50 %"},
		{"linearity negative", ScaleSpec{LinearityG: given(-0.02)}, "linearity -0.02 g"},
	} {
		_, err := NewScale(c.spec)
		assert.ErrorContains(t, err, c.want, c.name)
	}
}

func TestWaterThatIsRefused(t *testing.T) {
	for _, c := range []struct {
		name string
		spec WaterSpec
		want string
	}{
		{"negative conductivity", WaterSpec{EC25: given(-1)}, "-1 uS/cm"},
		{"salt water", WaterSpec{EC25: given(50000)}, "50000 uS/cm"},
		{"u alone", WaterSpec{UEC25: given(1)}, "without the conductivity"},
		{"u negative", WaterSpec{EC25: given(8), UEC25: given(-1)}, "water's conductivity -1 uS/cm"},
		{"u infinite", WaterSpec{EC25: given(8), UEC25: given(math.Inf(1))}, "+Inf uS/cm"},
		{"fahrenheit", WaterSpec{TempC: given(68)}, "20C"},
		{"u of temperature alone", WaterSpec{UTempC: given(1)}, "without the temperature"},
		{"u of temperature too large", WaterSpec{TempC: given(20), UTempC: given(100)}, "100 C"},
	} {
		_, err := NewWater(c.spec)
		assert.ErrorContains(t, err, c.want, c.name)
	}
	w, err := NewWater(WaterSpec{EC25: given(300), UEC25: given(10)})
	require.NoError(t, err)
	assert.Contains(t, w.Warnings[0], "not demineralised")
}

// The buoyancy factors that follow from OIML D 28 with air of 1.2 kg/m3 and
// weights of 8000 kg/m3: 1.000403 for NaCl of 2170 kg/m3 and 1.001053 for water
// at 20 C.
func TestMassesAreCorrectedForBuoyancy(t *testing.T) {
	b := exact(t, solutions.NaCl)
	m, err := b.Bottle("bottle 1", nil, Weighed{SaltG: []float64{10}, WaterG: []float64{500, 490}})
	require.NoError(t, err)
	salt := m.Pure.Nominal() * m.MassG.Nominal()
	water := m.Water.Nominal() * m.MassG.Nominal()
	assert.InDelta(t, 10*1.000403, salt, 10*5e-7)
	assert.InDelta(t, 990*1.001053, water, 990*5e-7)
}
