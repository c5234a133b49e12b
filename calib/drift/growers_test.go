package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/stretchr/testify/assert"
)

// grower is a second population, drawn without a look at the first: a meter of
// a grower in the units on its display, with sizes that do not follow the
// tolerance. Sizes are in per cent of the reading for conductivity, in
// hundredths for pH.
type grower struct {
	name       string
	fewest     int
	wander     float64    // share that wanders
	walk       [2]float64 // per root month, evenly on the scale of its logarithm
	nothing    float64    // share without a steady rate
	rate       [2]float64 // per 30 days, the same way
	things     bool       // a bad check in a quarter of the histories, a step in a sixth
	acceptable bool       // only meters that are within tolerance now
}

func (g grower) draw(rng *rand.Rand) life {
	for {
		l := g.once(rng)
		if !g.acceptable || math.Abs(l.err) < l.tolerance {
			return l
		}
	}
}

func (g grower) once(rng *rand.Rand) life {
	unit, ref := 0.01, 1413.0
	l := life{tolerance: unit * between(rng, [2]float64{2, 5}), o: Options{Kind: check.EC, Now: noon}}
	if rng.IntN(3) == 0 { // pH: 0.1 to 0.2
		ref = 7
		l.tolerance, l.o.Kind = unit*between(rng, [2]float64{10, 20}), check.PH
		unit *= 4 // references good to 0.012 to 0.024, readings to 0.012 to 0.04
	}
	l.o.Tolerance = &quantity.Tolerance{Value: l.tolerance, Relative: l.o.Kind == check.EC}
	l.o, _ = l.o.complete()
	inUnit := unit // of the readings
	if l.o.Kind == check.EC {
		inUnit *= ref
	}
	logarithmic := func(r [2]float64) float64 {
		return math.Exp(between(rng, [2]float64{math.Log(r[0]), math.Log(r[1])}))
	}
	rate, walk := 0.0, 0.0
	if rng.Float64() >= g.nothing {
		rate = either(rng) * logarithmic(g.rate)
	}
	if rng.Float64() < g.wander {
		walk = logarithmic(g.walk)
	}
	noise, uRef := between(rng, [2]float64{0.3, 1}), between(rng, [2]float64{0.3, 0.6})
	own, shared := uRef, 0.0
	if rng.IntN(2) == 0 {
		own, shared = uRef/math.Sqrt2, uRef/math.Sqrt2
	}
	jar, stated := shared*rng.NormFloat64(), rng.Float64() < 0.7
	level := 0.6 * rng.NormFloat64()
	n := g.fewest + rng.IntN(41-g.fewest)
	spacing := []float64{7, 14, 30, 60}[rng.IntN(4)]
	bad, knock := -1, -1
	if g.things && rng.IntN(4) == 0 {
		bad = rng.IntN(n)
	}
	if g.things && rng.IntN(6) == 0 {
		knock = rng.IntN(n)
	}
	day := 0.0
	var days []float64
	for i := range n {
		if i > 0 {
			gap := spacing * between(rng, [2]float64{0.4, 1.6})
			day += gap
			level += rate*gap/30 + walk*math.Sqrt(gap/30)*rng.NormFloat64()
		}
		if i == knock {
			level += either(rng) * between(rng, [2]float64{1, 5})
		}
		off := level - jar + noise*rng.NormFloat64() + own*rng.NormFloat64()
		seen := off
		if i == bad {
			seen += either(rng) * between(rng, [2]float64{5, 20})
		}
		e := Entry{Ref: ptr(ref), Reading: ptr(ref + seen*inUnit)}
		if shared > 0 {
			e.RefSource, e.URefShared = "jar", ptr(shared*inUnit)
		}
		if stated {
			e.URef, e.UReading = ptr(own*inUnit), ptr(noise*inUnit)
		}
		days, l.entries = append(days, day), append(l.entries, e)
		if math.Abs(off)*unit > 0.8*l.tolerance && i < n-1 { // adjusted as one does
			level = jar + 0.3*rng.NormFloat64()
			days, l.entries = append(days, day+0.01), append(l.entries, Entry{Event: Adjusted})
		}
	}
	for i := range l.entries {
		l.entries[i].Time = noon.Add(-time.Duration((day - days[i]) * 24 * float64(time.Hour)))
	}
	l.err, l.rate, l.walk, l.first = level*unit, rate*unit, walk*unit, l.entries[0].Time
	return l
}

// growers are the second population and parts of it. The first is the one that
// intervals are held to, the others are for the dates.
func growers() []grower {
	all := grower{name: "growers", fewest: 2, wander: 0.25, walk: [2]float64{0.1, 1}, nothing: 0.2, rate: [2]float64{0.05, 5}, things: true}
	dated := func(name string, fewest int, wander float64) grower {
		return grower{name: name, fewest: fewest, wander: wander, walk: all.walk, nothing: all.nothing, rate: all.rate, acceptable: true}
	}
	return []grower{all, dated("growers, steady", 2, 0), dated("growers, steady, 12 to 40 checks", 12, 0), dated("growers, wandering", 2, 1)}
}

// What holds over the one population holds over the other: intervals that
// cover, due days that keep their promise. Where tolerances are hardly wider
// than the noise, less of the time is used.
func TestGrowers(t *testing.T) {
	var rows strings.Builder
	rows.WriteString("| histories | error ± 1.96 u | rate ± 1.96 u | outside on the day | time used (median) |\n| --- | --- | --- | --- | --- |\n")
	for k, g := range growers() {
		n := size(150, 2000)
		type told struct {
			err, rate float64
			dating
		}
		var sum told
		dated := 0.0
		var used []float64
		for _, x := range each(n, 4, g.draw, func(rng *rand.Rand, l life) told {
			f := beliefs(l)
			after := f.after(l.o.Now)
			e, r := figure(f.errorAt(f.refs[0], after)), figure(f.rateAt(f.refs[0], after))
			return told{one(math.Abs(e.Value-l.err) <= normal95*e.U), one(math.Abs(r.Value-l.rate) <= normal95*r.U), dateOf(rng, l)}
		}) {
			sum.err, sum.rate = sum.err+x.err, sum.rate+x.rate
			if x.dated {
				dated++
				sum.outside += x.outside
			}
			if !math.IsNaN(x.used) {
				used = append(used, x.used)
			}
		}
		N := float64(n)
		fmt.Fprintf(&rows, "| %s | %.1f %% | %.1f %% | %.1f %% | %.0f %% |\n", g.name, 100*sum.err/N, 100*sum.rate/N, 100*sum.outside/dated, 100*median(used))
		aim, late := 0.02, DefaultRisk+0.02
		if !soak() {
			aim, late = aim+slack(0.95, n), late+slack(late, int(dated))
		}
		if k == 0 {
			assert.InDelta(t, 0.95, sum.err/N, aim, g.name)
			assert.InDelta(t, 0.95, sum.rate/N, aim, g.name)
		}
		assert.LessOrEqual(t, sum.outside/dated, late, g.name)
	}
	golden(t, "drift_growers.md", rows.String())
}

func one(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
