package cause

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// Whatever the numbers, there is an explanation whose probabilities add up to
// one and whose sizes are numbers or left out.
func TestHostileNumbers(t *testing.T) {
	values := []float64{0, 1, -1, 1e-300, 1e300, -1e300, 1e-9, 1413, 1413, 1413, 0.1, 7, 1e9, math.MaxFloat64, math.SmallestNonzeroFloat64}
	rng := rand.New(rand.NewPCG(404, 1))
	one := func() float64 { return values[rng.IntN(len(values))] }
	maybe := func() *float64 {
		if rng.IntN(2) == 0 {
			return nil
		}
		x := one()
		return &x
	}
	positive := func() *float64 {
		x := maybe()
		if x != nil {
			*x = math.Abs(*x)
		}
		return x
	}
	explained := 0
	for range 300 {
		var rows []agree.Reading
		tame := rng.IntN(2) == 0
		shown := map[string]float64{} // by meter and sample: repetitions that contradict each other are refused
		for i := range 2 + rng.IntN(12) {
			r := agree.Reading{Row: i, Meter: []string{"A", "B", "C"}[rng.IntN(3)], Sample: []string{"s", "t", "u"}[rng.IntN(3)], Value: one(),
				Ref: maybe(), URef: positive(), URefShared: positive(), UValue: positive()}
			if rng.IntN(2) == 0 {
				t := []float64{0, 0.1, 7, 25, 50}[rng.IntN(5)]
				r.TempC = &t
			}
			if tame { // what people might type
				r.Value, r.TempC = []float64{0, 7, 7, 1413, 600, 600, -3}[rng.IntN(7)], nil
				r.Ref = nil
				if before, again := shown[r.Meter+r.Sample]; again {
					r.Value = before
				}
				shown[r.Meter+r.Sample] = r.Value
			}
			rows = append(rows, r)
		}
		set, err := agree.NewSet(rows)
		if err != nil {
			continue
		}
		kinds := check.Kinds()
		if !tame { // the one kind of which any number may be
			kinds = append(kinds, check.Other, check.Other, check.Other, check.Other)
		}
		for _, kind := range []check.Kind{kinds[rng.IntN(len(kinds))]} {
			c, err := agree.Compare(set, kind, quantity.Tolerance{Value: 0.05, Relative: rng.IntN(2) == 0})
			if err != nil {
				continue
			}
			x := Explain(set, c, Options{})
			explained++
			require.NotEmpty(t, x.Causes)
			sum := 0.0
			for _, e := range x.Causes {
				require.False(t, math.IsNaN(e.Probability))
				sum += e.Probability
				assert.False(t, math.IsInf(e.Size, 0), "%v", e)
				assert.NotContains(t, e.Text, "NaN")
				assert.NotContains(t, e.Text, "Inf")
			}
			require.InDelta(t, 1, sum, 1e-9)
			require.NotEmpty(t, x.Next)
			for _, m := range x.Measurements {
				require.False(t, math.IsNaN(m.Bits) || math.IsInf(m.Bits, 0) || math.IsNaN(m.Doubt))
			}
		}
	}
	require.Greater(t, explained, 60)
}
