package plan

import (
	"testing"

	"github.com/brinemark/brinemark/solutions"
	"github.com/stretchr/testify/require"
)

// The largest search within reason: eight bottles on a fine scale.
func BenchmarkMake(b *testing.B) {
	bench := benchOf(b, solutions.NaCl, JarSpec{Purity: given(0.995), UPurity: given(0.003)},
		ScaleSpec{StepG: given(0.001), CapacityG: given(100)}, WaterSpec{EC25: given(8), UEC25: given(1)})
	for name, maxU := range map[string]float64{"reachable": 0.01, "unreachable": 0.001} {
		b.Run(name, func(b *testing.B) {
			req := request(b, bench, "500mL", "100mg/L", "200mg/L", "300mg/L", "400mg/L", "500mg/L", "600mg/L", "700mg/L", "800mg/L")
			req.MaxU = maxU
			for b.Loop() {
				_, err := Make(req)
				require.NoError(b, err)
			}
		})
	}
}
