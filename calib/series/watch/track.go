package watch

import (
	"math"
	"time"
)

// track follows one column: its level while nothing happens, a change while it
// goes on, and the run of one reading.
type track struct {
	Column
	place int

	level, noise float64 // noise is the mean distance from the level
	rows         int     // calm rows so far, up to a bound
	shown        float64 // the least change from row to row
	before       float64 // the last value
	calmAt       int64   // time of the last calm row
	calmClock    int64
	recent       float64 // the level of the last minutes
	steps        float64 // mean change from row to row
	steppedAt    int64   // clock at the last row that changed by far more

	change change

	airRows        int64 // of the stretch in air that is not told yet
	airFrom, airTo int64
	airClock       int64

	run run
}

// change is one that goes on.
type change struct {
	open       bool
	from       int64 // time of the last calm row
	start      int64 // of the first row that departed
	startClock int64
	gap        int64 // clock from the calm row to it
	first      float64
	afterAir   bool
	afterRun   bool // the reading had been stuck
	rows       int64
	home       int // rows back at the old level, one after the other

	mean    float64 // of the rows that stay
	stay    int
	stayAt  int64
	stayed  int64   // clock at the first of them
	witness []other // the other columns when it began
}

// other is what another column was when a change began.
type other struct {
	level, noise float64
	known        bool
}

const (
	calmRows   = 8                // rows after which a level is known
	levelTime  = 20 * time.Minute // by which the level follows
	recentTime = 4 * time.Minute  // by which the recent level does
	mostPart   = 0.5              // part by which one row moves them at most
	stepTimes  = 4                // times the mean change of a row that stands out
	departs    = 6                // times the noise that a departure has
	settleRows = 4                // rows, and
	settleFor  = 10 * time.Minute // time, in which a new level stays
	tooSlow    = 3 * time.Hour    // what takes longer is no event
	homeRows   = 3                // rows back at the old level end a change
)

func (k *track) start(place, tracks int) {
	k.place = place
	k.level, k.recent, k.before = math.NaN(), math.NaN(), math.NaN()
	k.steppedAt = math.MinInt64 / 2
	k.change.witness = make([]other, tracks)
	k.run.others = make([]int64, tracks)
}

// least is the smallest change worth telling, at the level: a display with coarse
// steps has to move by more than two of them.
func (k *track) least() float64 {
	return max(k.asked(), 2.5*k.shown)
}

func (k *track) asked() float64 {
	if k.Relative {
		return k.Least * math.Abs(k.level)
	}
	return k.Least
}

func (k *track) knownLevel() float64 {
	if k.rows < calmRows/2 {
		return math.NaN()
	}
	return k.level
}

// forget has the level learnt anew from a value.
func (k *track) forget(value float64) {
	k.level, k.recent, k.rows, k.change.open = value, value, 0, false
}

// level takes a value of the liquid.
func (e *Events) level(k *track, t int64, value float64) {
	passed := float64(e.clock - k.calmClock)
	switch {
	case k.airRows > 0 && !k.change.open:
		e.depart(k, t, value, true)
	case math.IsNaN(k.level) || passed > float64(forgotten) && !k.change.open:
		k.forget(value)
		k.calm(e, t, value, 0)
	case k.change.open:
		e.follow(k, t, value)
	case k.rows >= calmRows && math.Abs(value-k.level) > max(departs*k.noise, k.least()):
		e.depart(k, t, value, false)
	default:
		k.calm(e, t, value, passed)
	}
	if step := math.Abs(value - k.before); !math.IsNaN(step) {
		if step > 1e-3*math.Abs(value) && step <= 2*k.asked() && (step < k.shown || k.shown == 0) {
			k.shown = step
		}
		if step > max(stepTimes*k.steps, k.least()/2) {
			k.steppedAt = e.clock
			step = stepTimes * k.steps
		}
		k.steps += 0.05 * (step - k.steps)
	}
	k.before = value
}

// calm takes a value while nothing happens.
func (k *track) calm(e *Events, t int64, value, passed float64) {
	away := value - k.level
	k.rows = min(k.rows+1, 1<<20)
	part := max(min(mostPart, passed/float64(levelTime)), 1/float64(k.rows))
	k.level += part * away
	k.recent += min(mostPart, passed/float64(recentTime)) * (value - k.recent)
	k.noise += max(0.01, 1/float64(k.rows+1)) * (math.Abs(away) - k.noise)
	k.calmAt, k.calmClock = t, e.clock
}

// depart opens a change.
func (e *Events) depart(k *track, t int64, value float64, afterAir bool) {
	c := &k.change
	witness := c.witness
	*c = change{
		open: true, from: k.calmAt, start: t, startClock: e.clock, gap: e.clock - k.calmClock, first: value,
		afterAir: afterAir, afterRun: k.run.wasStuck, rows: 1, mean: value, stay: 1, stayAt: t, stayed: e.clock, witness: witness,
	}
	if afterAir {
		c.from = k.airTo
	}
	k.run.wasStuck = false
	k.recent = value
	for i := range e.tracks {
		o := &e.tracks[i]
		witness[i] = other{o.level, o.noise, o.rows >= calmRows && e.clock-o.calmClock < int64(forgotten)}
		if o.change.open && o != k {
			witness[i] = other{o.level, o.noise, o.rows >= calmRows}
		}
	}
}

// follow takes a value while a change goes on.
func (e *Events) follow(k *track, t int64, value float64) {
	c := &k.change
	c.rows++
	k.recent += mostPart * (value - k.recent)
	limit := max(departs*k.noise, k.least())
	if !c.afterAir {
		if math.Abs(value-k.level) <= limit/2 {
			if c.home++; c.home >= homeRows {
				c.open = false
				k.calm(e, t, value, 0)
				return
			}
		} else {
			c.home = 0
		}
	}
	if math.Abs(value-c.mean) > max(4*k.noise, k.least()/2) {
		c.mean, c.stay, c.stayAt, c.stayed = value, 0, t, e.clock
	}
	c.stay++
	c.mean += (value - c.mean) / float64(c.stay)
	switch {
	case c.stay >= settleRows && e.clock-c.stayed >= int64(settleFor):
		e.settle(k, t)
	case e.clock-c.startClock > int64(tooSlow) && c.rows > 3*settleRows:
		if c.afterAir {
			e.tellAir(k)
		}
		k.forget(value)
		k.calm(e, t, value, 0)
	}
}

// enterAir takes a row out of the liquid.
func (k *track) enterAir(t, clock int64) {
	if k.airRows == 0 {
		k.airFrom = t
		if c := &k.change; c.open && !c.afterAir && c.first < k.level && clock-c.startClock < int64(tooSlow) {
			// The fall was under way: flags that look back only say so later.
			k.airFrom, k.airRows = c.start, c.rows
		}
	} else if k.change.open {
		k.airRows += k.change.rows // what came in between was a splash
	}
	k.airRows++
	k.airTo, k.airClock = t, clock
	k.change.open = false
}
