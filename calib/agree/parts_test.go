package agree

import (
	"errors"
	"math"
	"strings"
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

// A rough label beside a bottle that names its sources leaves the verdict as it
// is: the sources keep their names, weighed by what the label leaves of them.
// One as good as the bottle halves the bottle's part.
func TestNamedSourcesSurviveAnotherOpinion(t *testing.T) {
	number := func(x float64) *float64 { return &x }
	with := func(uLabel float64) []Reading {
		rows := bottles(true, 1)
		for _, r := range rows {
			if r.Sample == "B" {
				r.Ref, r.URef, r.RefSource, r.URefShared, r.RefParts = number(1300), number(uLabel), "label", nil, nil
				rows = append(rows, r)
			}
		}
		return rows
	}
	before, rough := comparison(t, bottles(true, 1)), comparison(t, with(260))
	for _, meter := range []string{"P1", "P2"} {
		assert.Equal(t, before[meter].Verdict, rough[meter].Verdict)
		assert.InDelta(t, before[meter].PWithin, rough[meter].PWithin, 0.005, meter)
		assert.InEpsilon(t, before[meter].High.U, rough[meter].High.U, 0.01, "the jar is still shared with the others")
	}
	u := math.Hypot(3, 0.006*1200)
	set, err := NewSet(with(u))
	require.NoError(t, err)
	parts := map[string]float64{}
	for _, p := range set.cell("P1", "B").parts() {
		parts[p.Source.ID] = p.Size
	}
	assert.InDelta(t, 0.006*1200/2, parts["jar"], 1e-9)
	assert.InDelta(t, 3.0/2, parts["own:B"], 1e-9)
	ref, _ := set.cell("P1", "B").ref()
	assert.InDelta(t, 1250, ref, 1e-9)
	total := 0.0
	for _, size := range parts {
		total = math.Hypot(total, size)
	}
	// They contradict each other: the mean is widened by the Birge ratio, here
	// |1300 − 1200| / (u √2), of its own uncertainty u/√2.
	assert.InDelta(t, 50, total, 1e-6)
}

// Displays that are known to differ are said to, once, and name the reference in
// their own unit; no further sample is advised to bring them together.
func TestKnownDisplays(t *testing.T) {
	var rows []Reading
	for i, v := range []float64{310, 610, 905} {
		for meter, factor := range map[string]float64{"ppm": 1, "uS": 2} {
			rows = append(rows, Reading{Row: len(rows) + 2, Meter: meter, Sample: string(rune('A' + i)), Value: factor * v})
		}
	}
	set, err := NewSet(rows)
	require.NoError(t, err)
	plain, err := Compare(set, check.EC, quantity.Tolerance{Value: 0.05, Relative: true})
	require.NoError(t, err)
	assert.Contains(t, strings.Join(plain.Warnings, "\n"), "are these two displays")
	assert.Contains(t, plain.Next, "if the readings are in uS/cm")
	set.Factors = map[string]float64{"ppm": 0.5, "uS": 1}
	c, err := Compare(set, check.EC, quantity.Tolerance{Value: 0.05, Relative: true})
	require.NoError(t, err)
	assert.NotContains(t, strings.Join(c.Warnings, "\n"), "are these two displays")
	assert.Contains(t, strings.Join(c.Warnings, "\n"), "is in every figure of theirs, and no fault, so that there is no verdict on the pair")
	assert.Contains(t, strings.Join(c.Warnings, "\n"), map[string]string{"ppm": "(a ratio of 2)", "uS": "(a ratio of 0.5)"}[set.Meters[0]])
	assert.Empty(t, c.Pairs[0].Verdict)
	assert.True(t, math.IsNaN(c.Pairs[0].PAgree))
	want := "--target 610ppm@0.5 --batch 500mL`)"
	if set.Meters[0] == "uS" {
		want = "--target 1200uS/cm --batch 500mL`)"
	}
	assert.Contains(t, c.Next, want)
	set.Factors = map[string]float64{"ppm": 0.001, "uS": 0.001}
	c, err = Compare(set, check.EC, quantity.Tolerance{Value: 0.05, Relative: true})
	require.NoError(t, err)
	assert.Contains(t, c.Next, "--target 1400uS/cm --batch 500mL`)", "610 mS/cm cannot be made: a usual strength")
}

// A conductivity far below nothing is refused, and a zero that is a little off
// is not.
func TestNegativeConductivity(t *testing.T) {
	for value, refused := range map[float64]bool{-298: true, -20: false} {
		set, err := NewSet([]Reading{{Row: 2, Meter: "P", Sample: "a", Value: value}, {Row: 3, Meter: "Q", Sample: "a", Value: 10},
			{Row: 4, Meter: "P", Sample: "b", Value: 1400}, {Row: 5, Meter: "Q", Sample: "b", Value: 1410}})
		require.NoError(t, err)
		_, err = Compare(set, check.EC, quantity.Tolerance{})
		var at *InputError
		assert.Equal(t, refused, errors.As(err, &at), "%v: %v", value, err)
		_, err = Compare(set, check.Other, quantity.Tolerance{})
		assert.NoError(t, err)
	}
}
