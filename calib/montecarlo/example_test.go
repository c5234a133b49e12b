package montecarlo_test

import (
	"fmt"
	"math/rand/v2"

	"github.com/brinemark/brinemark/calib/montecarlo"
)

// A gain is 1413 over a reading of 1380; both are known to about 1 %.
func Example() {
	r, err := montecarlo.Run(montecarlo.Plan{Outputs: []montecarlo.Kind{montecarlo.Quantity}, Seed: 1},
		func(rng *rand.Rand, out []float64) bool {
			out[0] = (1413 + 14*rng.NormFloat64()) / (1380 + 14*rng.NormFloat64())
			return true
		})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("gain %.2f, u %.3f, settled %t\n", r.Outputs[0].Mean, r.Outputs[0].U, r.Settled)
	// Output: gain 1.02, u 0.015, settled true
}
