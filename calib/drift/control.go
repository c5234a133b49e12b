package drift

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// ControlPoint is one check on the control charts.
type ControlPoint struct {
	Check int     // of Result.Checks
	Q     float64 // standard normal while nothing drifts; see below
	EWMA  EWMAPoint
	CUSUM CUSUMPoint
}

// Control is the charts of a meter's checks. What is charted is not the error
// itself but how far each check lies from what the checks before it, taken as
// those of a steady meter, foretold, as a standard normal value Q: exactly so
// where the uncertainties are stated and right, and by way of Student's t where
// they are judged by the scatter (C.P. Quesenberry, J. Qual. Technol. 23 (1991)
// 213). So a chart starts with the second check, needs no target and no history
// in control, and its false alarms can be computed.
type Control struct {
	Points []ControlPoint
	Stated bool // the uncertainties were stated

	Lambda    float64 // of the EWMA chart
	EWMAWidth float64 // its limits, in standard deviations
	Slack     float64 // of the CUSUM chart
	CUSUM     float64 // its decision limit
	// FalseAlarm is the probability that a chart of a meter that does not drift
	// shows an alarm at all.
	FalseAlarm float64
}

// Settings of the charts: lambda and slack as the handbook recommends for
// small shifts (NIST/SEMATECH e-Handbook, 6.3.2.3 and 6.3.2.4).
const (
	controlLambda = 0.2
	controlSlack  = 0.5
	// clipped bounds a single value on the charts: one wrong check is not a drift.
	clipped = 3.0
)

// control makes the charts. skip tells which checks count as wrong.
func (t *timeline) control(skip []bool) Control {
	c := Control{Stated: true, Lambda: controlLambda, Slack: controlSlack, FalseAlarm: chartAlarm}
	for i := range t.checks {
		if t.checks[i].unstated {
			c.Stated = false
		}
	}
	q := t.foretold(skip, c.Stated)
	n := 0
	for _, x := range q {
		if !math.IsNaN(x) {
			n++
		}
	}
	c.EWMAWidth, c.CUSUM = chartLimits(n)
	var values []float64
	flush := func(members []int) {
		ewma := EWMA(values, 0, 1, c.Lambda, c.EWMAWidth, false)
		cusum := CUSUM(values, 0, c.Slack, c.CUSUM)
		for k, i := range members {
			c.Points = append(c.Points, ControlPoint{i, q[i], ewma[k], cusum[k]})
		}
		values = nil
	}
	var members []int
	for i := range t.checks {
		if i > 0 && t.checks[i].segment != t.checks[i-1].segment {
			flush(members) // the charts begin anew after an event
			members = nil
		}
		if !math.IsNaN(q[i]) {
			members = append(members, i)
			values = append(values, math.Max(-clipped, math.Min(clipped, q[i])))
		}
	}
	flush(members)
	return c
}

// foretold gives every check its Q; NaN for one that begins something new and
// for one that is skipped.
func (t *timeline) foretold(skip []bool, stated bool) []float64 {
	f := newStable(t, stated)
	out := make([]float64, len(t.checks))
	for i := range t.checks {
		out[i] = math.NaN()
		if !skip[i] {
			out[i] = f.add(i)
		}
	}
	return out
}

// stable is a growing least-squares fit of a meter that does not drift: a
// level for each stretch between events (and a second component, where there
// is one), and the offsets of the sources.
type stable struct {
	t      *timeline
	stated bool
	column map[[2]int]int // of a level or component in the design
	fixed  int            // columns without prior knowledge
	m      *mat.VecDense
	p      *mat.SymDense
	sum    float64 // of squared standardised residuals, where not stated
	n      int     // of them
}

// diffuse is the standard deviation, in scales, of what is not known at all.
const diffuse = 1e4

func newStable(t *timeline, stated bool) *stable {
	f := &stable{t: t, stated: stated, column: map[[2]int]int{}}
	for i := range t.checks {
		for _, key := range f.keys(i) {
			if _, ok := f.column[key]; !ok {
				f.column[key] = len(f.column)
			}
		}
	}
	f.fixed = len(f.column)
	d := f.fixed
	if stated {
		d += len(t.offsets)
	}
	f.m, f.p = mat.NewVecDense(d, nil), mat.NewSymDense(d, nil)
	for k := range d {
		f.p.SetSym(k, k, 1)
		if k < f.fixed {
			f.p.SetSym(k, k, diffuse*diffuse)
		}
	}
	return f
}

// keys name the unknown levels of a check. Where uncertainties are not stated,
// checks with references of different sources do not share a level, since
// nobody can say how far apart the sources are next to the scatter.
func (f *stable) keys(i int) [][2]int {
	c := &f.t.checks[i]
	group := c.segment
	if !f.stated {
		for _, l := range c.loads {
			group = group*1000 + l.state
		}
	}
	keys := [][2]int{{group, 0}}
	if f.t.base > second {
		keys = append(keys, [2]int{group, 1})
	}
	return keys
}

// add takes a check in and returns its Q.
func (f *stable) add(i int) float64 {
	c := &f.t.checks[i]
	h := mat.NewVecDense(f.m.Len(), nil)
	for k, key := range f.keys(i) {
		h.SetVec(f.column[key], [2]float64{1, c.h}[k])
	}
	variance := 1.0
	if f.stated {
		variance = math.Max(c.known, leastNoise*leastNoise)
		for _, l := range c.loads {
			k := f.fixed + l.state - f.t.base
			h.SetVec(k, h.AtVec(k)+l.size)
		}
	}
	var ph mat.VecDense
	ph.MulVec(f.p, h)
	nu, s := c.err-mat.Dot(h, f.m), mat.Dot(h, &ph)+variance
	new := mat.Dot(h, &ph) > diffuse // not foretold: something begins here
	f.m.AddScaledVec(f.m, nu/s, &ph)
	f.p.SymRankOne(f.p, -1/s, &ph)
	if new {
		return math.NaN()
	}
	w := nu / math.Sqrt(s)
	if f.stated {
		return w
	}
	q := math.NaN()
	if f.n > 0 {
		student := w
		if f.sum > 0 {
			student = w / math.Sqrt(f.sum/float64(f.n))
		} else if w != 0 {
			student = math.Copysign(math.Inf(1), w)
		}
		tail := distuv.StudentsT{Nu: float64(f.n), Sigma: 1}.CDF(-math.Abs(student))
		q = math.Copysign(-distuv.UnitNormal.Quantile(math.Max(tail, 1e-16)), w)
	}
	f.sum += w * w
	f.n++
	return q
}
