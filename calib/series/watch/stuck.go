package watch

import (
	"time"
)

// run is a stretch of rows with one and the same reading.
type run struct {
	reading   float64
	value     float64
	from, to  int64
	fromClock int64
	toClock   int64
	rows      int64
	runs      int     // that ended so far, up to a bound
	usual     float64 // about the longest run lately
	changes   int64   // of the reading, ever
	others    []int64 // changes of the other columns when it began
	wasStuck  bool    // the last run was one of a stuck sensor
}

// When a reading is stuck (common practice, no source): a display with coarse
// steps stays where it is for hours as well, so that a run has to be far longer
// than those before it.
const (
	stuckFor     = 3 * time.Hour // with others that move
	stuckRows    = 12
	stuckTimes   = 6             // times the longest run lately
	stuckAlone   = 6 * time.Hour // without
	aloneTimes   = 12
	knownRuns    = 20   // runs after which the usual length is known
	usualKept    = 0.98 // of it, by run
	othersChange = 12   // changes of another column that moves
)

// stuck takes a reading for the runs.
func (e *Events) stuck(k *track, t int64, s Seen) {
	r := &k.run
	if r.rows > 0 && s.Reading == r.reading && s.State == InLiquid {
		r.rows++
		r.to, r.toClock = t, e.clock
		return
	}
	r.changes++
	e.endRun(k)
	if s.State != InLiquid {
		return
	}
	r.reading, r.value, r.from, r.to, r.fromClock, r.toClock, r.rows = s.Reading, s.Value, t, t, e.clock, e.clock, 1
	for i := range e.tracks {
		r.others[i] = e.tracks[i].run.changes
	}
}

// endRun ends a run, and tells it where the sensor was stuck.
func (e *Events) endRun(k *track) {
	r := &k.run
	if r.rows == 0 {
		return
	}
	long := float64(r.toClock - r.fromClock)
	r.wasStuck = e.isStuck(k, long)
	if r.wasStuck {
		e.tell(k, Event{Kind: Stuck, From: at(r.from), To: at(r.to), Before: r.value, After: r.value, Rows: r.rows})
	} else {
		r.usual = max(long, usualKept*r.usual)
		r.runs = min(r.runs+1, knownRuns)
	}
	r.rows = 0
}

func (e *Events) isStuck(k *track, long float64) bool {
	r := &k.run
	if r.runs < knownRuns || r.rows < stuckRows {
		return false
	}
	if long >= float64(stuckAlone) && long >= aloneTimes*r.usual {
		return true
	}
	if long < float64(stuckFor) || long < stuckTimes*r.usual {
		return false
	}
	for i := range e.tracks {
		if o := &e.tracks[i]; o != k && o.run.changes-r.others[i] >= othersChange {
			return true
		}
	}
	return false
}
