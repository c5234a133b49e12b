package drift

import (
	"math"
	"math/rand/v2"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// population says what meters the simulations draw. Sizes are multiples of the
// tolerance, time runs in months of 30 days; a range is drawn evenly, a rate
// evenly on the scale of its logarithm. The histories are drawn from it, not
// from the priors of the model.
type population struct {
	name    string
	checks  [3][2]int  // fewest and most checks of short, middle and long histories
	shares  [3]float64 // and how many are of each
	spacing []float64  // days between checks on average; each is 0.3 to 1.7 times that
	gap     float64    // probability of one gap of 200 to 900 days

	nil_   float64    // probability of no drift at all
	rate   [2]float64 // of the others, per month
	most   float64    // a rate is halved until the record has drifted no further than this
	walk   [2]float64 // random walk of the level, per root month, where there is one
	wander float64    // probability of one
	start  float64    // standard deviation of the error at the start

	own    [2]float64 // u_ref and u_reading, each
	shared [2]float64 // u_ref_shared of a source, which serves 4 to 15 checks
	stated float64    // probability that uncertainties are told
	step   float64    // of the display

	bad, knock, adjusted, cleaned, replaced float64 // probabilities of one in a history
}

// everything is the population of the coverage test.
func everything() population {
	return population{
		name: "everything", checks: [3][2]int{{2, 3}, {4, 8}, {9, 40}}, shares: [3]float64{0.2, 0.3, 0.5},
		spacing: []float64{7, 14, 30, 60}, gap: 0.05,
		nil_: 0.2, rate: [2]float64{0.02, 0.5}, most: 3, walk: [2]float64{0.03, 0.12}, wander: 0.25, start: 0.3,
		own: [2]float64{0.04, 0.15}, shared: [2]float64{0, 0.1}, stated: 0.6, step: 0.02,
		bad: 0.25, knock: 0.15, adjusted: 0.25, cleaned: 0.1, replaced: 0.05,
	}
}

// but is the population with a change and a name for it.
func (p population) but(name string, change func(*population)) population {
	p.name = name
	change(&p)
	return p
}

// quiet leaves out whatever happens to a meter.
func quiet(p *population) {
	p.bad, p.knock, p.adjusted, p.cleaned, p.replaced, p.gap = 0, 0, 0, 0, 0, 0
}

// life is one meter with what is true of it.
type life struct {
	entries   []Entry
	o         Options
	tolerance float64 // in the unit of the error
	err, rate float64 // truth at now, in that unit
	walk      float64
	first     time.Time
}

// later is the true error so many months after now.
func (l life) later(rng *rand.Rand, after float64) float64 {
	return l.err + l.rate*after + l.walk*math.Sqrt(after)*rng.NormFloat64()
}

func between(rng *rand.Rand, r [2]float64) float64 { return r[0] + (r[1]-r[0])*rng.Float64() }

func either(rng *rand.Rand) float64 { return float64(2*rng.IntN(2) - 1) }

// meterKinds are the quantities drawn, with a reference and tolerance each.
var meterKinds = []struct {
	kind      check.Kind
	ref       float64
	tolerance string
}{
	{check.EC, 1413, "5%"}, {check.EC, 2.76, "2%"}, {check.EC, 84, "5%"},
	{check.PH, 7, "0.1"}, {check.PH, 4, "0.2"}, {check.Temperature, 25, "0.5"}, {check.Other, 400, "10"},
}

// draw makes one life.
func (p population) draw(rng *rand.Rand) life {
	kind := meterKinds[rng.IntN(len(meterKinds))]
	tolerance, err := quantity.ParseTolerance(kind.tolerance)
	if err != nil {
		panic(err)
	}
	l := life{tolerance: tolerance.Value, o: Options{Kind: kind.kind, Tolerance: &tolerance, Now: time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)}}
	l.o, err = l.o.complete()
	if err != nil {
		panic(err)
	}
	days := p.times(rng)
	n := len(days)
	drawn := struct{ bad, knock, adjusted, cleaned, replaced int }{p.one(rng, p.bad, n, 0), p.one(rng, p.knock, n, 1), p.one(rng, p.adjusted, n, 1), p.one(rng, p.cleaned, n, 1), p.one(rng, p.replaced, n, 1)}
	span := days[n-1] / daysPerMonth
	rate := p.drawRate(rng, span)
	if rng.Float64() < p.wander {
		l.walk = between(rng, p.walk)
	}
	uRef, uReading, uShared := between(rng, p.own), between(rng, p.own), between(rng, p.shared)
	stated, beside := rng.Float64() < p.stated, rng.IntN(4)
	level, source, left := p.start*rng.NormFloat64(), 0.0, 0
	name := "a"
	for i := range n {
		if i > 0 {
			dt := (days[i] - days[i-1]) / daysPerMonth
			level += rate*dt + l.walk*math.Sqrt(dt)*rng.NormFloat64()
		}
		if left == 0 {
			left, source = 4+rng.IntN(12), uShared*rng.NormFloat64()
			name += "'"
		}
		left--
		at := l.o.Now.Add(-time.Duration((days[n-1] - days[i]) * 24 * float64(time.Hour)))
		var event Event
		found := level
		if i == drawn.knock {
			level += either(rng) * between(rng, [2]float64{0.4, 1.5})
			found = level
		}
		switch i {
		case drawn.adjusted:
			event, level = Adjusted, 0.1*rng.NormFloat64()
		case drawn.cleaned:
			event, level = Cleaned, level+0.3*rng.NormFloat64()
		case drawn.replaced:
			event, level, rate = Replaced, p.start*rng.NormFloat64(), p.drawRate(rng, span)
		}
		e := Entry{Time: at}
		seen := level
		switch {
		case event == "":
		case beside == 0:
			e.Event, e.State, seen = event, AsFound, found
		case beside == 1:
			e.Event, e.State = event, AsLeft
		case beside == 2 && rng.IntN(2) == 0:
			e.Event, seen = event, found
		case beside == 2:
			e.Event = event
		default:
			l.entries = append(l.entries, Entry{Time: at.Add(-time.Minute), Event: event})
		}
		off := seen - source + uRef*rng.NormFloat64() + uReading*rng.NormFloat64()
		if i == drawn.bad {
			off += either(rng) * between(rng, [2]float64{0.8, 6})
		}
		l.read(&e, kind.ref, off, p.step)
		unit := l.unit(kind.ref)
		e.URefShared, e.RefSource = ptr(uShared*unit), name
		if stated {
			e.URef, e.UReading = ptr(uRef*unit), ptr(uReading*unit)
		}
		l.entries = append(l.entries, e)
	}
	late := 20 * rng.Float64() / daysPerMonth
	for i := range l.entries {
		l.entries[i].Time = l.entries[i].Time.Add(-time.Duration(late * daysPerMonth * 24 * float64(time.Hour)))
	}
	level += rate*late + l.walk*math.Sqrt(late)*rng.NormFloat64()
	l.first = l.entries[0].Time
	l.err, l.rate, l.walk = level*l.tolerance, rate*l.tolerance, l.walk*l.tolerance
	return l
}

