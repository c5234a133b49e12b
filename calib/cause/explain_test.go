package cause

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// table is a bench day written out: what each meter makes of each bottle.
type table struct {
	kind      check.Kind
	refs      []float64
	temps     []float64
	repeats   int
	meters    []func(ref, tempC float64) float64 // what each shows
	noRefs    bool
	uRef      float64 // relative; absolute for pH
	digit     float64
	tolerance float64
}

func sound(ref, _ float64) float64 { return ref }

// bottles is a table of five salt bottles at different temperatures.
func bottles(meters ...func(ref, tempC float64) float64) table {
	return table{kind: check.EC, refs: []float64{450, 900, 1413, 2100, 2760}, temps: []float64{14, 29, 20, 24, 17}, repeats: 3,
		meters: meters, uRef: 0.006, digit: 1, tolerance: 0.05}
}

// buffers is a table of four buffers.
func buffers(meters ...func(ref, tempC float64) float64) table {
	return table{kind: check.PH, refs: []float64{1.68, 4.005, 6.865, 9.18}, temps: []float64{25, 25, 25, 25}, repeats: 2,
		meters: meters, uRef: 0.01, digit: 0.01, tolerance: 0.1}
}

// wobble stands for noise: the same for everybody who runs the test.
var wobble = []float64{0.003, -0.004, 0.001, -0.002, 0.005, -0.001, 0.002, -0.005, 0.004, -0.003, 0}

// rows writes the readings, with wobble.
func (b table) rows() []agree.Reading {
	var out []agree.Reading
	for m, shows := range b.meters {
		for i, ref := range b.refs {
			for k := range b.repeats {
				v := shows(ref, b.temps[i])
				w := wobble[len(out)%len(wobble)]
				if b.kind == check.PH {
					v += 2 * w
				} else {
					v *= 1 + w
				}
				r := agree.Reading{Row: len(out) + 2, Meter: fmt.Sprintf("P%d", m+1), Sample: string(rune('A' + i)),
					Value: math.Round(v/b.digit) * b.digit, TempC: &b.temps[i], Replicate: fmt.Sprint(k + 1)}
				if !b.noRefs {
					u := b.uRef
					if b.kind == check.EC {
						u *= ref
					}
					r.Ref, r.URef = &b.refs[i], &u
				}
				out = append(out, r)
			}
		}
	}
	return out
}

func explain(t *testing.T, rows []agree.Reading, kind check.Kind, tolerance float64, o Options) *Explanation {
	t.Helper()
	set, err := agree.NewSet(rows)
	require.NoError(t, err)
	c, err := agree.Compare(set, kind, quantity.Tolerance{Value: tolerance, Relative: kind != check.PH})
	require.NoError(t, err)
	x := Explain(set, c, o)
	sum := 0.0
	for i, e := range x.Causes {
		sum += e.Probability
		assert.Positive(t, e.Probability)
		if i > 0 {
			assert.LessOrEqual(t, e.Probability, x.Causes[i-1].Probability)
		}
	}
	assert.InDelta(t, 1, sum, 1e-12)
	return x
}

func (b table) explain(t *testing.T) *Explanation {
	t.Helper()
	return explain(t, b.rows(), b.kind, b.tolerance, Options{})
}

// jumping shows the reference, now too much and now too little.
func jumping(by float64) func(ref, tempC float64) float64 {
	n := 0
	return func(ref, _ float64) float64 {
		n++
		return ref + by*[]float64{1, -0.3, -1.4, 0.6, 1.2, -0.8, 0.2}[n%7]
	}
}

// inBottle shows the reference but in one bottle; bottles are read one after
// another.
func inBottle(index int, repeats int, other func(ref float64) float64) func(ref, tempC float64) float64 {
	n := 0
	return func(ref, _ float64) float64 {
		at := n / repeats
		n++
		if at == index {
			return other(ref)
		}
		return ref
	}
}

