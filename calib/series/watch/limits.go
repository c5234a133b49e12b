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
	// Back is the share of that level from which on a reading is that of a liquid.
	// One between Near and Back has to stay where it is to be one.
	Back float64
	// Fall is how long the reading may take to fall to a quarter. One with at most
	// one row between is always steep, since rows may lie far apart.
	Fall time.Duration
	// Film is how long a film of liquid on the probe may take to run off, once
	// the reading has fallen to a quarter.
	Film time.Duration
	// Floor is what a probe in air may show whatever it showed before, in the unit
	// of the readings; 0 where nobody knows. It tells where a log begins in air.
	// A level below 2.5 times Floor cannot be told from air.
	Floor float64
}

// UsualDryLimits are limits for a probe that may show floor in air (all common
// practice, no source): drips and films make a probe in air show up to 5 % of
// what it showed in the liquid, water is not changed for water of less than
// that, and no tub is flushed to a quarter within 8 minutes.
func UsualDryLimits(floor float64) DryLimits {
	return DryLimits{Near: 0.05, Back: 0.1, Fall: 8 * time.Minute, Film: 3 * time.Hour, Floor: floor}
}

// ErrLimits is wrapped by errors about limits that make no sense.
var ErrLimits = errors.New("limits")

// Check tells whether the limits make sense.
func (l DryLimits) Check() error {
	switch {
	case !(l.Near > 0 && l.Near < l.Back && l.Back < deepBelow):
		return fmt.Errorf("%w of a dry probe: near %v, back %v; want 0 < near < back < %v", ErrLimits, l.Near, l.Back, deepBelow)
	case l.Fall < 0:
		return fmt.Errorf("%w of a dry probe: a fall of %v; want 0 or more", ErrLimits, l.Fall)
	case l.Film < 0:
		return fmt.Errorf("%w of a dry probe: a film for %v; want 0 or more", ErrLimits, l.Film)
	case !(l.Floor >= 0) || math.IsInf(l.Floor, 0):
		return fmt.Errorf("%w of a dry probe: a floor of %v; want 0 or more", ErrLimits, l.Floor)
	}
	return nil
}
