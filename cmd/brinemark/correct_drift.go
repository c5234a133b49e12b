package main

import (
	"cmp"
	"errors"
	"fmt"
	"runtime/debug"
	"slices"
	"strconv"
	"sync"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/series"
)

// drifting is how a column's meter drifts after its last calibration.
type drifting struct {
	series.Growth
	own  bool   // as somebody says, or as its own checks tell; else as is usual
	from string // where that is from, in words
}

// settleDrifts finds out how the meters of all columns drift, some side by side:
// a meter's own drift takes longer than all else before a log is read, and some
// megabytes meanwhile.
func settleDrifts(columns []*columnPlan) {
	var wait sync.WaitGroup
	turns := make(chan struct{}, driftsAtOnce)
	for _, p := range columns {
		turns <- struct{}{}
		wait.Go(func() {
			p.drift = p.drifting()
			<-turns
		})
	}
	wait.Wait()
}

// driftsAtOnce is how many drifts may take memory at a time.
const driftsAtOnce = 1

func (p *columnPlan) drifting() drifting {
	if p.growth != nil {
		return drifting{*p.growth, true, "as given"}
	}
	g, err := p.ownDrift()
	switch {
	case err == nil:
		return drifting{g, true, "from its own checks"}
	case errors.Is(err, errOneCheck):
		return drifting{series.UsualGrowth(p.kind), false, "usual for such meters, common practice, as its own is not known; --drift says otherwise"}
	}
	return drifting{series.UsualGrowth(p.kind), false, fmt.Sprintf("usual for such meters, common practice, as its checks do not tell its own: %v; --drift says otherwise", err)}
}

var errOneCheck = errors.New("checks of one day tell no drift")

// ownDrift is the drift that the readings behind a meter's calibrations tell.
func (p *columnPlan) ownDrift() (series.Growth, error) {
	ask := driftAsk{options: drift.Options{Kind: p.kind, Tolerance: p.tolerance}}
	if p.resolution != nil {
		ask.options.Resolution = *p.resolution
	}
	if p.kind == "" || !p.checkedTwice() {
		return series.Growth{}, errOneCheck
	}
	entries := p.entries(ask)
	for _, e := range entries {
		if e.Time.After(ask.options.Now) {
			ask.options.Now = e.Time
		}
	}
	defer debug.FreeOSMemory() // the histories that were weighed
	result, err := drift.Run(entries, ask.options)
	if err != nil {
		return series.Growth{}, err
	}
	g, ok := series.DriftGrowth(result)
	if !ok {
		return g, errOneCheck
	}
	return g, nil
}

// entries are the readings behind the calibrations and what was done to the
// meter, in order.
func (p *columnPlan) entries(ask driftAsk) []drift.Entry {
	var entries []drift.Entry
	for _, e := range p.events {
		if event := drift.Event(e.Event); slices.Contains(drift.Events(), event) {
			entries = append(entries, drift.Entry{Time: happened(e, p.checks), Event: event})
		}
	}
	for _, c := range p.checks {
		if at, ok := unwritten(c, entries, p.checks); ok {
			entries = append(entries, drift.Entry{Time: at, Event: drift.Adjusted})
		}
		for i, r := range c.Readings {
			if p.kind != check.EC || r.Ref != 0 { // an error is no fraction of nothing
				entries = append(entries, recordEntry(c, i, r, ask))
			}
		}
	}
	slices.SortStableFunc(entries, func(a, b drift.Entry) int {
		return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(turn(a), turn(b)))
	})
	return entries
}

// checkedTwice tells whether there are checks of two times.
func (p *columnPlan) checkedTwice() bool {
	return slices.ContainsFunc(p.calibrations, func(c series.Calibration) bool { return !c.Time.Equal(p.calibrations[0].Time) })
}

// lasting is how long after the last calibration a column can be believed, and
// why. A meter on record whose drift is known is believed until drift alone may
// have moved it out of its tolerance, with a probability of 5 %.
func (p *columnPlan) lasting() (time.Duration, string) {
	if limit, ok := p.limit(p.drift.Relative); ok && p.drift.own && p.onRecord {
		if lasts := p.drift.Reaches(limit); lasts > 0 && lasts < drift.Horizon*24*time.Hour {
			return lasts, "drift may then have moved it by its tolerance"
		}
		return drift.Horizon * 24 * time.Hour, "five years"
	}
	lasts := series.UsualStaleAfter(p.kind)
	return lasts, fmt.Sprintf("%g days, three times the longest common interval; --stale-after says otherwise", lasts.Hours()/24)
}

// limit is the tolerance in the terms of a growth, at the readings of the last
// calibration where it is strictest.
func (p *columnPlan) limit(relative bool) (float64, bool) {
	if p.tolerance == nil {
		return 0, false
	}
	if p.tolerance.Relative == relative {
		return p.tolerance.Value, true
	}
	last := p.calibrations[0]
	for _, c := range p.calibrations {
		if !c.Time.Before(last.Time) {
			last = c
		}
	}
	return series.LimitFor(*p.tolerance, last.Line, relative)
}

// driftText words a drift.
func driftText(g series.Growth) string {
	size := func(x float64) string {
		if g.Relative {
			return strconv.FormatFloat(100*x, 'g', 2, 64) + " %"
		}
		return strconv.FormatFloat(x, 'g', 2, 64)
	}
	text := size(g.Rate) + " in 30 days"
	if g.Walk > 0 {
		text += ", wandering by " + size(g.Walk)
	}
	return text
}
