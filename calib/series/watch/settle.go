package watch

import (
	"math"
	"time"
)

// settle ends a change whose value stays at a new level, and says what it was.
func (e *Events) settle(k *track, t int64) {
	c := &k.change
	before, size := k.level, math.Abs(c.mean-k.level)
	known := k.rows >= calmRows/2 || c.afterAir && !math.IsNaN(k.level)
	limit := max(4*k.noise, k.least())
	event := Event{From: at(c.from), To: at(c.stayAt), Before: before, After: c.mean, AfterAir: c.afterAir}
	event.Rows = max(1, c.rows-int64(c.stay)+1)
	if !known {
		event.Before = math.NaN()
	}
	if c.afterAir {
		e.tellAir(k)
		event.Kind = Refill
		e.changed(k, event)
	} else if size >= limit && !c.afterRun && !e.stands(k) {
		e.judge(k, event, size)
	}
	noise := k.noise
	if k.Relative && before > 0 && c.mean > 0 {
		noise *= c.mean / before
	}
	k.level, k.recent, k.noise = c.mean, c.mean, noise
	k.calmAt, k.calmClock, c.open = t, e.clock, false
}

// stands tells whether a reading has stood still since a change began, though it
// usually does not: that is a sensor that got stuck, whatever it was before.
func (e *Events) stands(k *track) bool {
	r := &k.run
	return r.runs >= knownRuns && r.rows >= max(stuckRows, k.change.rows-1) && float64(r.toClock-r.fromClock) > 4*r.usual
}

// judge says what a change in the liquid was.
func (e *Events) judge(k *track, event Event, size float64) {
	c := &k.change
	with, others := e.moved(k)
	near := c.gap <= int64(4*e.usual)+int64(time.Minute)
	sharp := near && math.Abs(c.first-c.mean) <= max(4*k.noise, 0.15*size)
	alone := len(with) == 0 && (others || e.usual < float64(apart))
	event.With = with
	switch {
	case sharp && alone:
		event.Kind = Jump
		event.To = at(c.start)
		e.tell(k, event)
	case !k.Conductivity:
	case size >= third*math.Abs(event.Before):
		event.Kind = Refill
		e.changed(k, event)
	default:
		event.Kind = TopUp
		e.changed(k, event)
	}
}

// moved returns the columns that moved while a change went on, and whether
// there are others at all that would have moved with the liquid.
func (e *Events) moved(k *track) (with []int, others bool) {
	c := &k.change
	for i := range e.tracks {
		o := &e.tracks[i]
		w := k.change.witness[i]
		if o == k || !w.known {
			continue
		}
		others = others || !o.Aside
		stepped := o.steppedAt >= c.startClock && o.steppedAt <= c.startClock+int64(max(1.5*e.usual, float64(settleFor)))
		if stepped || math.Abs(o.recent-w.level) > max(5*w.noise, o.least()/2) {
			with = append(with, i)
		}
	}
	return with, others
}

// changed tells a change of the liquid, once for all columns that show it.
func (e *Events) changed(k *track, event Event) {
	last := &e.liquid
	if last.Kind != "" && last.Column != k.place && !event.From.After(last.To) && !event.To.Before(last.From) {
		for _, i := range last.With {
			if i == k.place {
				return
			}
		}
	}
	if n := len(event.With); n > 0 && event.With[n-1] == len(e.tracks)-1 {
		event.With = event.With[:n-1] // the temperature is no column
	}
	event.Column = k.place
	*last = event
	e.tell(k, event)
}
