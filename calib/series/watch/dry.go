package watch

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// DryLimits say when a conductivity probe is taken to be out of the liquid. In
// air it shows next to nothing, and it comes there and back in no time: a level
// falls past a probe, or somebody lifts it out. A liquid that is diluted goes
// down slowly, or not that far.
type DryLimits struct {
	// Near is the share of the level before the fall below which a reading is
	// next to nothing.
	Near float64
	// Back is the share of that level above which the probe is in the liquid
	// again.
	Back float64
	// Fall is how long a steep fall may take. One with at most three rows between
	// is always steep.
	Fall time.Duration
	// Floor is what a reading of nothing may be, in the unit of the readings:
	// it decides where the log begins in air, and no level below 20 times Floor
	// can be told from air.
	Floor float64
}

// UsualDryLimits are limits for a probe whose reading of nothing is floor or
// less. Drips and films of liquid make a probe in air show 1 or 2 % of what it
// showed in the liquid, and take some minutes to run off.
func UsualDryLimits(floor float64) DryLimits {
	return DryLimits{Near: 0.03, Back: 0.1, Fall: 30 * time.Minute, Floor: floor}
}

// ErrLimits is wrapped by errors about limits that make no sense.
var ErrLimits = errors.New("limits")

// Check tells whether the limits make sense.
func (l DryLimits) Check() error {
	switch {
	case !(l.Near > 0 && l.Near < l.Back && l.Back < 1):
		return fmt.Errorf("%w of a dry probe: near %v, back %v; want 0 < near < back < 1", ErrLimits, l.Near, l.Back)
	case l.Fall < 0:
		return fmt.Errorf("%w of a dry probe: a fall of %v; want 0 or more", ErrLimits, l.Fall)
	case !(l.Floor >= 0) || math.IsInf(l.Floor, 0):
		return fmt.Errorf("%w of a dry probe: a floor of %v; want 0 or more", ErrLimits, l.Floor)
	}
	return nil
}

// MostBack is the most rows before one that [Dry.Next] tells to have been dry.
const MostBack = 1024

// Dry finds out, row by row, when a conductivity probe is out of the liquid.
type Dry struct {
	limits DryLimits
	level  float64 // of the liquid; NaN before the first wet row
	wetAt  int64   // of the last row at the level
	since  int     // rows since then
	dry    bool
	steady steadiness
}

// NewDry returns one. Limits that make no sense are an error.
func NewDry(l DryLimits) (*Dry, error) {
	if err := l.Check(); err != nil {
		return nil, err
	}
	return &Dry{limits: l, level: math.NaN()}, nil
}

// Shares of the level: above leaving, a reading is that of the liquid; the level
// follows it by a part in each row.
const (
	leaving = 0.8
	follow  = 0.1
)

// fallRows are the rows that a fall may take however long they are: a few
// that a film, or the probe's own averaging, leaves between the two levels.
const fallRows = 3

// least is the level, in floors, that can be told from air.
const least = 20

// Next takes the next row: its time in Unix nanoseconds and the corrected value,
// NaN for one that is not there. dry tells whether the probe was out of the
// liquid, and back how many of the rows just before it were on the fall, and so
// out of the liquid as well; a program that writes rows as they come leaves back
// out.
func (d *Dry) Next(t int64, value float64) (dry bool, back int) {
	if math.IsNaN(value) {
		if d.since < MostBack {
			d.since++
		}
		return d.dry, 0
	}
	if math.IsNaN(d.level) {
		d.begin(t, value)
		return d.dry, 0
	}
	if d.dry {
		return d.whileDry(t, value), 0
	}
	if value >= leaving*d.level {
		d.level += follow * (value - d.level)
		d.wetAt, d.since, d.steady = t, 0, steadiness{}
		return false, 0
	}
	near := d.limits.Near * d.level
	steep := d.since <= fallRows || t-d.wetAt <= int64(d.limits.Fall)
	if value <= max(near, d.limits.Floor) && steep && d.level >= least*d.limits.Floor {
		d.dry = true
		d.steady = steadiness{}
		return true, min(d.since, MostBack)
	}
	if !steep || d.steady.add(t, value) {
		// Lower for longer than a fall, or lower to stay: it is the liquid that
		// is weaker.
		d.level, d.wetAt, d.since, d.steady = value, t, 0, steadiness{}
		return false, 0
	}
	d.since++
	return false, 0
}

// begin takes the first value.
func (d *Dry) begin(t int64, value float64) {
	if d.dry = value <= d.limits.Floor; !d.dry {
		d.level, d.wetAt, d.since = value, t, 0
	}
}

// whileDry takes a value after the probe left the liquid.
func (d *Dry) whileDry(t int64, value float64) bool {
	if math.IsNaN(d.level) {
		// The log began in air.
		if d.dry = value <= least*d.limits.Floor; !d.dry {
			d.level, d.wetAt, d.since = value, t, 0
		}
		return d.dry
	}
	if value >= d.limits.Back*d.level || value > d.limits.Near*d.level && d.steady.add(t, value) {
		d.dry = false
		d.level, d.wetAt, d.since = value, t, 0
	}
	return d.dry
}

// steadiness tells whether values stay where they are: a weak liquid does, a
// film that runs off does not.
type steadiness struct {
	first float64
	since int64
	rows  int
}

// What is steady stays within a share of its value for so many rows, and so
// long.
const (
	steadyWithin = 0.05
	steadyRows   = 3
	steadyFor    = 3 * time.Minute
)

func (s *steadiness) add(t int64, value float64) bool {
	if s.rows == 0 || math.Abs(value-s.first) > steadyWithin*s.first {
		*s = steadiness{first: value, since: t}
	}
	s.rows++
	return s.rows >= steadyRows && t-s.since >= int64(steadyFor)
}
