package drift

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/conformity"
)

// A bottle loses water and its reference rises; a meter that is checked with
// that bottle alone seems to drift. Only a bottle opened later can tell the two
// apart.

// visible is how many standard deviations a rate is from nothing before it is
// spoken of as a drift.
const visible = 2.0

// judgeBottles finds out whether the drift rests on bottles that are all as
// old as the checks, and whether a fresh one agrees.
func (r *Result) judgeBottles(entries []Entry, o Options, t *timeline) {
	opened, names := t.bottles()
	if len(names) == 0 || t.checks[len(t.checks)-1].time.Equal(opened[names[0]]) {
		return
	}
	var fresh []string
	for _, name := range names {
		if opened[name].After(opened[names[0]]) {
			fresh = append(fresh, name)
		}
	}
	agreed := false
	for _, name := range fresh {
		switch t.compareBottle(name, opened, o) {
		case bottleContradicts:
			r.Alarms = append(r.Alarms, Alarm{opened[name], AlarmBottle, fmt.Sprintf(
				"bottle %s, opened on %s, does not show the drift that the bottles before it show: they have changed, not the meter", name, day(opened[name]))})
		default:
			agreed = true
		}
	}
	if agreed {
		return
	}
	var old []string
	for _, name := range names {
		if !slices.Contains(fresh, name) {
			old = append(old, name)
		}
	}
	r.Bottle = strings.Join(old, ", ")
	if r.Verdict == conformity.Fail && !r.failedFresh(t) {
		r.Verdict = conformity.Undecided
	}
	if r.drifts() || r.Tolerance != nil && r.Verdict != conformity.Pass || len(fresh) > 0 {
		text := "all checks were made with bottle " + r.Bottle + ", which ages too (1 % of its water lost, and a meter seems to read about 1 % more)"
		if r.Kind != "ec" {
			text = "all checks were made with bottle " + r.Bottle + ", which ages too"
		}
		r.Warnings = append(r.Warnings, text+"; a drift is not the meter's until a second, fresh bottle agrees")
	}
}

// drifts tells whether the rate is told from nothing.
func (r *Result) drifts() bool { return math.Abs(r.Rate.Value) > visible*r.Rate.U }

// failedFresh tells whether the meter was outside tolerance at the first check
// of the stretch already, when the bottle was as fresh as it ever was.
func (r *Result) failedFresh(t *timeline) bool {
	first := t.sinceReplaced()
	c := &r.Checks[first]
	return math.Abs(c.Error)-visible*c.U > r.Limit
}

// sinceReplaced is the first check after the last replacement.
func (t *timeline) sinceReplaced() int {
	at := -1
	for i := range t.steps {
		if s := &t.steps[i]; s.kind != stepCheck && s.event == Replaced {
			at = i
		}
	}
	if k := t.nextCheck(at + 1); k < len(t.checks) {
		return k
	}
	return len(t.checks) - 1
}

// bottles lists the bottles in use since the last replacement in the order of
// their first check; nothing where a check names none.
func (t *timeline) bottles() (opened map[string]time.Time, names []string) {
	opened = map[string]time.Time{}
	for k := t.sinceReplaced(); k < len(t.checks); k++ {
		name := t.checks[k].bottle
		if name == "" {
			return nil, nil
		}
		if _, ok := opened[name]; !ok {
			opened[name] = t.checks[k].time
			names = append(names, name)
		}
	}
	return opened, names
}

type bottleAnswer int

const (
	bottleSilent bottleAnswer = iota // there was no drift to agree with
	bottleAgrees
	bottleContradicts
)

// compareBottle asks of a fresh bottle's first check whether it lies where the
// older bottles' drift has gone, or where they began.
func (t *timeline) compareBottle(name string, opened map[string]time.Time, o Options) bottleAnswer {
	at := slices.IndexFunc(t.checks, func(c observation) bool { return c.bottle == name && c.time.Equal(opened[name]) })
	c := &t.checks[at]
	var before []Entry
	var started *observation
	for i := range t.checks[:at] {
		older := &t.checks[i]
		if older.segment != c.segment || !opened[older.bottle].Before(opened[name]) {
			continue
		}
		if started == nil {
			started = older
		}
		for _, k := range older.entries {
			e := t.entries[k]
			e.Event, e.State = "", ""
			before = append(before, e)
		}
	}
	if len(before) < 2 {
		return bottleSilent
	}
	o.Now = c.time
	line, err := newTimeline(before, o)
	if err != nil {
		return bottleSilent
	}
	b := newBelief(line, infer(line, branchesKept)).estimate()
	gone, u := b.errorAt(c.ref, months(line.last, c.time)).moments()
	began := started.err * t.scale
	spread := math.Hypot(u, math.Hypot(b.noise()[0]*line.scale, math.Sqrt(c.known)*t.scale))
	if math.Abs(gone-began) < visible*spread {
		return bottleSilent
	}
	if here := c.err * t.scale; math.Abs(here-gone) > math.Abs(here-began) {
		return bottleContradicts
	}
	return bottleAgrees
}