// Every cause is named on a plain example of it, with its size, and the sound
// meter trusted where a meter is at fault.
func TestEveryCauseIsNamed(t *testing.T) {
	straight := func(a, ref, t float64) float64 { return 1 + a*(t-ref) }
	for _, c := range []struct {
		day           table
		cause         ID
		meter, sample string
		size, within  float64
		text          string
	}{
		{bottles(sound, sound), None, "", "", math.NaN(), 0, "Nothing is wrong"},
		{bottles(sound, func(r, _ float64) float64 { return 0.83 * r }), Gain, "P2", "", -0.17, 0.02, "P2 shows 17 % too little at every strength"},
		{bottles(func(r, _ float64) float64 { return 1.17 * r }, sound), Gain, "P1", "", 0.17, 0.02, "P1 shows 17 % too much"},
		{bottles(sound, func(r, _ float64) float64 { return r + 130 }), Zero, "P2", "", 130, 15, "too much everywhere, whatever the strength"},
		{bottles(sound, func(r, _ float64) float64 { return 0.5 * r }), DisplayScale, "P2", "", 0.5, 1e-9, "P2 shows 0.5 times what is expected"},
		{bottles(sound, func(r, _ float64) float64 { return r * 0.7 / 0.5 }), DisplayScale, "P2", "", 1.4, 1e-9, "such as ppm with factor 0.7 where ppm with factor 0.5 is expected"},
		{bottles(sound, func(r, t float64) float64 { return r * straight(0.02, 25, t) }), Compensation, "P2", "", 0, 0.002, "P2 does not correct for temperature"},
		{bottles(sound, func(r, t float64) float64 { return r * straight(0.02, 25, t) / straight(0.033, 25, t) }), Compensation, "P2", "", 0.033, 0.002, "by about 3.3 % per C where 2 % is usual"},
		{bottles(sound, func(r, t float64) float64 { return r * straight(0.02, 25, t) / straight(0.02, 20, t) }), Compensation, "P2", "", 20, 1e-9, "set its reference temperature to 25 C"},
		{bottles(inBottle(2, 3, func(r float64) float64 { return 1.12 * r }), inBottle(2, 3, func(r float64) float64 { return 1.12 * r })), BadBottle, "", "C", 0.12, 0.02, "Sample C is 12 % stronger than its label says"},
		{bottles(func(r, _ float64) float64 { return 0.9 * r }, func(r, _ float64) float64 { return 0.9 * r }), BadBottle, "", "", -0.1, 0.03, "All references are 10 % weaker than stated: every meter says so"},
		{bottles(sound, swapped2(1, 3)), Swapped, "", "B", math.NaN(), 0, "Samples B and D changed places when P2 read them"},
		{bottles(swapped2(1, 3), swapped2(1, 3)), Swapped, "", "B", math.NaN(), 0, "Samples B and D changed places; look at the labels"},
		{bottles(sound, func(r, _ float64) float64 { return min(r, 1900) }), Saturation, "P2", "", 1900, 40, "P2 does not follow above about 1900"},
		{bottles(sound, func(r, _ float64) float64 { return 3000 * math.Tanh(r/3000) }), Saturation, "P2", "", 3000, 200, "it bends towards about 3000"},
		{bottles(sound, func() func(r, _ float64) float64 {
			j := jumping(1)
			return func(r, t float64) float64 { return r * (1 + 0.06*j(0, t)) }
		}()), Unstable, "P2", "", 0.06, 0.03, "The readings of P2 jump about"},

		{buffers(sound, sound), None, "", "", math.NaN(), 0, "Nothing is wrong"},
		{buffers(sound, func(p, _ float64) float64 { return 7 + 0.82*(p-7) }), WeakSlope, "P2", "", -0.18, 0.02, "P2 changes by only 82 % of what it should"},
		{buffers(sound, func(p, _ float64) float64 { return p + 0.4 }), ZeroPoint, "P2", "", 0.4, 0.03, "P2 is 0.40 pH too high in every buffer"},
		{buffers(sound, func(p, _ float64) float64 { return 6.4 + 0.03*(p-7) }), DeadElectrode, "P2", "", 0.03, 0.02, "P2 shows nearly the same in every buffer"},
		{buffers(inBottle(3, 2, func(p float64) float64 { return p - 0.35 }), inBottle(3, 2, func(p float64) float64 { return p - 0.35 })), BadBuffer, "", "D", -0.35, 0.05, "Sample D is 0.35 pH lower than its label says"},
		{buffers(swapped2(1, 2), swapped2(1, 2)), Swapped, "", "B", math.NaN(), 0, "Samples B and C changed places"},
		{buffers(sound, jumping(0.25)), Unstable, "P2", "", 0.25, 0.12, "The readings of P2 jump about by 0."},
	} {
		x := c.day.explain(t)
		top := x.Causes[0]
		name := fmt.Sprintf("%s %v: %s", c.cause, c.size, top.Text)
		require.Equal(t, c.cause, top.Cause, name)
		assert.Equal(t, c.meter, top.Meter, name)
		assert.Equal(t, c.sample, top.Sample, name)
		assert.Greater(t, top.Probability, 0.8, name)
		assert.Contains(t, top.Text, c.text)
		if math.IsNaN(c.size) {
			assert.True(t, math.IsNaN(top.Size), name)
			assert.Empty(t, top.SizeOf)
		} else {
			assert.InDelta(t, c.size, top.Size, c.within, name)
			assert.NotEmpty(t, top.SizeOf)
		}
		want := ""
		if c.meter != "" {
			want = map[string]string{"P1": "P2", "P2": "P1"}[c.meter]
		}
		assert.Equal(t, want, x.Trust, name)
		assert.NotEmpty(t, x.Next)
	}
}

