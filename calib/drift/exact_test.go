package drift

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

func ptr(x float64) *float64 { return &x }

// direct is the same model without any recursion: the joint normal
// distribution of all errors, and of what is asked, written down at once.
type direct struct {
	t       *timeline
	h       *hyper
	level   float64 // variance of the level at the start
	adjusts []time.Time
	after   []float64  // variance of the level after each
	pins    []*float64 // loading at which it was made; nil where it reset both components
}

// stretch counts the adjustments before a moment.
func (d direct) stretch(at time.Time) int {
	n := 0
	for _, a := range d.adjusts {
		if !a.After(at) {
			n++
		}
	}
	return n
}

// begin is the moment since which the level has gone on without an adjustment.
func (d direct) begin(stretch int) time.Time {
	if stretch == 0 {
		return d.t.first
	}
	return d.adjusts[stretch-1]
}

// covariance of level + h·second at two moments.
func (d direct) covariance(a, b time.Time, ha, hb float64) float64 {
	sa, sb := d.stretch(a), d.stretch(b)
	sum := d.component(a, b, d.begin(sa), d.begin(sb), sa == sb, d.start(sa))
	for x, h := range d.seconds(a, ha, sa) {
		for y, g := range d.seconds(b, hb, sb) {
			kx, ky := d.reset(d.stretch(x.Add(-1))), d.reset(d.stretch(y.Add(-1)))
			sum += h * g * d.h.second * d.h.second * d.component(x, y, d.begin(kx), d.begin(ky), kx == ky, d.start(kx))
		}
	}
	return sum
}

// seconds are the moments at which the second component bears on the error of
// a moment, and how: then, and at an adjustment at one reference before it.
func (d direct) seconds(at time.Time, h float64, stretch int) map[time.Time]float64 {
	out := map[time.Time]float64{at: h}
	if stretch > 0 && d.pins[stretch-1] != nil {
		out[d.adjusts[stretch-1]] -= *d.pins[stretch-1]
	}
	return out
}

// reset is the last stretch, not after the one given, that began with both
// components anew.
func (d direct) reset(stretch int) int {
	for stretch > 0 && d.pins[stretch-1] != nil {
		stretch--
	}
	return stretch
}

func (d direct) start(stretch int) float64 {
	if stretch == 0 {
		return d.level
	}
	return d.after[stretch-1]
}

// component is the covariance of one component at two moments, which began
// where it says, in terms of the level's sizes.
func (d direct) component(a, b, beginA, beginB time.Time, same bool, start float64) float64 {
	ta, tb := months(beginA, a), months(beginB, b)
	sum := ta * tb * d.h.rate * d.h.rate // the rate goes on through adjustments
	sum += d.h.wander * d.h.wander * wanderCovariance(months(d.t.first, a), ta, months(d.t.first, b), tb)
	if same {
		sum += start + d.h.walk*d.h.walk*math.Min(ta, tb)
	}
	return sum
}

// wanderCovariance is the covariance of the integrals of one Wiener process W
// (from time 0) over (a-la, a) and over (b-lb, b): the double integral of
// min(x, y), by Gauss-Legendre nodes on pieces on which it is smooth.
func wanderCovariance(a, la, b, lb float64) float64 {
	inner := func(x float64) float64 { // integral of min(x, y) over y from b-lb to b
		low, high := b-lb, b
		switch {
		case x <= low:
			return x * lb
		case x >= high:
			return (high*high - low*low) / 2
		}
		return (x*x-low*low)/2 + x*(high-x)
	}
	sum := 0.0
	cuts := []float64{a - la, math.Max(a-la, math.Min(a, b-lb)), math.Max(a-la, math.Min(a, b)), a}
	for k := 1; k < len(cuts); k++ {
		if cuts[k] <= cuts[k-1] {
			continue
		}
		nodes, weights := gaussNodes(cuts[k-1], cuts[k])
		for i, x := range nodes {
			sum += weights[i] * inner(x)
		}
	}
	return sum
}

