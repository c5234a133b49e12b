package agree

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

var fivePercent = quantity.Tolerance{Value: 0.05, Relative: true}

// trialsOf is a number of simulated cases, a sixth of it in a short run. The
// acceptance bands follow it.
func trialsOf(n int) int {
	if testing.Short() {
		return n / 6
	}
	return n
}

func ptr(x float64) *float64 { return &x }

// bench is a simulated day with two meters: bottles of known nominal value that
// are off by own and shared errors, and meters with relative noise.
type bench struct {
	refs             []float64
	reps             int
	bottle, stock    float64 // relative standard deviations of the bottles, own and shared
	noise            float64 // relative standard deviation of a reading
	gain, zero       float64 // of meter B; A is right
	giveRefs         bool
	giveU, giveNoise bool // u_ref and u_ref_shared; u_reading
}

func (b bench) rows(rng *rand.Rand) []Reading {
	var out []Reading
	stock := b.stock * rng.NormFloat64()
	for i, ref := range b.refs {
		liquid := ref * (1 + b.bottle*rng.NormFloat64() + stock)
		for _, meter := range []string{"A", "B"} {
			shows := liquid
			if meter == "B" {
				shows = liquid*(1+b.gain) + b.zero
			}
			for range max(1, b.reps) {
				r := Reading{Meter: meter, Sample: fmt.Sprint("S", i+1), Value: shows + liquid*b.noise*rng.NormFloat64()}
				if b.giveRefs {
					r.Ref = ptr(ref)
				}
				if b.giveU {
					r.URef, r.URefShared, r.RefSource = ptr(b.bottle*ref), ptr(b.stock*ref), "jar 1"
				}
				if b.giveNoise {
					r.UValue = ptr(b.noise * ref)
				}
				out = append(out, r)
			}
		}
	}
	return out
}

func newSet(t *testing.T, rows []Reading) *Set {
	t.Helper()
	s, err := NewSet(rows)
	require.NoError(t, err)
	return s
}

func compared(t *testing.T, rows []Reading, kind check.Kind, tolerance quantity.Tolerance) *Comparison {
	t.Helper()
	c, err := Compare(newSet(t, rows), kind, tolerance)
	require.NoError(t, err)
	return c
}

// two makes readings of two meters, one in each sample.
func two(a, b []float64) []Reading {
	var out []Reading
	for i := range a {
		s := fmt.Sprint("S", i+1)
		out = append(out, Reading{Row: 2 + 2*i, Meter: "A", Sample: s, Value: a[i]}, Reading{Row: 3 + 2*i, Meter: "B", Sample: s, Value: b[i]})
	}
	return out
}
