package drift

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"github.com/brinemark/brinemark/calib/check"
)

// observation is one check as the filter sees it: readings of one reference at
// one moment, in scales.
type observation struct {
	err       float64
	ref       float64
	h         float64 // loading of the second component
	known     float64 // stated variance
	unstated  bool    // some of its uncertainty is not stated
	loads     []load
	begins    []int   // states of the offsets of which this is the first check
	sinceLast float64 // months since the check before
	exposed   float64 // months in which a knock may have come that this check is the first to show
	month     float64 // since the first entry
	time      time.Time
	bottle    string
	source    string
	entries   []int // of the sorted entries
	segment   int   // counts the events before it
}

// load is how far one standard deviation of a constant offset moves a check.
type load struct {
	offset int // names it
	state  int // where it stands while it matters
	size   float64
}

type stepKind uint8

const (
	stepCheck stepKind = iota
	stepEvent
	stepMaybe // the event may stand here
	stepRest  // or here
)

// step is one thing that happens.
type step struct {
	dt    float64 // months since the step before
	kind  stepKind
	check int
	event Event
	time  time.Time
}

// timeline is a meter's record made ready for the filter.
type timeline struct {
	kind     check.Kind
	relative bool    // errors are fractions of the reference
	logged   bool    // see Options.Logged
	scale    float64 // the unit of error here, in that of the report
	entries  []Entry // sorted
	checks   []observation
	steps    []step
	base     int // states of the meter: 2, or 4 with a second component
	dim      int
	first    time.Time
	last     time.Time // of the last entry
	warnings []string

	// The second component: h = (basis(ref)-centre)/span.
	centre, span float64
	clusters     []float64 // where a new group of references begins; see cluster
	pins         []float64 // see pin
}

func months(from, to time.Time) float64 { return to.Sub(from).Hours() / 24 / daysPerMonth }

// newTimeline sorts, checks and joins the entries.
func newTimeline(entries []Entry, o Options) (*timeline, error) {
	t := &timeline{kind: o.Kind, relative: o.Kind == check.EC, logged: o.Logged}
	if err := t.take(entries, o); err != nil {
		return nil, err
	}
	t.scale = t.chooseScale(o)
	t.join(o)
	if len(t.checks) == 0 {
		return nil, fmt.Errorf("%w: no row has a reading of a reference", ErrNothing)
	}
	t.share()
	t.split()
	return t, nil
}

// take checks the entries and puts them in order.
func (t *timeline) take(entries []Entry, o Options) error {
	for i := range entries {
		if err := inspect(&entries[i], o); err != nil {
			return err
		}
	}
	t.entries = slices.Clone(entries)
	less := func(i, j int) bool { return t.entries[i].Time.Before(t.entries[j].Time) }
	if !sort.SliceIsSorted(t.entries, less) {
		t.warnings = append(t.warnings, "the rows are not in order of time; they were sorted")
		sort.SliceStable(t.entries, less)
	}
	t.entries = settle(t.unrepeated(t.entries))
	if n := len(t.entries); n > 0 {
		t.first, t.last = t.entries[0].Time, t.entries[n-1].Time
	}
	return nil
}

// unrepeated drops rows that say exactly what another says: a paste, not a
// second check. The rows are in order of time.
func (t *timeline) unrepeated(list []Entry) []Entry {
	var out []Entry
	for _, e := range list {
		same := -1
		for k := len(out) - 1; k >= 0 && out[k].Time.Equal(e.Time); k-- {
			if sameEntry(&e, &out[k]) {
				same = k
			}
		}
		if same < 0 {
			out = append(out, e)
			continue
		}
		t.warnings = append(t.warnings, fmt.Sprintf("%s says the same as %s, time included; it counts once", rowName(&e), rowName(&out[same])))
	}
	return out
}

func rowName(e *Entry) string {
	if e.Row > 0 {
		return fmt.Sprintf("row %d", e.Row)
	}
	if e.Name != "" {
		return e.Name
	}
	return "the entry of " + e.Time.Format("2006-01-02 15:04")
}

func sameEntry(a, b *Entry) bool {
	return a.Time.Equal(b.Time) && sameNumber(a.Ref, b.Ref) && sameNumber(a.Reading, b.Reading) &&
		a.Bottle == b.Bottle && a.Event == b.Event && a.State == b.State && a.RefSource == b.RefSource
}

func sameNumber(a, b *float64) bool {
	if a == nil || b == nil {
		return a == b
	}
	return *a == *b
}

// errorOf is the error of a reading in the unit of the report.
func (t *timeline) errorOf(ref, reading float64) float64 {
	if t.relative {
		return (reading - ref) / ref
	}
	return reading - ref
}

// unitAt turns a size in the unit of the reference into scales of error there.
func (t *timeline) unitAt(ref float64) float64 {
	if t.relative {
		return 1 / (ref * t.scale)
	}
	return 1 / t.scale
}

