package watch

import (
	"math"
	"time"
)

// MostBack is the most rows before one that [Dry.Next] tells to have been dry.
const MostBack = 4096

// Dry finds out, row by row, when a conductivity probe is out of the liquid.
//
// It is in one of four states. In the liquid it follows the level. Below 0.8 of
// the level the probe is falling: it may be leaving the liquid, or the liquid
// may have become weaker; nothing is said until three rows show next to nothing
// after a steep fall, or two that lie two minutes apart (one alone is a slip of the
// meter), or the reading stays where it is. In air everything low is dry. What then rises is a return: of
// the liquid where it stays, a splash where it runs off again. Rows whose case
// is settled by later ones are told as back.
type Dry struct {
	limits   DryLimits
	state    dryState
	level    float64 // of the liquid; NaN where only air was seen
	settled  bool    // the level is not one of a slow fall
	noise    float64 // mean distance of rows from the level
	pace     float64 // mean change from row to row
	above    int     // rows well above the level, one after the other
	shown    float64 // the least change from row to row, about a step of the display; 0 before one
	before   float64 // the last value in the liquid, or of a return
	topAt    int64   // clock at the last row that was not below the level
	belowTop int     // rows since then
	rows     int     // so far, while the log may have begun in air; else -1
	begun    float64 // the highest of those

	started bool
	last    int64 // time of the last row
	clock   int64 // time that went by; times that go back do not count
	at      int64 // clock at the last row at the level, or at the return
	seen    int64 // clock at the last row that had a value
	since   int   // rows since then, blank ones included, MostBack at most
	steps   int   // the same without blank ones

	deep        bool  // fell to a quarter, steeply
	deepAt      int64 // clock at the first row that did
	near        int   // rows next to nothing since the fall
	nearAt      int64 // clock at the first of them
	steady      steadiness
	air         float64 // recent peak in air
	first, peak float64 // of the return, slips left out
	sinceHigh   int     // rows since one near the peak
	rose        bool    // the return became higher after its first rows, or stayed high: no splash does
}

type dryState uint8

const (
	inLiquid dryState = iota
	falling
	inAir
	returning
)

// NewDry returns one. Limits that make no sense are an error.
func NewDry(l DryLimits) (*Dry, error) {
	if err := l.Check(); err != nil {
		return nil, err
	}
	return &Dry{limits: l, level: math.NaN()}, nil
}

// What the states go by (common practice, no source).
const (
	leaving    = 0.8                         // share of the level above which a reading is that of the liquid
	deepBelow  = 0.25                        // share to which a fall has to be steep
	halfBack   = 0.5                         // share from which on a fall is over
	rising     = 1.25                        // share above which the level moves only when rows stay there
	followMost = 0.3                         // part by which the level follows a row at most
	followRate = 1 / float64(10*time.Minute) // and by time
	learn      = 0.02                        // part by which noise and pace do

	fewRows    = 3               // rows next to nothing are enough to be dry,
	fewFor     = 2 * time.Minute // and two so far apart: one is a slip of the meter
	shortFall  = 2               // a fall of so many rows is steep however long they are
	stayRows   = 3               // rows that show that a reading stays
	splashRows = 2               // so few rows are a splash
	sharp      = 0.3             // and what does not fall to this share from one row to the next
	high       = 0.9             // of its peak: no splash stays above for
	highFor    = time.Minute     // so long
	splashFor  = 3 * time.Minute // and a liquid is there for longer
	steeper    = 4               // times the pace before that a steep fall has
	aboveNoise = 8               // times the noise that a level has to be
	told       = 2.5             // times the floor that a level has to be
	unsure     = 5               // times the floor: a log that begins below may begin in air
	surely     = 20              // times the floor: surely a liquid
	aboveAir   = 3               // times the peak in air from which on a reading rises
	aboveZero  = 0.01            // share of the level below which it never does
	airKept    = 0.97            // of the peak in air, by row
	stepMost   = 0.075           // of the level that this may be
	oneStep    = 1.5             // steps of a coarse display are next to nothing
	leastStep  = 0.002           // of the level: smaller changes are no steps
	topNoise   = 4               // times the noise below the level, or
	topShare   = 0.02            // so much of it, is where a fall begins
	noiseMost  = 0.3             // of the level: what changes more is no noise
	coarse     = 10              // steps: a value below may stay because of the display
	topFor     = 2 * time.Minute // if it was so short a time ago
)

// Next takes the next row: its time in Unix nanoseconds and the corrected value,
// NaN for one that is not there. dry tells whether the probe is out of the
// liquid, as far as this row and those before it show. back tells how many of
// the rows just before this one were out of the liquid as well, whether or not
// this one is; a program that writes rows as they come leaves back out.
func (d *Dry) Next(t int64, value float64) (dry bool, back int) {
	part := 0.0 // by which the level follows this row
	if passed := t - d.last; d.started && passed > 0 {
		d.clock += passed
		if part = float64(passed) * followRate; part > followMost {
			part = followMost
		}
	}
	d.last, d.started = t, true
	if d.rows >= 0 {
		d.rows++
	}
	if math.IsNaN(value) {
		d.since = min(d.since+1, MostBack)
		return d.state == inAir, 0
	}
	switch {
	case d.state == inAir:
		dry = d.whileDry(value)
	case d.state == returning:
		dry, back = d.comeBack(value)
	case value >= leaving*d.level:
		back = d.stay(value, part)
	case math.IsNaN(d.level):
		dry = d.begin(value)
	default:
		dry, back = d.fall(value)
	}
	d.seen = d.clock
	return dry, back
}

