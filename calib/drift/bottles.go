package drift

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/conformity"
)

// A bottle loses water and its reference rises; a meter that is checked with
// that bottle alone seems to drift. Only a bottle opened later can tell the two
// apart.

// visible is how many standard deviations a rate is from nothing before it is
// spoken of as a drift.
const visible = 2.0

// How many of the bottles opened last are asked, and how many checks before
// each of them: years of weekly checks say no more than that, and take long.
const (
	mostBottles = 8
	mostBefore  = 24
)

// judgeBottles finds out whether the drift rests on bottles that are as old as
// it is, and whether a fresh one agrees.
func (r *Result) judgeBottles(o Options, t *timeline) {
	if o.Logged {
		return
	}
	first := t.firstOfBottles()
	if len(first) == 0 {
		if r.drifts() {
			r.Warnings = append(r.Warnings, "not every row names its bottle, so nobody can tell whether an ageing bottle or the meter drifts; a column bottle would tell")
		}
		return
	}
	// Bottles opened later than the first, and since when nothing fresh has agreed.
	var fresh []int
	for _, k := range first {
		if t.checks[k].time.After(t.checks[first[0]].time) {
			fresh = append(fresh, k)
		}
	}
	agreed, since := false, first[0]
	for _, k := range fresh[max(0, len(fresh)-mostBottles):] {
		switch t.compareBottle(k, first, o) {
		case bottleContradicts:
			c := &t.checks[k]
			r.Alarms = append(r.Alarms, Alarm{c.time, AlarmBottle, fmt.Sprintf(
				"bottle %s, opened on %s, does not show the drift that the bottles before it show: they have changed, not the meter", c.bottle, day(c.time))})
		case bottleAgrees:
			agreed = true
		case bottleSilent:
			since = k
		}
	}
	still := !r.drifts() && r.Verdict != conformity.Fail // nothing that a bottle could have feigned
	if agreed || since > first[0] && still {
		return
	}
	old := t.bottlesFrom(since, fresh)
	slices.Sort(old)
	r.Bottle = strings.Join(old, ", ")
	if t.checks[len(t.checks)-1].time.Equal(t.checks[first[0]].time) {
		r.Bottle = "" // one moment tells of no drift
		return
	}
	if r.Verdict == conformity.Fail && !r.failedFresh(t, first) {
		r.Verdict = conformity.Undecided
	}
	if r.bottleInDoubt() || len(fresh) > 0 {
		with, their := "bottle "+r.Bottle+", which ages too", "its"
		if len(old) > 1 {
			with, their = "bottles "+r.Bottle+", which age too", "their"
		}
		text := "all checks were made with " + with
		if since > first[0] {
			text = "all checks since " + day(t.checks[since].time) + " were made with " + with
		}
		if o.Kind == check.EC {
			text += " (1 % of " + their + " water lost, and a meter seems to read about 1 % more"
			if r.Rate.Value < 0 && r.drifts() {
				text += ", not less as here; but water or another liquid may have come in"
			}
			text += ")"
		}
		r.Warnings = append(r.Warnings, text+"; a drift is not the meter's until a second, fresh bottle agrees")
	}
}

// bottleInDoubt tells whether something is seen that the bottle may feign.
func (r *Result) bottleInDoubt() bool {
	return r.Bottle != "" && (r.drifts() || r.Tolerance != nil && r.Verdict != conformity.Pass)
}

// drifts tells whether the rate is told from nothing.
func (r *Result) drifts() bool { return math.Abs(r.Rate.Value) > visible*r.Rate.U }

// failedFresh tells whether the meter was outside tolerance in a bottle just
// opened, since the last event.
func (r *Result) failedFresh(t *timeline, first []int) bool {
	stretch := t.checks[len(t.checks)-1].segment
	return slices.ContainsFunc(first, func(k int) bool {
		c := &r.Checks[k]
		return t.checks[k].segment == stretch && math.Abs(c.Error)-visible*math.Hypot(c.U, c.UShared) > r.Limit
	})
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

// firstOfBottles lists the first check of every bottle since the last
// replacement; nothing where a check names none.
func (t *timeline) firstOfBottles() (first []int) {
	seen := map[string]bool{}
	for k := t.sinceReplaced(); k < len(t.checks); k++ {
		name := t.checks[k].bottle
		if name == "" {
			return nil
		}
		if !seen[name] {
			seen[name] = true
			first = append(first, k)
		}
	}
	return first
}

// bottlesFrom names the bottles in use from a check on, without those that
// were opened after it.
func (t *timeline) bottlesFrom(since int, fresh []int) (names []string) {
	later := map[string]bool{}
	for _, k := range fresh {
		if t.checks[k].time.After(t.checks[since].time) {
			later[t.checks[k].bottle] = true
		}
	}
	for _, c := range t.checks[since:] {
		if !later[c.bottle] && !slices.Contains(names, c.bottle) {
			names = append(names, c.bottle)
		}
	}
	return names
}

type bottleAnswer int

const (
	bottleSilent bottleAnswer = iota // there was no drift to agree with
	bottleAgrees
	bottleContradicts
)

// compareBottle asks of a fresh bottle's first check whether it lies where the
// older bottles' drift has gone, or where they began.
func (t *timeline) compareBottle(at int, first []int, o Options) bottleAnswer {
	c := &t.checks[at]
	older := map[string]bool{}
	for _, k := range first {
		older[t.checks[k].bottle] = t.checks[k].time.Before(c.time)
	}
	var checks []int
	var began *observation // with a reference like this one's
	for i := range t.checks[:at] {
		before := &t.checks[i]
		if before.segment != c.segment || !older[before.bottle] {
			continue
		}
		if began == nil && (t.base == second || t.cluster(before.ref) == t.cluster(c.ref)) {
			began = before
		}
		checks = append(checks, i)
	}
	if began == nil || len(checks) < 2 {
		return bottleSilent
	}
	var entries []Entry
	for _, i := range checks[max(0, len(checks)-mostBefore):] {
		for _, k := range t.checks[i].entries {
			e := t.entries[k]
			e.Event, e.State = "", ""
			entries = append(entries, e)
		}
	}
	o.Now = c.time
	line, err := newTimeline(entries, o)
	if err != nil {
		return bottleSilent
	}
	b := newBelief(line, infer(line, branchesKept))
	gone, u := b.errorAt(c.ref, months(line.last, c.time)).moments()
	start, here := began.err*t.scale, c.err*t.scale
	spread := math.Hypot(u, math.Hypot(b.noise()[0]*line.scale, math.Sqrt(c.known)*t.scale))
	switch {
	case math.Abs(gone-start) < visible*spread:
		return bottleSilent
	case math.Abs(here-gone) > math.Abs(here-start):
		if !line.ages(gone-start) && (c.unstated || slices.ContainsFunc(line.checks, func(o observation) bool { return o.unstated })) {
			return bottleSilent
		}
		return bottleContradicts
	}
	return bottleAgrees
}
