package cause

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// pairOf explains two meters read in three liquids, the second times a ratio and
// plus a zero, with known factors and without references.
func pairOf(t *testing.T, ratio, zero float64, factors map[string]float64) (*Explanation, *agree.Comparison) {
	t.Helper()
	var rows []agree.Reading
	for i, v := range []float64{150, 300, 600, 900, 1200} {
		sample := string(rune('a' + i))
		rows = append(rows, agree.Reading{Row: 2 + i, Meter: "P1", Sample: sample, Value: v},
			agree.Reading{Row: 20 + i, Meter: "P2", Sample: sample, Value: ratio*v + zero})
	}
	set, err := agree.NewSet(rows)
	require.NoError(t, err)
	set.Factors = factors
	c, err := agree.Compare(set, check.EC, quantity.Tolerance{Value: 0.05, Relative: true})
	require.NoError(t, err)
	return Explain(set, c, Options{PPMFactor: factors}), c
}

func probabilityOf(x *Explanation, id ID) (p float64) {
	for _, e := range x.Causes {
		if e.Cause == id {
			p += e.Probability
		}
	}
	return p
}

func TestKnownDisplaysAreNoCause(t *testing.T) {
	for _, f := range []map[string]float64{{"P1": 0.5, "P2": 0.7}, {"P1": 500, "P2": 700}} {
		x, c := pairOf(t, 1.4, 0, f)
		require.Equal(t, None, x.Causes[0].Cause, "%v", x.Causes)
		require.Greater(t, x.Causes[0].Probability, 0.8)
		require.Less(t, probabilityOf(x, DisplayScale), 0.01)
		require.Empty(t, c.Pairs[0].Verdict)
		require.InDelta(t, 1.4, c.Pairs[0].Expected, 1e-12)
	}

	x, _ := pairOf(t, 1.4*0.9, 0, map[string]float64{"P1": 0.5, "P2": 0.7})
	require.Equal(t, Gain, x.Causes[0].Cause)
	require.Greater(t, x.Causes[0].Probability, 0.8)
	require.Contains(t, x.Causes[0].Text, "P2 shows 10 % less than P1 (put on one scale)")
	require.Empty(t, x.Trust, "nothing tells which of the two")
	require.Contains(t, strings.Join(x.Warnings, "\n"), "on the scale of P1")

	// ppm and mS/cm: a zero error of 0.2 mS/cm, less what the prior draws it in, told on the scale of the first.
	x, _ = pairOf(t, 0.002, 0.2, map[string]float64{"P1": 0.5, "P2": 0.001})
	require.Equal(t, Zero, x.Causes[0].Cause, "%v", x.Causes)
	require.Contains(t, x.Causes[0].Text, "P2 shows 99 more than P1 (put on one scale)")

	// One display is not what it is known to be.
	x, _ = pairOf(t, 1, 0, map[string]float64{"P1": 0.5, "P2": 0.7})
	require.Equal(t, DisplayScale, x.Causes[0].Cause, "%v", x.Causes)
	assert.Contains(t, x.Causes[0].Text, "not on the scale that is known of it")

	// One factor alone is known: nothing changes.
	x, c := pairOf(t, 1.4, 0, map[string]float64{"P1": 0.5})
	require.Equal(t, DisplayScale, x.Causes[0].Cause)
	require.Equal(t, agree.Disagree, c.Pairs[0].Verdict)
}

// A reference that stands in one meter's rows alone is lent to the other's on
// that one's scale.
func TestLentReferenceOnOwnScale(t *testing.T) {
	var rows []agree.Reading
	for i, v := range []float64{300, 600, 900} {
		ref, u := v, 1.0
		sample := string(rune('a' + i))
		rows = append(rows, agree.Reading{Row: 2 + i, Meter: "P1", Sample: sample, Value: v + 1, Ref: &ref, URef: &u},
			agree.Reading{Row: 20 + i, Meter: "P2", Sample: sample, Value: 1.4*v - 1})
	}
	set, err := agree.NewSet(rows)
	require.NoError(t, err)
	set.Factors = map[string]float64{"P1": 0.5, "P2": 0.7}
	c, err := agree.Compare(set, check.EC, quantity.Tolerance{Value: 0.05, Relative: true})
	require.NoError(t, err)
	x := Explain(set, c, Options{PPMFactor: set.Factors})
	require.Equal(t, None, x.Causes[0].Cause, "%v", x.Causes)
}
