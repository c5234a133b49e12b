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

// explainedReadings is the explanation of what meters P1, P2 ... showed in samples
// A, B ..., against the references that are given.
func explainedReadings(t *testing.T, kind check.Kind, refs []float64, shown ...[]float64) (*Explanation, *agree.Comparison) {
	t.Helper()
	var rows []agree.Reading
	for m, values := range shown {
		for i, v := range values {
			r := agree.Reading{Row: len(rows) + 2, Meter: []string{"P1", "P2", "P3"}[m], Sample: string(rune('A' + i)), Value: v}
			if refs != nil {
				u := 0.006 * refs[i]
				r.Ref, r.URef = &refs[i], &u
			}
			rows = append(rows, r)
		}
	}
	set, err := agree.NewSet(rows)
	require.NoError(t, err)
	c, err := agree.Compare(set, kind, quantity.Tolerance{Value: 0.05, Relative: kind != check.PH && kind != check.Temperature})
	require.NoError(t, err)
	return Explain(set, c, Options{}), c
}

// Readings that are all 0 tell no size: no sentence may state one.
func TestReadingsOfNothingStateNoSize(t *testing.T) {
	zeros := []float64{0, 0, 0}
	for _, kind := range []check.Kind{check.EC, check.Humidity, check.Oxygen, check.CO2, check.Other} {
		x, _ := explainedReadings(t, kind, nil, zeros, zeros)
		require.Greater(t, len(x.Causes), 3, kind)
		for _, e := range x.Causes {
			assert.Empty(t, e.Meter, "%s: %s", kind, e.Text)
			if e.Cause != None {
				assert.Contains(t, e.Text, "Every reading is 0, which says nothing about ", kind)
			}
			assert.NotContains(t, e.Text, "%", kind)
		}
		assert.Empty(t, x.Trust)
	}
	// Between two thermometers in ice, as between two electrodes in pH 7, no
	// share shows; a constant difference would.
	for kind, values := range map[check.Kind][]float64{check.Temperature: zeros, check.PH: {7, 7, 7}} {
		x, _ := explainedReadings(t, kind, nil, values, values)
		for _, e := range x.Causes {
			says := strings.Contains(e.Text, "which says nothing about")
			assert.Equal(t, e.Cause == Gain || e.Cause == WeakSlope, says, "%s: %s", kind, e.Text)
		}
	}
}

// A meter that shows 0 in every sample measures nothing: that is said in place
// of a size, and the other meter is trusted.
func TestAMeterThatShowsNothingIsSaidToMeasureNothing(t *testing.T) {
	const measuresNothing = "P1 shows 0 in every sample, whatever is in it: it measures nothing; see that its probe is immersed"
	refs := []float64{500, 1000, 1500}
	x, c := explainedReadings(t, check.EC, refs, []float64{0, 0, 0}, []float64{501, 1004, 1502})
	assert.Equal(t, "P2", x.Trust)
	assert.Contains(t, x.Causes[0].Text, measuresNothing)
	assert.Equal(t, "P1", x.Causes[0].Meter)
	assert.Contains(t, x.Next, "P1: see that its probe is immersed")
	assert.Contains(t, strings.Join(c.Warnings, "\n"), "meter P1 shows 0 in every sample although others do not")

	_, c = explainedReadings(t, check.EC, nil, []float64{0, 0, 0}, []float64{501, 1004, 1502})
	assert.Contains(t, strings.Join(c.Warnings, "\n"), "meter P1 shows 0 in every sample although others do not")
	x, _ = explainedReadings(t, check.EC, nil, []float64{0, 0, 0}, []float64{501, 1004, 1502})
	assert.Contains(t, x.Next, "Two meters alone cannot tell which of them is right; a reference can. The cheapest one: salt water in the middle of this range (`brinemark recipe --salt NaCl --target 1000uS/cm")
	// One that shows something somewhere is not silent, nor is a thermometer at 0 C.
	x, c = explainedReadings(t, check.EC, refs, []float64{0, 0, 1490}, []float64{501, 1004, 1502})
	assert.NotContains(t, x.Causes[0].Text, "measures nothing")
	assert.NotContains(t, strings.Join(c.Warnings, "\n"), "shows 0 in every sample")
	x, c = explainedReadings(t, check.Temperature, []float64{0, 0.5, 1}, []float64{0, 0, 0}, []float64{0.01, 0.5, 1})
	assert.NotContains(t, strings.Join(c.Warnings, "\n"), "shows 0 in every sample")
	for _, e := range x.Causes {
		assert.NotContains(t, e.Text, "measures nothing")
	}
}

// The end of the range on record is where a display that stops is looked for:
// it is found there to the digit, and named with more certainty than without.
func TestTheEndOfTheRangeIsKnown(t *testing.T) {
	refs := []float64{500, 1000, 1500, 1950, 2700}
	stopped := []float64{501, 1003, 1496, 1953, 1999}
	sound := []float64{499, 1004, 1503, 1944, 2709}
	var rows []agree.Reading
	for m, values := range [][]float64{stopped, sound} {
		for i, v := range values {
			u, uReading := 0.006*refs[i], 0.004*refs[i]
			rows = append(rows, agree.Reading{Row: len(rows) + 2, Meter: []string{"P1", "P2"}[m], Sample: string(rune('A' + i)), Value: v,
				Ref: &refs[i], URef: &u, UValue: &uReading})
		}
	}
	set, err := agree.NewSet(rows)
	require.NoError(t, err)
	c, err := agree.Compare(set, check.EC, quantity.Tolerance{Value: 0.05, Relative: true})
	require.NoError(t, err)
	of := func(o Options) Entry {
		for _, e := range Explain(set, c, o).Causes {
			if e.Cause == Saturation && e.Meter == "P1" {
				return e
			}
		}
		return Entry{}
	}
	without, with, elsewhere := of(Options{}), of(Options{Top: map[string]float64{"P1": 1999}}), of(Options{Top: map[string]float64{"P1": 20000}})
	assert.Greater(t, with.Probability, without.Probability)
	assert.InDelta(t, 1999, with.Size, 10)
	assert.Less(t, with.U, without.U)
	assert.InDelta(t, without.Probability, elsewhere.Probability, 1e-12, "nothing was read beyond 20000: it tells nothing")
}
