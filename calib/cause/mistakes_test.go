package cause

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
)

// What goes wrong with pen and paper, or lies far from every usual size, is not
// put down to a probe that jumps about.
func TestFarFromEveryUsualSize(t *testing.T) {
	times := func(f float64) func(ref, _ float64) float64 {
		return func(ref, _ float64) float64 { return f * ref }
	}
	for _, c := range []struct {
		name  string
		day   table
		cause ID
		text  string
	}{
		{"CF against mS/cm", bottles(sound, times(10)), DisplayScale, "CF where mS/cm"},
		{"CF against uS/cm", bottles(sound, times(0.01)), DisplayScale, "CF where uS/cm"},
		{"parts per thousand", bottles(sound, times(0.0005)), DisplayScale, "parts per thousand with factor 0.5 where uS/cm"},
		{"another cell", bottles(sound, times(7)), Gain, "P2 shows 600 % too much"},
		{"another cell, the other way", bottles(sound, times(1/7.0)), Gain, "P2 shows 86 % too little"},
		{"nothing to do with it", bottles(sound, times(1e30)), Other, "have nothing to do with the samples"},
		{"the decimal point of one reading", bottles(sound, inBottle(1, 3, func(r float64) float64 { return r / 10 })), Other, "The reading of P2 in sample"},
	} {
		x := c.day.explain(t)
		assert.Equal(t, c.cause, x.Causes[0].Cause, "%s: %s", c.name, x.Causes[0].Text)
		assert.Equal(t, "P2", x.Causes[0].Meter, c.name)
		assert.Contains(t, x.Causes[0].Text, c.text, c.name)
		assert.Greater(t, x.Causes[0].Probability, 0.9, c.name)
		assert.Equal(t, "P1", x.Trust, c.name)
	}
}

// Several references may be off at once: the meters agree, and are not to blame.
func TestSeveralBadBottles(t *testing.T) {
	off := func(r, _ float64) float64 {
		if r > 600 && r < 1600 {
			return 1.2 * r
		}
		return r
	}
	x := bottles(off, off).explain(t)
	assert.Equal(t, Other, x.Causes[0].Cause)
	assert.Contains(t, x.Causes[0].Text, "More than one sample is not what its label says")
	assert.Contains(t, x.Next, "Make fresh references")
	assert.Empty(t, x.Trust)
}

// The step that follows from a bad bottle names it.
func TestNextNamesTheBadBottle(t *testing.T) {
	bad := inBottle(1, 3, func(r float64) float64 { return 1.3 * r })
	again := inBottle(1, 3, func(r float64) float64 { return 1.3 * r })
	x := bottles(bad, again).explain(t)
	require.Equal(t, BadBottle, x.Causes[0].Cause, x.Causes[0].Text)
	assert.Contains(t, x.Next, "Sample "+x.Causes[0].Sample+": throw it out")
}

// What follows from other findings can be read without the finding.
func TestNextStandsAlone(t *testing.T) {
	x := bottles(sound, func(r, _ float64) float64 { return min(r, 1900) }).explain(t)
	assert.Contains(t, x.Next, "P2: use it below 1900, dilute")
	x = bottles(swapped2(0, 2), swapped2(0, 2)).explain(t)
	assert.Contains(t, x.Next, "Samples A and C: look at the labels")
}

// A probe read dry, in air, is a sample whose reference is 0.
func TestAReferenceOfNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	var rows []agree.Reading
	for i, ref := range []float64{0, 400, 900, 1400} {
		u := max(1, 0.006*ref)
		for m, name := range []string{"P1", "P2"} {
			value := math.Round((ref + 60*float64(m)) * (1 + 0.003*rng.NormFloat64()))
			rows = append(rows, agree.Reading{Row: len(rows) + 2, Meter: name, Sample: string(rune('A' + i)), Value: value, Ref: &ref, URef: &u})
		}
	}
	x := explain(t, rows, check.EC, 0.05, Options{})
	assert.Equal(t, Zero, x.Causes[0].Cause, x.Causes[0].Text)
	assert.Equal(t, "P2", x.Causes[0].Meter)
	assert.InDelta(t, 60, x.Causes[0].Size, 3)
	assert.Equal(t, "P1", x.Trust)
}

// A meter on record shows what it is known to show, and a reference may have
// been looked up for another display.
func TestAReferenceForAnotherDisplay(t *testing.T) {
	known := Options{PPMFactor: map[string]float64{"P1": 1, "P2": 1}}
	for _, ratio := range []float64{1000, 1 / 0.7, 2} {
		rows := bottles(sound, func(r, _ float64) float64 { return ratio * r }).rows()
		x := explain(t, rows, check.EC, 0.05, known)
		assert.Equal(t, DisplayScale, x.Causes[0].Cause, "%v: %s", ratio, x.Causes[0].Text)
		assert.InDelta(t, ratio, x.Causes[0].Size, 1e-9)
		assert.Equal(t, "P1", x.Trust)
	}
}