// swapped2 shows two bottles of a table in each other's place.
func swapped2(a, b int) func(ref, tempC float64) float64 {
	var seen []float64
	lists := [][]float64{bottles().refs, buffers().refs}
	return func(ref, _ float64) float64 {
		for _, l := range lists {
			for i, r := range l {
				if r == ref {
					seen = append(seen, r)
					switch i {
					case a:
						return l[b]
					case b:
						return l[a]
					}
				}
			}
		}
		return ref
	}
}

func withoutRefs(b table) table { b.noRefs = true; return b }

// Without references a gain has no owner, but a meter that is not even of one
// mind with itself has.
func TestWithoutReferences(t *testing.T) {
	for _, c := range []struct {
		day   table
		cause ID
		meter string
		trust string
	}{
		{withoutRefs(bottles(sound, sound)), None, "", ""},
		{withoutRefs(bottles(sound, func(r, _ float64) float64 { return 0.83 * r })), Gain, "", ""},
		{withoutRefs(bottles(sound, func(r, _ float64) float64 { return r + 130 })), Zero, "", ""},
		{withoutRefs(bottles(sound, func(r, _ float64) float64 { return r * 0.7 / 0.5 })), DisplayScale, "", ""},
		{withoutRefs(bottles(sound, func(r, _ float64) float64 { return min(r, 1900) })), Saturation, "P2", "P1"},
		{withoutRefs(bottles(sound, func() func(r, _ float64) float64 {
			j := jumping(1)
			return func(r, t float64) float64 { return r * (1 + 0.06*j(0, t)) }
		}())), Unstable, "P2", "P1"},
		// A third meter is a vote.
		{withoutRefs(bottles(sound, func(r, _ float64) float64 { return 0.83 * r }, sound)), Gain, "P2", "P1"},
	} {
		x := c.day.explain(t)
		top := x.Causes[0]
		assert.Equal(t, c.cause, top.Cause, top.Text)
		assert.Equal(t, c.meter, top.Meter, top.Text)
		assert.Equal(t, c.trust, x.Trust, top.Text)
		for _, e := range x.Causes {
			assert.NotEqual(t, BadBottle, e.Cause, "a liquid that promises nothing cannot break its word")
		}
	}
}

// The contract's rule for trust, on three meters: the faulty one is not named,
// and of the sound ones the one that does better against the references.
func TestTrustAmongThree(t *testing.T) {
	x := bottles(func(r, _ float64) float64 { return 1.02 * r }, sound, func(r, _ float64) float64 { return 0.8 * r }).explain(t)
	assert.Equal(t, "P3", x.Causes[0].Meter, x.Causes[0].Text)
	assert.Equal(t, "P2", x.Trust)
}

