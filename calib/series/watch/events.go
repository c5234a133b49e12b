package watch

import (
	"fmt"
	"math"
	"time"
)

// What events go by (common practice, no source).
const (
	// third is the share of the level from which a change is a refill.
	third = 1.0 / 3
	// apart is how far apart rows may lie for one step to show that nothing mixed:
	// concentrate and water take minutes. Farther apart, the other columns
	// have to tell.
	apart = 3 * time.Minute
	// forgotten is a pause after which the level is learnt anew.
	forgotten = 6 * time.Hour
)

// Events finds out, row by row, what happened to the tub and its probes. Its
// memory does not grow with the log, and a row costs no allocation.
type Events struct {
	found  func(Event)
	tracks []track // by column, and last the temperature of the liquid
	waits  bool    // no row yet
	last   int64
	clock  int64   // time that went by; times that go back do not count
	usual  float64 // mean time from row to row
	liquid Event   // the last change of the liquid
}

// tempLeast is the smallest change of the liquid's temperature that counts, in C.
const tempLeast = 0.4

// NewEvents returns one that tells found each event when it is over, in the
// order in which that is known. An error is a column with no smallest change.
func NewEvents(columns []Column, found func(Event)) (*Events, error) {
	e := &Events{found: found, waits: true, tracks: make([]track, len(columns)+1)}
	for i, c := range columns {
		if !(c.Least > 0) || math.IsInf(c.Least, 0) {
			return nil, fmt.Errorf("%w of column %d: a smallest change of %v; want one above 0", ErrLimits, i, c.Least)
		}
		e.tracks[i].Column = c
	}
	e.tracks[len(columns)].Column = Column{Aside: true, Least: tempLeast}
	for i := range e.tracks {
		e.tracks[i].start(i, len(e.tracks))
	}
	return e, nil
}

// Row takes the next row: its time in Unix nanoseconds, the temperature of the
// liquid in C, NaN for none, and what it says of each column.
func (e *Events) Row(t int64, tempC float64, seen []Seen) {
	passed := int64(0)
	if !e.waits {
		passed = max(t-e.last, 0)
	}
	e.last, e.waits = t, false
	e.clock += passed
	if passed > 0 {
		if e.usual == 0 {
			e.usual = float64(passed)
		}
		e.usual += 0.05 * (min(float64(passed), 4*e.usual) - e.usual)
	}
	for i := range seen {
		e.take(&e.tracks[i], t, seen[i])
	}
	if !math.IsNaN(tempC) {
		e.take(&e.tracks[len(seen)], t, Seen{Reading: tempC, Value: tempC})
	}
}

func (e *Events) take(k *track, t int64, s Seen) {
	if s.State != Missing && !math.IsNaN(s.Reading) {
		e.stuck(k, t, s)
	}
	switch {
	case s.State == InAir:
		k.enterAir(t, e.clock)
	case s.State == InLiquid && !math.IsNaN(s.Value):
		e.level(k, t, s.Value)
	}
}

// Finish tells the events that go on at the end of the log.
func (e *Events) Finish() {
	for i := range e.tracks {
		k := &e.tracks[i]
		e.endRun(k)
		if k.airRows > 0 {
			e.tellAir(k)
		}
	}
}

// tell tells an event of a column; the temperature is no column, and only
// bears witness.
func (e *Events) tell(k *track, event Event) {
	if k.place == len(e.tracks)-1 {
		return
	}
	if event.To.Before(event.From) {
		event.From, event.To = event.To, event.From
	}
	event.Column = k.place
	e.found(event)
}

// tellAir tells the stretch in air that is over.
func (e *Events) tellAir(k *track) {
	e.tell(k, Event{Kind: OutOfLiquid, From: at(k.airFrom), To: at(k.airTo), Before: k.knownLevel(), After: math.NaN(), Rows: k.airRows})
	k.airRows = 0
}

func at(t int64) time.Time { return time.Unix(0, t).UTC() }