// join makes observations and steps of the entries: readings of one reference
// at one moment, with no event between, are repeats of one check.
func (t *timeline) join(o Options) {
	var before time.Time
	add := func(s step) {
		if len(t.steps) > 0 {
			s.dt = months(before, s.time)
		}
		before = s.time
		t.steps = append(t.steps, s)
	}
	goesOn := continued(t.entries)
	segment, open := 0, 0 // open: the first check that a repeat may still join
	for i := range t.entries {
		e := &t.entries[i]
		if e.Ref != nil {
			found := -1
			for k := open; k < len(t.checks); k++ {
				c := &t.entries[t.checks[k].entries[0]]
				if c.Time.Equal(e.Time) && *c.Ref == *e.Ref && c.Bottle == e.Bottle && c.RefSource == e.RefSource {
					found = k
				}
			}
			if found >= 0 && e.Event == "" {
				t.checks[found].entries = append(t.checks[found].entries, i)
				continue
			}
		}
		switch {
		case e.Event == "":
			add(step{kind: stepCheck, check: t.observe(i, segment), time: e.Time})
			continue
		case e.Ref == nil:
			add(step{kind: stepEvent, event: e.Event, time: e.Time})
		default:
			if !goesOn[i] {
				add(step{kind: stepMaybe, event: e.Event, time: e.Time})
			}
			add(step{kind: stepCheck, check: t.observe(i, segment), time: e.Time})
			if goesOn[i+1] {
				continue
			}
			add(step{kind: stepRest, event: e.Event, time: e.Time})
		}
		segment++
		open = len(t.checks)
	}
	for k := range t.checks {
		c := &t.checks[k]
		t.measure(c, o)
		if k > 0 {
			c.sinceLast = months(t.checks[k-1].time, c.time)
			c.exposed = c.sinceLast
		}
	}
}

func (t *timeline) observe(entry, segment int) int {
	e := &t.entries[entry]
	t.checks = append(t.checks, observation{entries: []int{entry}, time: e.Time, ref: *e.Ref, bottle: e.Bottle,
		source: e.RefSource, segment: segment, month: months(t.first, e.Time)})
	return len(t.checks) - 1
}

// measure fills error and variance of a check from its readings. What one
// reading does not share with the next shrinks with repeats; the reference's
// own error and the display's step do not.
func (t *timeline) measure(c *observation, o Options) {
	sum, own := 0.0, 0.0
	uRef := 0.0
	for _, i := range c.entries {
		e := &t.entries[i]
		sum += t.errorOf(*e.Ref, *e.Reading)
		if e.UReading == nil {
			c.unstated = true
		} else {
			own += *e.UReading * *e.UReading
		}
		if e.URef == nil {
			c.unstated = true
		} else {
			uRef = math.Max(uRef, *e.URef)
		}
	}
	n := float64(len(c.entries))
	unit := t.unitAt(c.ref)
	c.err = sum / n / t.scale
	c.known = (own/n/n + uRef*uRef + o.Resolution*o.Resolution/12) * unit * unit
}

// chooseScale is the size of an error that is usual for the kind, or for the
// tolerance where there is one, as far as it makes sense for the kind.
func (t *timeline) chooseScale(o Options) float64 {
	usual := scaleOf(o.Kind)
	if math.IsNaN(usual) {
		return t.guessScale(o)
	}
	if o.Tolerance == nil {
		return usual
	}
	var limits []float64
	for i := range t.entries {
		if ref := t.entries[i].Ref; ref != nil {
			limits = append(limits, o.limit(*ref))
		}
	}
	if len(limits) == 0 {
		return usual
	}
	return min(max(0.6*median(limits), usual/3), 3*usual)
}

// guessScale sizes errors of a quantity nobody named: by the tolerance, or by
// the errors themselves.
func (t *timeline) guessScale(o Options) float64 {
	var errs, refs, sizes []float64
	for i := range t.entries {
		e := &t.entries[i]
		if e.Ref != nil {
			err := *e.Reading - *e.Ref
			errs, refs, sizes = append(errs, err), append(refs, math.Abs(*e.Ref)), append(sizes, math.Abs(err))
		}
	}
	if len(errs) == 0 {
		return 1
	}
	if o.Tolerance != nil {
		if at := o.Tolerance.At(median(refs)); at > 0 {
			return 0.6 * at // as the usual tolerance of a conductivity meter to its scale
		}
	}
	centre := median(errs)
	spread := make([]float64, len(errs))
	for i, e := range errs {
		spread[i] = math.Abs(e - centre)
	}
	scale := math.Max(median(sizes), 2*median(spread))
	scale = math.Max(scale, o.Resolution)
	if scale == 0 {
		scale = math.Max(slices.Max(sizes), 1e-3*slices.Max(refs))
	}
	if scale == 0 {
		return 1
	}
	return scale
}

func median(list []float64) float64 {
	s := slices.Clone(list)
	slices.Sort(s)
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return s[n/2-1]/2 + s[n/2]/2
}

// nextCheck is the number of the first check at or after a step.
func (t *timeline) nextCheck(step int) int {
	for i := step; i < len(t.steps); i++ {
		if t.steps[i].kind == stepCheck {
			return t.steps[i].check
		}
	}
	return len(t.checks)
}
