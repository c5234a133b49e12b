package cause

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
)

// atTwenty is a day on which everything stood at 20 C, so that a gain of 10 %
// looks like no compensation.
func atTwenty(second func(ref, tempC float64) float64) table {
	b := bottles(sound, second)
	b.temps = []float64{20, 20, 20, 20, 20}
	return b
}

func tenPercent(ref, _ float64) float64    { return 0.895 * ref }
func uncompensated(ref, t float64) float64 { return ref * (1 + 0.02*(t-25)) }

// What is advised suits what is open.
func TestNextSuitsTheDoubt(t *testing.T) {
	one := func(b table) table { b.refs, b.temps, b.repeats = b.refs[2:3], b.temps[2:3], 1; return b }
	for _, c := range []struct {
		name string
		day  table
		what []string
		text string
	}{
		{"gain or compensation at one temperature", atTwenty(tenPercent), []string{MeasureColdAndWarm}, "cold (near 10 C) and warm (near 35 C)"},
		{"gain or zero from one bottle", one(bottles(sound, func(r, _ float64) float64 { return r + 250 })), []string{MeasureWeaker, MeasureAir, MeasureStronger, MeasureColdAndWarm}, "it best tells"},
		{"whose gain, without references", withoutRefs(bottles(sound, func(r, _ float64) float64 { return 0.83 * r })), []string{MeasureReference}, "brinemark recipe --salt NaCl"},
	} {
		x := c.day.explain(t)
		advised, ok := best(x.Measurements)
		if !ok {
			assert.Fail(t, c.name+": nothing is advised: "+x.Next)
			continue
		}
		assert.Contains(t, c.what, advised.What, "%s: %s", c.name, x.Next)
		for i, m := range x.Measurements {
			assert.True(t, m.Bits >= 0 && m.Doubt <= 1 && !math.IsNaN(m.Doubt), "%+v", m)
			if i > 0 {
				assert.LessOrEqual(t, m.Bits, x.Measurements[i-1].Bits)
			}
		}
		assert.Contains(t, x.Next, c.text, c.name)
	}
}

// With the cause clear there is something to do, not to measure.
func TestNextWhenTheCauseIsClear(t *testing.T) {
	x := bottles(sound, func(r, t float64) float64 { return r * (1 + 0.02*(t-25)) }).explain(t)
	assert.Equal(t, "P2: switch its compensation on, or read everything at 25 C. Then compare again.", x.Next)
	// Nothing wrong: what the comparison itself advises.
	assert.Equal(t, "Nothing to do now: keep the bottles closed and compare again at the next check.", bottles(sound, sound).explain(t).Next)
}

// The advised measurement settles what reading the same bottles again does not.
func TestTheAdvisedMeasurementSettlesIt(t *testing.T) {
	for want, shows := range map[ID]func(ref, tempC float64) float64{Gain: tenPercent, Compensation: uncompensated} {
		day := atTwenty(shows)
		more := func(temps ...float64) float64 {
			rows := day.rows()
			for _, tempC := range temps {
				for m, f := range []func(ref, tempC float64) float64{sound, shows} {
					ref, u := day.refs[2], 0.006*day.refs[2]
					rows = append(rows, agree.Reading{Row: len(rows) + 2, Meter: []string{"P1", "P2"}[m], Sample: "C",
						Value: math.Round(f(ref, tempC)), TempC: &tempC, Ref: &ref, URef: &u})
				}
			}
			p := 0.0
			for _, e := range explain(t, rows, check.EC, 0.05, Options{}).Causes {
				if e.Cause == want && e.Meter == "P2" {
					p += e.Probability
				}
			}
			return p
		}
		before := more()
		require.Greater(t, before, 0.05, want)
		require.Less(t, before, 0.95, want)
		again := more(20, 20)
		assert.InDelta(t, before, again, 0.1, "%s: the same again tells little", want)
		assert.Greater(t, more(coldC, warmC), 0.98, "%s: cold and warm tells", want)
	}
}
