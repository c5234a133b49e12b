package drift

import (
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/conformity"
)

// branchesKept is how many histories are followed for each point of the grid.
const branchesKept = 8

// Level is the coverage probability of intervals.
const Level = 0.95

// Run tells a meter's drift from its record. Errors are an *EntryError where a
// row is to blame, and wrap a cause of this package.
func Run(entries []Entry, o Options) (*Result, error) {
	o, err := o.complete()
	if err != nil {
		return nil, err
	}
	t, err := newTimeline(entries, o)
	if err != nil {
		return nil, err
	}
	b := newBelief(t, infer(t, branchesKept))
	f := newForecast(b, o)
	last := t.checks[len(t.checks)-1].time
	r := &Result{
		Kind: o.Kind, Relative: t.relative, N: len(t.checks), Now: o.Now, Last: last,
		Tolerance: o.Tolerance, Risk: o.Risk, Limit: math.NaN(), PWithin: math.NaN(),
		Practice: CommonPractice(o.Kind), Warnings: t.warnings, logged: o.Logged,
	}
	after := f.after(o.Now)
	r.Ref = f.worst(after)
	r.Error, r.Rate = b.errorNow(r.Ref, after), figure(b.rateAt(r.Ref, after))
	r.Zero, r.Gain = f.components(after)
	r.view(b)
	r.judge(f, after)
	r.schedule(f)
	r.overdue(f)
	r.doubtLast(t, o)
	r.Walk = f.walkSize(r.Ref)
	skip := make([]bool, len(r.Checks))
	for i, c := range r.Checks {
		skip[i] = c.Wrong > 0.5
	}
	r.Control, r.Trend = t.control(skip), t.trend(skip)
	r.judgeBottles(o, t)
	r.warn(t, o, skip)
	r.raise(t, skip)
	r.Path = b.path(r)
	r.Why = r.why()
	return r, nil
}

// figure sums a mixture up. Its tails are longer than a normal distribution's,
// and its standard deviation rests on them; U is that of the normal
// distribution with the same 95 % interval, so that ±1.96 U covers what it
// says.
func figure(m mixture) Figure {
	mean, _ := m.moments()
	low, high := m.quantile((1-Level)/2), m.quantile((1+Level)/2)
	return Figure{Value: mean, U: (high - low) / (2 * normal95), Low: low, High: high}
}

// errorNow sums the error up. In several references it may be one thing or
// quite another, a bottle or the meter, and the interval lies to one side of the
// mean; U is then wide enough that ±1.96 U about the mean covers as much.
func (b *belief) errorNow(ref, after float64) Figure {
	m := b.errorAt(ref, after)
	f := figure(m)
	if b.line.base > second {
		f.U = math.Max(f.U, m.about(f.Value, Level)/normal95)
	}
	return f
}

// normal95 is half the width of a normal distribution's 95 % interval.
const normal95 = 1.959963984540054

// worst is the reference in use at which the error is most likely outside
// tolerance; where that is most unlikely anywhere, at which it takes up most of
// it. Without a tolerance it is the one with the largest error.
func (f *forecast) worst(after float64) float64 {
	if f.o.Tolerance == nil && f.line.base == second {
		return f.refs[0]
	}
	ref, most := f.most(func(ref float64) float64 {
		if f.o.Tolerance == nil {
			return 0
		}
		return f.outsideAt(ref, after)
	})
	if most > unlikely {
		return ref
	}
	ref, _ = f.most(func(ref float64) float64 {
		mean, _ := f.errorAt(ref, after).moments()
		if f.o.Tolerance == nil {
			return math.Abs(mean)
		}
		return math.Abs(mean) / f.o.limit(ref)
	})
	return ref
}

// unlikely is a probability of being outside tolerance that tells no two
// references apart.
const unlikely = 0.001

// most is the reference in use of which something is most.
func (f *forecast) most(of func(ref float64) float64) (ref, size float64) {
	ref, size = f.refs[0], of(f.refs[0])
	for _, other := range f.refs[1:] {
		if x := of(other); x > size {
			ref, size = other, x
		}
	}
	return ref, size
}

// leastTwo is how likely it must be that there are two components at all
// before they are spoken of.
const leastTwo = 0.05

// twoParts is the probability that there is a second component.
func (f *forecast) twoParts() float64 {
	sum := 0.0
	for i := range f.parts {
		if f.parts[i].hyper.second > 0 {
			sum += f.parts[i].weight
		}
	}
	return sum
}

// isothermal is the pH at which a pH electrode's zero error is read.
const isothermal = 7.0

// components are the zero and the gain error, where they are told apart. The
// error is level + second·(basis-centre)/span at every reference; a zero error
// is what is left at a basis of zero, or at pH 7, for an absolute error.
func (f *forecast) components(after float64) (zero, gain *Component) {
	t := f.line
	if t.base == second || f.twoParts() < leastTwo {
		return nil, nil
	}
	factors := f.weights(after)
	of := func(c [2]float64) *Component {
		var now, rate mixture
		for i := range f.parts {
			w := f.parts[i].weightAt(factors)
			m, v := f.parts[i].combination(c, after)
			now = append(now, gaussian{w, m * t.scale, math.Sqrt(v) * t.scale})
			m, v = f.parts[i].rateOf(c, after)
			rate = append(rate, gaussian{w, m * t.scale, math.Sqrt(v) * t.scale})
		}
		return &Component{Now: figure(now), Rate: figure(rate)}
	}
	slope := [2]float64{0, 1 / t.span} // of the error by its basis
	if t.relative {
		return of(slope), of([2]float64{1, -t.centre / t.span})
	}
	at := 0.0
	if t.kind == check.PH {
		at = isothermal
	}
	return of([2]float64{1, (at - t.centre) / t.span}), of(slope)
}

// view fills in the checks and events.
func (r *Result) view(b *belief) {
	t := b.line
	wrong, step := b.happened()
	noise := b.noise()
	for i := range t.checks {
		c := &t.checks[i]
		v := CheckView{Time: c.time, Ref: c.ref, Error: c.err * t.scale, U: noise[i] * t.scale,
			Bottle: c.bottle, Wrong: wrong[i], Stepped: step[i]}
		for _, k := range c.entries {
			v.Rows = append(v.Rows, t.entries[k].Row)
		}
		for _, l := range c.loads {
			v.UShared = math.Hypot(v.UShared, l.size*t.scale)
		}
		r.Checks = append(r.Checks, v)
	}
	seen := 0
	for _, s := range t.steps {
		switch s.kind {
		case stepCheck:
			seen = s.check + 1
		case stepEvent, stepMaybe:
			r.Events = append(r.Events, EventView{Time: s.time, Event: s.event, Checks: seen})
		}
	}
}

func (r *Result) judge(f *forecast, after float64) {
	if r.Tolerance == nil {
		return
	}
	r.Limit = f.o.limit(r.Ref)
	r.PWithin = math.Max(0, math.Min(1, 1-f.outside(after)))
	r.Verdict = conformity.Default.Decide(r.PWithin)
}

// schedule finds the due day and the next check.
func (r *Result) schedule(f *forecast) {
	today := midnight(r.Now)
	next := midnight(r.Last.In(r.Now.Location())).AddDate(0, 0, r.Practice.Days)
	if r.Tolerance != nil {
		if days, ok := f.due(r.Now); ok {
			r.Due = today.AddDate(0, 0, days)
			if r.Due.Before(next) {
				next = r.Due
			}
		}
	}
	if next.Before(today) {
		next = today
	}
	r.NextCheck = next
}

// day writes a day.
func day(t time.Time) string { return t.Format("2006-01-02") }
