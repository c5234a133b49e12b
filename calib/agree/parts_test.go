package agree

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
)

// bottles is two meters in bottles of one jar; name says by what the jar's
// share is given: its columns, or its sources.
func bottles(named bool, sign float64) []Reading {
	number := func(x float64) *float64 { return &x }
	var out []Reading
	for i, ref := range []float64{600, 1200, 1900} {
		sample := string(rune('A' + i))
		own, shared := 3.0, 0.006*ref
		for meter, gain := range map[string]float64{"P1": 1.002, "P2": 1.03} {
			r := Reading{Row: i + 2, Meter: meter, Sample: sample, Value: math.Round(ref * gain), UValue: number(2),
				Ref: number(ref), URef: number(own), RefSource: "jar", URefShared: number(shared)}
			if named {
				if i == 2 {
					shared *= sign
				}
				r.RefParts = []uncert.Contribution{
					{Source: uncert.Source{ID: "jar", Label: "jar"}, Size: shared, Stated: true},
					{Source: uncert.Source{ID: "own:" + sample, Label: "weighing"}, Size: own, Stated: true},
					{Source: uncert.Source{ID: "unstated", Label: "unstated"}},
				}
				shared = math.Abs(shared)
			}
			out = append(out, r)
		}
	}
	return out
}

func comparison(t *testing.T, rows []Reading) map[string]Meter {
	t.Helper()
	set, err := NewSet(rows)
	require.NoError(t, err)
	c, err := Compare(set, check.EC, quantity.Tolerance{Value: 0.02, Relative: true})
	require.NoError(t, err)
	out := map[string]Meter{}
	for _, m := range c.Meters {
		out[m.Meter] = m
	}
	return out
}

// Sources by name that say what u_ref and u_ref_shared say give the same
// verdicts; signs that the columns cannot say give others.
func TestNamedSourcesSayWhatTheColumnsSay(t *testing.T) {
	columns, named := comparison(t, bottles(false, 1)), comparison(t, bottles(true, 1))
	opposite := comparison(t, bottles(true, -1))
	for _, meter := range []string{"P1", "P2"} {
		a, b := columns[meter], named[meter]
		assert.Equal(t, a.Verdict, b.Verdict, meter)
		assert.InDelta(t, a.PWithin, b.PWithin, 1e-9, meter)
		assert.InEpsilon(t, a.Low.U, b.Low.U, 1e-9, meter)
		assert.InEpsilon(t, a.High.U, b.High.U, 1e-9, meter)
		assert.Greater(t, math.Abs(opposite[meter].High.Error-b.High.Error)+math.Abs(opposite[meter].High.U-b.High.U), 0.1, meter)
	}
}

func TestNamedSourcesComeOnce(t *testing.T) {
	rows := bottles(true, 1)
	rows[0].RefParts = append(rows[0].RefParts, rows[0].RefParts[0])
	_, err := NewSet(rows)
	var input *InputError
	require.ErrorAs(t, err, &input)
	assert.Equal(t, "ref", input.Column)
}