// begin takes the first value.
func (d *Dry) begin(value float64) bool {
	if value <= d.limits.Floor {
		d.state, d.air, d.rows = inAir, value, -1
		return true
	}
	if value > unsure*d.limits.Floor {
		d.rows = -1
	}
	d.begun = value
	d.wet(value, true)
	return false
}

// wet makes a value the level of the liquid.
func (d *Dry) wet(value float64, settled bool) {
	if value < d.level {
		d.noise *= max(value/d.level, 0)
	}
	d.state, d.level, d.settled = inLiquid, value, settled
	d.at, d.since, d.steps, d.above, d.deep, d.near = d.clock, 0, 0, 0, false, 0
	d.topAt, d.belowTop, d.before = d.clock, 0, value
	d.steady = steadiness{}
	if !settled {
		d.steady.start(value, d.clock)
	}
}

// stay takes a value of the liquid, and returns how many rows before it turn
// out to have been in air.
func (d *Dry) stay(value, part float64) (back int) {
	away := value - d.level
	if value > rising*d.level {
		if d.rows > 0 && value*d.limits.Near >= d.begun {
			// The log began with next to nothing, and there is the liquid.
			back = min(d.rows-1, MostBack)
			d.wet(value, true)
		} else if d.above++; d.above >= stayRows {
			d.wet(value, true)
		}
		if value > unsure*d.limits.Floor {
			d.rows = -1
		}
	} else {
		d.above = 0
		d.level += part * away
		size := math.Abs(away)
		if away >= -topNoise*d.noise || size <= topShare*d.level {
			d.topAt, d.belowTop = d.clock, 0
		} else if d.belowTop < MostBack {
			d.belowTop++
		}
		change := math.Abs(value - d.before)
		noise := noiseMost * d.level
		if change < noise {
			noise = change
		}
		d.noise += learn * (noise - d.noise)
		d.pace += learn * (part*away - d.pace)
		if change > leastStep*d.level && (change < d.shown || d.shown == 0) {
			d.shown = change
		}
		if !d.settled {
			d.settled = d.steady.add(value, d.clock, stayRows, 0, loose)
		}
	}
	if d.rows > 0 {
		d.begun = max(d.begun, value)
	}
	d.state, d.before = inLiquid, value
	d.at, d.since, d.steps, d.deep, d.near = d.clock, 0, 0, false, 0
	return back
}

// fall takes a value well below the level.
func (d *Dry) fall(value float64) (dry bool, back int) {
	if d.state == inLiquid {
		d.state = falling
		if d.settled {
			d.steady = steadiness{}
		}
	} else if d.near == 0 && d.steady.rows >= stayRows && value < deepBelow*d.steady.first &&
		d.steady.first >= d.limits.Back*d.level {
		// It had stayed where it was for some rows: the fall begins here.
		d.level, d.settled = d.steady.first, true
		d.at, d.since, d.steps, d.deep = d.steady.last, 0, 0, false
		d.steady = steadiness{}
	}
	d.since = min(d.since+1, MostBack)
	d.steps++
	if !d.deep {
		if !d.steep(value) {
			d.weaker(value, false)
			return false, 0
		}
		if value > deepBelow*d.level {
			d.noise += learn * (min(math.Abs(value-d.before), noiseMost*d.level) - d.noise)
			d.before = value
			if d.steady.add(value, d.clock, stayRows, briefly, loose) {
				d.weaker(value, true)
			}
			return false, 0
		}
		d.deep, d.deepAt = true, d.clock
	}
	if value <= d.nothing() {
		if d.near++; d.near == 1 {
			d.nearAt, d.air = d.clock, value
		}
		d.air = max(d.air, value)
		if d.near < fewRows && (d.near < 2 || d.clock-d.nearAt < int64(fewFor)) {
			return false, 0
		}
		d.state, d.rows = inAir, -1
		back = d.since - 1
		if d.at-d.topAt <= int64(topFor) {
			back = min(back+d.belowTop, MostBack)
		}
		return true, back
	}
	switch {
	case value > halfBack*d.level:
		// A splash, or the liquid: that would stay.
		if d.steady.add(value, d.clock, stayRows, briefly, loose) {
			d.weaker(value, true)
		}
	case d.steady.add(value, d.clock, plateauRows, d.plateau(value), tight):
		d.weaker(value, true)
	case d.steps > plateauRows && d.clock-d.deepAt > int64(d.limits.Film):
		d.weaker(value, false)
	}
	return false, 0
}

// steep tells whether a fall to a value may be one out of the liquid.
func (d *Dry) steep(value float64) bool {
	switch {
	case d.steps > shortFall && d.seen-d.at > int64(d.limits.Fall):
		return false
	case d.level < told*d.limits.Floor || d.level < aboveNoise*d.noise:
		return false
	case !d.settled && !(value <= d.limits.Floor && value < d.limits.Back*d.level):
		return false
	}
	return value > deepBelow*d.level || d.level-value >= -steeper*d.pace*float64(d.steps)
}

// plateau is how long a value has to stay to be one of a liquid.
func (d *Dry) plateau(value float64) time.Duration {
	if value < d.limits.Back*d.level || value < coarse*d.shown {
		return plateauLow
	}
	return plateauFor
}

// nothing is what is next to nothing after the level.
func (d *Dry) nothing() float64 {
	return max(d.limits.Near*d.level, min(d.limits.Floor, d.limits.Back*d.level), min(oneStep*d.shown, stepMost*d.level))
}

// weaker makes a lower value the level: it is the liquid that became weaker.
func (d *Dry) weaker(value float64, settled bool) {
	part := min(1, learn*float64(d.steps))
	d.pace += part * ((value-d.level)/float64(max(d.steps, 1)) - d.pace)
	d.wet(value, settled)
}