// unit is a tolerance in the unit of the readings.
func (l life) unit(ref float64) float64 {
	if l.o.Kind == check.EC {
		return l.tolerance * ref
	}
	return l.tolerance
}

// read fills in what the display showed.
func (l life) read(e *Entry, ref, off, step float64) {
	step *= l.unit(ref)
	reading := ref + off*l.unit(ref)
	e.Ref, e.Reading = ptr(ref), ptr(math.Round(reading/step)*step)
}

func (p population) drawRate(rng *rand.Rand, span float64) float64 {
	if rng.Float64() < p.nil_ {
		return 0
	}
	rate := math.Exp(between(rng, [2]float64{math.Log(p.rate[0]), math.Log(p.rate[1])}))
	for rate*span > p.most {
		rate /= 2
	}
	return either(rng) * rate
}

// one draws the check at which something happens, from first on; -1 for never.
func (p population) one(rng *rand.Rand, probability float64, n, first int) int {
	if rng.Float64() >= probability || n <= first {
		return -1
	}
	return first + rng.IntN(n-first)
}

// times draws the days of the checks.
func (p population) times(rng *rand.Rand) []float64 {
	x, k := rng.Float64(), 0
	for k < 2 && x >= p.shares[k] {
		x -= p.shares[k]
		k++
	}
	n := p.checks[k][0] + rng.IntN(p.checks[k][1]-p.checks[k][0]+1)
	spacing := p.spacing[rng.IntN(len(p.spacing))]
	gap := p.one(rng, p.gap, n, 1)
	days := make([]float64, n)
	for i := 1; i < n; i++ {
		days[i] = days[i-1] + spacing*between(rng, [2]float64{0.3, 1.7})
		if i == gap {
			days[i] += between(rng, [2]float64{200, 900})
		}
	}
	return days
}