func (d direct) solve(wrongChecks map[int]bool, at time.Time, h float64) (mean, variance, logDensity float64) {
	var used []int
	for i := range d.t.checks {
		if !wrongChecks[i] {
			used = append(used, i)
		}
	}
	n := len(used)
	v, y, c := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	for a, i := range used {
		ci := &d.t.checks[i]
		y.SetVec(a, ci.err)
		c.SetVec(a, d.covariance(at, ci.time, h, ci.h))
		for b, j := range used[:a+1] {
			cj := &d.t.checks[j]
			sum := d.covariance(ci.time, cj.time, ci.h, cj.h)
			for _, la := range ci.loads {
				for _, lb := range cj.loads {
					if la.offset == lb.offset {
						sum += la.size * lb.size
					}
				}
			}
			if a == b {
				sum += d.h.variance(ci)
			}
			v.SetSym(a, b, sum)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(v) {
		return math.NaN(), math.NaN(), math.NaN()
	}
	var vy, vc mat.VecDense
	_ = chol.SolveVecTo(&vy, y)
	_ = chol.SolveVecTo(&vc, c)
	logDensity = -0.5*mat.Dot(y, &vy) - 0.5*chol.LogDet() - float64(n)/2*math.Log(2*math.Pi)
	return mat.Dot(c, &vy), d.covariance(at, at, h, h) - mat.Dot(c, &vc), logDensity
}

// The filter and the smoother say what the joint distribution says, on every
// branch: means, variances and evidence.
func TestFilterAndSmootherAreTheJointDistribution(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	compared, smoothed, pinned, wandered, apart := 0, 0, 0, false, false
	for trial := range 24 {
		entries, now := exactHistory(rng, trial)
		o := Options{Kind: check.EC, Now: now}
		o, err := o.complete()
		require.NoError(t, err)
		line, err := newTimeline(entries, o)
		require.NoError(t, err)
		require.Equal(t, trial%3 == 2, line.base == 4, "two references in every third")
		runs := infer(line, 6)
		for _, k := range []int{0, len(runs) / 3, len(runs) / 2, len(runs) - 1} {
			r := runs[k]
			for _, br := range r.beam {
				g := part{hyper: &r.hyper, run: r, branch: br}
				for i := range line.base {
					g.m[i] = br.m[i]
					for j := range line.base {
						g.p[i][j] = br.p[i*line.dim+j]
					}
				}
				d, wrongs, logPrior, ok := directOf(line, &g)
				if !ok || len(wrongs) > 0 { // a wrong check counts a little, which the joint distribution here leaves out
					continue
				}
				h := 0.0
				if line.base == 4 {
					h = 0.3
				}
				at := now.AddDate(0, 0, 20)
				mean, variance, logDensity := d.solve(wrongs, at, h)
				gotMean, gotVariance := g.at(h, months(line.last, at))
				require.InDelta(t, mean, gotMean, 1e-6)
				require.InEpsilon(t, variance, gotVariance, 1e-6)
				require.InDelta(t, logDensity+logPrior, br.logW, 1e-6)
				compared++
				wandered = wandered || r.wander > 0
				apart = apart || r.walk > 0 && r.second > 0
				for _, pin := range d.pins {
					if pin != nil && r.second > 0 {
						pinned++
					}
				}
				var looks []time.Time
				for k := range 5 {
					looks = append(looks, line.first.Add(time.Duration(k)*line.last.Sub(line.first)/5+time.Hour))
				}
				means, variances := g.look(line, h, looks)
				for k, at := range looks {
					mean, variance, _ := d.solve(nil, at, h)
					require.InDelta(t, mean, means[k], 1e-6)
					require.InEpsilon(t, variance, variances[k], 1e-5)
					smoothed++
				}
			}
		}
	}
	require.True(t, wandered, "a wandering rate is among them")
	require.True(t, apart, "and a second component that walks by itself")
	require.Greater(t, pinned, 3, "and adjustments at one reference")
	require.Greater(t, compared, 30)
	require.Greater(t, smoothed, 150)
}

// directOf writes down the joint distribution that belongs to a branch; ok is
// false for branches with steps, which it does not know.
func directOf(t *timeline, g *part) (d direct, wrongs map[int]bool, logPrior float64, ok bool) {
	d, wrongs = direct{t: t, h: g.hyper}, map[int]bool{}
	for _, n := range g.choices() {
		switch {
		case n.kind == stepped:
			return d, nil, 0, false
		case n.kind == wrong:
			wrongs[t.steps[n.at].check] = true
		case n.at < 0:
			c := levelAtStart[n.choice]
			d.level = c.size * c.size
			logPrior += math.Log(c.weight)
		default:
			c := t.renewals(Adjusted)[n.choice]
			d.adjusts, d.after = append(d.adjusts, t.steps[n.at].time), append(d.after, c.size*c.size)
			var pin *float64
			if c.pinned {
				pin = &c.pin
			}
			d.pins = append(d.pins, pin)
			logPrior += math.Log(c.weight)
		}
	}
	for i := range t.checks {
		logPrior += math.Log(1-wrongCheck) - stepsPerYear/monthsPerYear*t.checks[i].exposed
	}
	return d, wrongs, logPrior, true
}

// exactHistory is a small history with shared sources, adjustments and, in
// every third trial, two references.
func exactHistory(rng *rand.Rand, trial int) (entries []Entry, now time.Time) {
	at := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range 9 {
		at = at.Add(time.Duration(5+rng.IntN(40)) * 24 * time.Hour)
		ref := 1000.0
		if trial%3 == 2 && i%2 == 1 {
			ref = 3000
		}
		e := Entry{Time: at, Ref: ptr(ref), Reading: ptr(ref * (1 + 0.01*rng.NormFloat64() + 0.002*float64(i))),
			URef: ptr(0.005 * ref), UReading: ptr(0.004 * ref), URefShared: ptr(0.006 * ref), RefSource: string(rune('a' + i/4))}
		if trial%2 == 1 {
			e.Bottle = string(rune('A' + i/3))
		}
		entries = append(entries, e)
		if i == 5 && trial%4 == 3 {
			entries = append(entries, Entry{Time: at.Add(time.Hour), Event: Adjusted})
		}
	}
	return entries, at
}
