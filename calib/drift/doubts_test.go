package drift

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// swinging is so many errors in per cent with a scatter of size about zero.
func swinging(n int, size float64) []float64 {
	rng := rand.New(rand.NewPCG(7, 5))
	out := make([]float64, n)
	for i := range out {
		out[i] = size * rng.NormFloat64()
	}
	return out
}

// A meter that went straight for years is steady to within something: an
// uncertainty of 0 would call the rate exact.
func TestNoRateIsExact(t *testing.T) {
	r := mustRun(t, monthly(swinging(60, 0.2)...), asked())
	assert.Greater(t, r.Rate.U, 0.02*steadyWithin)
	assert.Less(t, r.Rate.Low, r.Rate.High)
	assert.True(t, r.Rate.Low < 0 && r.Rate.High > 0, "%+v", r.Rate)
	assert.NotContains(t, r.Why, "± 0 %")
	assert.NotContains(t, r.Why, "± 0.00 %")
	assert.False(t, r.drifts())
}

// Where nobody says how far off bottles may be, bottles that differ have not
// aged; one that is seen to age has.
func TestBottlesThatDifferHaveNotAged(t *testing.T) {
	bottles := func(errors [][]float64) []Entry {
		var all []float64
		for _, list := range errors {
			all = append(all, list...)
		}
		out := monthly(all...)
		k := 0
		for i, list := range errors {
			for range list {
				out[k].Bottle, out[k].URef, out[k].UReading = fmt.Sprint("B", i+1), nil, nil
				k++
			}
		}
		return out
	}
	differ := mustRun(t, bottles([][]float64{{0, 0.05, 0, 0.05}, {1, 1.05, 1, 0.95}, {2, 2.05, 1.95, 2}, {0, 0.1, 0, 0.05}}), asked())
	assert.False(t, differ.hasAlarm(AlarmBottle), kinds(differ))
	ageing := mustRun(t, bottles([][]float64{{0, 0.5, 1.05, 1.5, 2, 2.45}, {0, 0.5}}), asked())
	assert.True(t, ageing.hasAlarm(AlarmBottle), kinds(ageing))

	// A step at a new bottle may be the bottle's, and the text names it.
	step := mustRun(t, bottles([][]float64{{0, 0.05, 0, 0.05, 0}, {3, 3.05, 3, 2.95, 3}}), asked())
	require.True(t, step.hasAlarm(AlarmStep), kinds(step))
	at := slices.IndexFunc(step.Alarms, func(a Alarm) bool { return a.Kind == AlarmStep })
	assert.Contains(t, step.Alarms[at].Text, "the first with bottle B2: the bottle, or a knock")
}

// Uncertainties far below the scatter are spoken of; right ones are not, nor
// is a drift, a step or a wrong check mistaken for scatter.
func TestScatterBeyondWhatIsStated(t *testing.T) {
	const words = "the checks scatter about"
	warned := func(percents []float64) string {
		for _, w := range mustRun(t, monthly(percents...), asked()).Warnings {
			if len(w) > len(words) && w[:len(words)] == words {
				return w
			}
		}
		return ""
	}
	assert.Contains(t, warned(swinging(36, 2.4)), " times as much as their uncertainties say", "0.28 % are stated")
	right := swinging(36, 0.28)
	assert.Empty(t, warned(right))
	for i := range right {
		right[i] += 0.5 * float64(i)
		if i > 20 {
			right[i] += 4
		}
	}
	right[7] += 20
	assert.Empty(t, warned(right))
	assert.Empty(t, warned(swinging(12, 2.4)), "too few to tell")
}

// A reading as left with nothing done before it is one more check, and said to
// be.
func TestReadAsLeftOfNothing(t *testing.T) {
	const words = "read as left, but no event before it"
	list := monthly(-3, -4, -5, 0)
	list[3].State = AsLeft
	assert.Contains(t, fmt.Sprint(mustRun(t, list, asked()).Warnings), "row 5: "+words)
	event := Entry{Time: list[2].Time, Event: Adjusted}
	told := slices.Insert(slices.Clone(list), 3, event)
	assert.NotContains(t, fmt.Sprint(mustRun(t, told, asked()).Warnings), words)
	assert.NotContains(t, fmt.Sprint(mustRun(t, list[3:], asked()).Warnings), words, "nobody knows what was done before the first")
}

// Of two probes in one tub nobody knows which is to be mended.
func TestNextOfAPair(t *testing.T) {
	o := asked()
	o.Logged = true
	off := mustRun(t, monthly(8, 8.1, 7.9, 8.2), o)
	assert.Contains(t, off.Why, "read both probes in one bottle today, since they are further apart than the tolerance of 5 %")
	assert.NotContains(t, off.Why, "adjust")
	assert.Contains(t, mustRun(t, monthly(0, 0.1, 0.2, 0), o).Why, "read both probes in one bottle on 2026-")
	assert.Contains(t, mustRun(t, monthly(8, 8.1, 7.9, 8.2), asked()).Why, "adjust, clean or replace the meter")
}
