package drift

import (
	"math"
	"slices"
	"time"
)

// replay is one branch gone through again, with its choices known, so that
// every moment can be told from all checks and not from earlier ones alone.
type replay struct {
	line   *timeline
	hyper  *hyper
	choice map[int]node // by step of the timeline; -1 for the start
	d      int
}

// choices lists what happened on a branch.
func (g *part) choices() []node {
	var out []node
	for at := g.branch.node; at > 0; at = g.run.nodes[at].parent {
		out = append(out, g.run.nodes[at])
	}
	slices.Reverse(out)
	return out
}

// moment is a step of the replay: a step of the timeline, or a moment to look at.
type moment struct {
	time time.Time
	step int // of the timeline; -1 for a moment to look at
}

// trail is the state before a moment is taken into account, and how the moment
// changes it.
type trail struct {
	m, p    []float64
	h       []float64 // nil where no check is taken into account
	nu, s   float64
	kill    []int   // states an event forgets
	pin     float64 // and what of the second component is taken off the level then
	dt      float64 // time passed since the moment before
	applied bool
}

// look tells mean and variance of the error at a loading, at each of the times,
// which are in order and not after the last entry.
func (g *part) look(t *timeline, h float64, times []time.Time) (mean, variance []float64) {
	r := replay{line: t, hyper: g.hyper, d: t.dim, choice: map[int]node{}}
	pendingFirst := map[int]bool{}
	for _, n := range g.choices() {
		if n.kind == chose && n.at >= 0 && t.steps[n.at].kind == stepMaybe && n.choice == laterChoice {
			pendingFirst[int(n.at)] = true
			continue
		}
		r.choice[int(n.at)] = n
	}
	moments := mergeMoments(t, times)
	trails := make([]trail, len(moments))
	m, p := r.begin()
	before := t.steps[0].time
	for i, at := range moments {
		dt := 0.0
		if at.time.After(before) {
			dt, before = months(before, at.time), at.time
		}
		r.pass(m, p, dt)
		tr := &trails[i]
		tr.dt = dt
		if at.step >= 0 {
			r.event(at.step, pendingFirst, m, p, tr)
		}
		tr.m, tr.p = slices.Clone(m), slices.Clone(p)
		if at.step >= 0 {
			r.observe(at.step, m, p, tr)
		}
	}
	return r.backward(moments, trails, h, len(times))
}

// laterChoice marks a branch on which an event comes after the reading of its row.
const laterChoice = 255

func mergeMoments(t *timeline, times []time.Time) []moment {
	var out []moment
	k := 0
	for i := range t.steps {
		for k < len(times) && times[k].Before(t.steps[i].time) {
			out = append(out, moment{times[k], -1})
			k++
		}
		out = append(out, moment{t.steps[i].time, i})
	}
	for ; k < len(times); k++ {
		out = append(out, moment{times[k], -1})
	}
	return out
}

// begin is the state before the first check.
func (r *replay) begin() (m, p []float64) {
	m, p = make([]float64, r.d), make([]float64, r.d*r.d)
	r.restart(-1, Replaced, m, p, nil)
	return m, p
}

func (r *replay) pass(m, p []float64, dt float64) {
	if dt == 0 {
		return
	}
	b := branch{m: m, p: p}
	one := run{hyper: *r.hyper, line: r.line}
	one.move(&b, dt)
}

// event applies what the branch says of an event or of a knock before a check.
func (r *replay) event(step int, later map[int]bool, m, p []float64, tr *trail) {
	s := &r.line.steps[step]
	n, noted := r.choice[step]
	switch s.kind {
	case stepCheck:
		begins := r.line.checks[s.check].begins
		b := branch{m: m, p: p}
		b.begin(begins, r.d)
		tr.kill = append(tr.kill, begins...)
		if noted && n.kind == stepped {
			one := run{hyper: *r.hyper, line: r.line}
			one.knock(p, knocks[n.choice].size)
		}
	case stepEvent:
		r.restart(step, s.event, m, p, tr)
	case stepMaybe:
		if !later[step] {
			r.restart(step, s.event, m, p, tr)
		}
	case stepRest:
		if later[step-2] {
			r.restart(step, s.event, m, p, tr)
		}
	}
}

