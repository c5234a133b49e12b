package series

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/series/watch"
)

// Watcher is an [Observer] that looks for events, sums up by days, or both.
type Watcher struct {
	probes []*Probe
	events *watch.Events
	daily  *watch.Daily
	seen   []watch.Seen
}

// NewWatcher returns one for the probes of a plan, of these kinds, in their
// order. events is told each event, and daily each day of each column, in the
// order in which they are over; nil for one that is not wanted. Days are those of
// the plan's zone.
func NewWatcher(plan Plan, kinds []check.Kind, events func(watch.Event), daily func(watch.Day)) (*Watcher, error) {
	if len(kinds) != len(plan.Probes) {
		return nil, fmt.Errorf("%d kinds for %d probes; want one for each", len(kinds), len(plan.Probes))
	}
	w := &Watcher{probes: plan.Probes, seen: make([]watch.Seen, len(kinds))}
	if events != nil {
		columns := make([]watch.Column, len(kinds))
		for i, kind := range kinds {
			columns[i] = UsualColumn(kind)
		}
		var err error
		if w.events, err = watch.NewEvents(columns, events); err != nil {
			return nil, err
		}
	}
	if daily != nil {
		w.daily = watch.NewDaily(len(kinds), plan.Zone, daily)
	}
	return w, nil
}

// UsualColumn is how a column of a kind is watched: the smallest change worth
// telling is far above what plants and daylight do within minutes (common practice, no
// source).
func UsualColumn(kind check.Kind) watch.Column {
	switch kind {
	case check.EC:
		return watch.Column{Conductivity: true, Least: 0.03, Relative: true}
	case check.PH:
		return watch.Column{Least: 0.08}
	case check.Temperature:
		return watch.Column{Aside: true, Least: 0.5} // C
	case check.Humidity:
		return watch.Column{Aside: true, Least: 3} // %RH
	case check.Oxygen:
		return watch.Column{Least: 0.4} // mg/L
	case check.CO2:
		return watch.Column{Aside: true, Least: 100} // ppm
	}
	return watch.Column{Least: 0.03, Relative: true}
}

// Observe takes a row.
func (w *Watcher) Observe(row *Row) {
	if row.Time <= untimed {
		return
	}
	if w.daily != nil {
		for i := range row.Seen {
			s := &row.Seen[i]
			w.daily.Row(row.Time, i, s.Value, s.Flag == Believed)
		}
	}
	if w.events == nil {
		return
	}
	for i := range row.Seen {
		s := &row.Seen[i]
		w.seen[i] = watch.Seen{Reading: s.Reading, Value: s.Value, State: w.probes[i].state(s)}
	}
	w.events.Row(row.Time, row.TempC, w.seen)
}

// Finish tells what goes on at the end of the log.
func (w *Watcher) Finish() {
	if w.events != nil {
		w.events.Finish()
	}
	if w.daily != nil {
		w.daily.Finish()
	}
}

// state is what a row says of the liquid. A reading that is stale, from before any
// calibration or outside of what was calibrated still shows what happens; one at the end of
// what the meter can show does not.
func (p *Probe) state(s *Seen) watch.State {
	switch s.Flag {
	case Believed, Stale, BeforeCalibration:
		return watch.InLiquid
	case Dry:
		return watch.InAir
	case OutOfRange:
		if s.Reading <= p.Low || s.Reading >= p.High {
			return watch.Doubtful
		}
		return watch.InLiquid
	}
	return watch.Missing
}