// Of two meters, trust is what a script would make of the entries.
func TestTrustFollowsTheEntries(t *testing.T) {
	tried := 0
	for _, gain := range []float64{0.8, 0.93, 0.945, 0.95, 0.955, 0.96, 0.97, 1, 1.035, 1.045, 1.05, 1.2} {
		for _, day := range []table{bottles(sound, func(r, _ float64) float64 { return gain * r }), withoutRefs(bottles(sound, func(r, _ float64) float64 { return gain * r }))} {
			x := day.explain(t)
			for _, m := range []string{"P1", "P2"} {
				sum := 0.0
				for _, e := range x.Causes {
					if e.Meter != "" && e.Meter != m {
						sum += e.Probability
					}
				}
				if math.Abs(sum-trustFrom) > 0.005 { // what is negligible is left out of the entries
					tried++
					assert.Equal(t, sum > trustFrom, x.Trust == m, "gain %v, %s: %v", gain, m, sum)
				}
			}
		}
	}
	assert.Greater(t, tried, 40)
}

// A factor that a meter is known to have rules the others' ratios out.
func TestAKnownFactorRulesRatiosOut(t *testing.T) {
	rows := bottles(sound, func(r, _ float64) float64 { return r * 0.64 / 0.7 }).rows()
	share := func(x *Explanation) (p float64) {
		for _, e := range x.Causes {
			if e.Cause == DisplayScale {
				p += e.Probability
			}
		}
		return p
	}
	unknown := share(explain(t, rows, check.EC, 0.05, Options{}))
	asSeven := share(explain(t, rows, check.EC, 0.05, Options{PPMFactor: map[string]float64{"P1": 1, "P2": 0.7}}))
	asHalf := share(explain(t, rows, check.EC, 0.05, Options{PPMFactor: map[string]float64{"P1": 1, "P2": 0.5}}))
	assert.Greater(t, unknown, 0.2)
	assert.Less(t, unknown, 0.95)
	assert.Greater(t, asSeven, unknown, "0.64 is one of few other scales of a display known to be 0.7")
	assert.Less(t, asHalf, 0.01, "no other scale is 0.914 of 0.5")
}

// Two displays of different known factors, without references: the ratio is what
// the record says, and no fault of anybody.
func TestTwoKnownDisplaysWithoutReferences(t *testing.T) {
	rows := withoutRefs(bottles(sound, func(r, _ float64) float64 { return r * 0.7 / 0.64 })).rows()
	before := explain(t, rows, check.EC, 0.05, Options{}).Causes[0]
	after := explain(t, rows, check.EC, 0.05, Options{PPMFactor: map[string]float64{"P1": 0.64, "P2": 0.7}}).Causes[0]
	assert.NotEqual(t, None, before.Cause)
	assert.Equal(t, None, after.Cause)
	assert.Greater(t, after.Probability, 0.75)
}

// Third opinions: what a label promises, as the reference of one more sample.
// It weighs what its uncertainty allows: a fault that two meters cannot assign
// stays open for a rough opinion and is assigned by a good one.
func TestAThirdOpinionWeighsWhatItsUncertaintyAllows(t *testing.T) {
	blame := func(u float64) float64 {
		rows := withoutRefs(bottles(sound, func(r, _ float64) float64 { return 0.83 * r })).rows()
		ref := 1800.0
		opinion := agree.Reading{Row: 90, Meter: "P1", Sample: "tub", Value: 1803, Ref: &ref, URef: &u}
		other := agree.Reading{Row: 91, Meter: "P2", Sample: "tub", Value: 1494}
		x := explain(t, append(rows, opinion, other), check.EC, 0.05, Options{})
		top := x.Causes[0]
		require.Equal(t, Gain, top.Cause)
		if top.Meter != "P2" {
			require.Empty(t, top.Meter)
			require.Empty(t, x.Trust)
			return 0
		}
		return top.Probability
	}
	good, rough, useless := blame(20), blame(250), blame(2000)
	assert.Greater(t, good, 0.9, "1800 ± 20 tells 1803 from 1494")
	assert.Zero(t, useless, "1800 ± 2000 does not")
	assert.Less(t, rough, good)
}