func (r *replay) restart(step int, e Event, m, p []float64, tr *trail) {
	list := r.line.renewals(e)
	n := list[min(int(r.choice[step].choice), len(list)-1)]
	b := branch{m: m, p: p}
	one := run{hyper: *r.hyper, line: r.line}
	one.renew(&b, e, n)
	if tr != nil {
		tr.kill, tr.pin = append(tr.kill, n.kill...), n.pin
	}
}

func (r *replay) observe(step int, m, p []float64, tr *trail) {
	s := &r.line.steps[step]
	if n, ok := r.choice[step]; s.kind != stepCheck || ok && n.kind == wrong {
		return
	}
	o := &r.line.checks[s.check]
	tr.h = make([]float64, r.d)
	tr.h[level] = 1
	if r.line.base > second {
		tr.h[second] = o.h
	}
	for _, l := range o.loads {
		tr.h[l.state] += l.size
	}
	ph := product(p, tr.h)
	tr.nu, tr.s = o.err-dot(tr.h, m), dot(tr.h, ph)+r.hyper.variance(o)
	for i := range m {
		m[i] += ph[i] * tr.nu / tr.s
		for j := range m {
			p[i*r.d+j] -= ph[i] * ph[j] / tr.s
		}
	}
}

// backward goes through the moments from the last to the first and gathers
// what later checks say of earlier moments (P. de Jong, J. Am. Stat. Assoc. 84
// (1989) 1085: the smoothed state is m + P r, its covariance P - P N P).
func (r *replay) backward(moments []moment, trails []trail, h float64, n int) (mean, variance []float64) {
	mean, variance = make([]float64, n), make([]float64, n)
	row := make([]float64, r.d)
	row[level] = 1
	if r.line.base > second {
		row[second] = h
	}
	score, info := make([]float64, r.d), make([]float64, r.d*r.d)
	for i := len(moments) - 1; i >= 0; i-- {
		tr := &trails[i]
		if tr.h != nil {
			r.absorb(tr, score, info)
		}
		if moments[i].step < 0 {
			n--
			pr := product(tr.p, row)
			mean[n] = dot(row, tr.m) + dot(pr, score)
			variance[n] = math.Max(0, dot(row, pr)-dot(pr, product(info, pr)))
		}
		r.unmove(tr, score, info)
	}
	return mean, variance
}

// absorb adds a check: score = h nu/s + L'score, info = h h'/s + L'info L with
// L = I - P h h'/s.
func (r *replay) absorb(tr *trail, score, info []float64) {
	d, gain := r.d, product(tr.p, tr.h)
	for i := range gain {
		gain[i] /= tr.s
	}
	c := (tr.nu)/tr.s - dot(gain, score)
	for i := range score {
		score[i] += tr.h[i] * c
	}
	ng := product(info, gain)
	gng := dot(gain, ng)
	for i := range d {
		for j := range d {
			info[i*d+j] += -tr.h[i]*ng[j] - ng[i]*tr.h[j] + tr.h[i]*tr.h[j]*(gng+1/tr.s)
		}
	}
}

// unmove carries score and info back over an event and the time before it.
func (r *replay) unmove(tr *trail, score, info []float64) {
	d := r.d
	if tr.pin != 0 {
		for j := range d {
			info[second*d+j] -= tr.pin * info[level*d+j]
		}
		for i := range d {
			info[i*d+second] -= tr.pin * info[i*d+level]
		}
		score[second] -= tr.pin * score[level]
	}
	for _, k := range tr.kill {
		score[k] = 0
		for i := range d {
			info[k*d+i], info[i*d+k] = 0, 0
		}
	}
	if tr.dt == 0 {
		return
	}
	for k := 0; k < r.line.base; k += 2 { // the transpose of level += dt·rate
		score[k+1] += tr.dt * score[k]
		for j := range d {
			info[(k+1)*d+j] += tr.dt * info[k*d+j]
		}
		for i := range d {
			info[i*d+k+1] += tr.dt * info[i*d+k]
		}
	}
}

func product(p, v []float64) []float64 {
	d := len(v)
	out := make([]float64, d)
	for i := range out {
		out[i] = dot(p[i*d:i*d+d], v)
	}
	return out
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}
