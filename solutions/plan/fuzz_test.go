package plan

import (
	"math"
	"testing"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/solutions"
	"github.com/stretchr/testify/assert"
)

// FuzzBench hands whatever numbers there are to every constructor, to a plan
// and to a bottle as made: an error, or finite and positive results.
func FuzzBench(f *testing.F) {
	f.Add(0.995, 0.003, 0.0, 0.01, 0.01, 200.0, 8.0, 20.0, 5.0, 495.0, 600.0)
	f.Add(1.2, -0.1, 0.5, 0.0, -1.0, 1.0, -8.0, 68.0, -5.0, 0.0, 4e5)
	f.Add(math.NaN(), math.Inf(1), 1e300, 1e-300, 5e-324, math.Inf(-1), 0.0, 40.0, math.MaxFloat64, 1e-9, math.NaN())
	f.Fuzz(func(t *testing.T, purity, uPurity, moisture, step, u, capacity, waterEC, temp, saltG, waterG, target float64) {
		jar, err := NewJar(solutions.KCl, JarSpec{Purity: &purity, UPurity: &uPurity, Moisture: &moisture, UMoisture: given(0.001)})
		if err != nil {
			return
		}
		scale, err := NewScale(ScaleSpec{StepG: &step, UG: &u, CapacityG: &capacity})
		if err != nil {
			return
		}
		water, err := NewWater(WaterSpec{EC25: &waterEC, UEC25: given(0.1), TempC: &temp, UTempC: given(1)})
		if err != nil {
			return
		}
		b := Bench{Jar: jar, Scale: scale, Water: water}
		made, err := AsMade(MadeRequest{Bench: b, Bottle: Weighed{SaltG: []float64{saltG}, WaterG: []float64{waterG}},
			Later: &Reweighed{MadeG: waterG + 50, NowG: waterG + 49}})
		if err == nil {
			sound(t, made.Now)
		}
		rec, err := Make(Request{Bench: b, Targets: []quantity.Quantity{{Kind: quantity.MassConcentration, Value: target}},
			Batch: quantity.Quantity{Kind: quantity.Mass, Value: waterG}, MaxU: 0.01, Route: Direct})
		if err == nil {
			sound(t, rec.Batches[0].Worth)
		}
	})
}

func sound(t *testing.T, w Worth) {
	t.Helper()
	assert.Greater(t, w.EC25.Nominal(), 0.0)
	assert.False(t, math.IsInf(w.EC25.Nominal(), 0))
	assert.GreaterOrEqual(t, w.EC25.U(), 0.0)
	assert.False(t, math.IsInf(w.EC25.U(), 0))
	assert.True(t, solutions.ModelMolalityRange.Contains(w.Molality.Nominal()))
}
