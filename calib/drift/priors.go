package drift

import (
	"math"

	"github.com/brinemark/brinemark/calib/check"
)

// What is believed of a meter before its first check. All sizes are multiples
// of the scale of its kind (see scaleOf), so one set of figures serves every
// quantity and every unit. They are judgements, written down here to be argued
// with (common practice, no source); each is a mixture wide enough that a few
// checks move it, and the simulations of this package show what follows from
// them.
//
// Time runs in months of 30 days.

// choice is one size of a mixture with its prior probability.
type choice struct{ size, weight float64 }

// The level: how far off a meter may be.
var (
	// A meter nobody has adjusted yet, or a new probe.
	levelAtStart = []choice{{1, 0.60}, {4, 0.30}, {30, 0.10}}
	// After an adjustment the error is near zero, as far as the reference and
	// the display allow.
	levelAdjusted = []choice{{0.3, 0.60}, {1.5, 0.40}}
	// What a cleaning may move.
	levelCleaned = []choice{{0.1, 0.40}, {1, 0.60}}
)

// Many an adjustment is made at one reference alone, and what differs between
// references stays: a probability, and the level at that reference after it.
const (
	adjustedAtOne = 0.4
	levelAtOne    = 0.5
)

// rateSizes are standard deviations of the steady rate, per month.
var rateSizes = []choice{{0, 0.10}, {0.05, 0.10}, {0.15, 0.20}, {0.4, 0.30}, {1, 0.22}, {3, 0.08}}

// steadyWithin is how far a meter taken to have no steady rate may yet have one,
// as a standard deviation per month: nothing is exactly steady, and an
// uncertainty of 0 would say so.
const steadyWithin = 0.001

// motion is how the level moves beside its steady rate.
type motion struct {
	walk   float64 // standard deviation of a random walk of the level, per root month
	wander float64 // standard deviation of a random walk of the rate, per month and root month
	weight float64
}

var motions = []motion{
	{0, 0, 0.60},
	{0.05, 0, 0.07}, {0.1, 0, 0.12}, {0.2, 0, 0.12}, {0.4, 0, 0.05}, {0.8, 0, 0.02},
	{0, 0.02, 0.015}, {0, 0.06, 0.005},
}

// That a meter went straight for a year says less of whether it will for two:
// so long after its last entry, next to the time for which it was watched, the
// odds that it wanders are taken to be (1 + after/watched) to this power times
// what the checks say. The power is what lets due dates hold for wandering
// meters too (see the tables of the simulations).
const straying = 4.0

// leastWatched is the shortest time, in months, for which a meter counts as
// watched.
const leastWatched = 0.5

// noiseSizes are standard deviations of a check where its uncertainty is not,
// or not all, stated.
var noiseSizes = []choice{
	{0.03, 0.03}, {0.06, 0.10}, {0.12, 0.22}, {0.25, 0.34}, {0.5, 0.22}, {1, 0.08}, {2, 0.01},
}

// noiseFactors multiply stated standard uncertainties: people are mostly right
// about theirs, and too hopeful more often than too cautious.
var noiseFactors = []choice{{0.75, 0.06}, {1, 0.80}, {1.5, 0.10}, {2.5, 0.04}}

// secondSizes are the sizes of the second component (zero beside gain) in
// terms of the first.
var secondSizes = []choice{{0, 0.5}, {0.3, 0.25}, {1, 0.25}}

// A check may be wrong (another bottle, a misread display), and a meter may
// take a knock between two checks.
const (
	wrongCheck   = 0.02 // probability of each check
	stepsPerYear = 0.15
)

// knocks are how far a knock moves a meter: most a little, some out of all
// bounds (a cracked bulb, a fouled cell, a trim turned by mistake).
var knocks = []choice{{1.5, 0.8}, {30, 0.2}}

// wrongSizes are how far a wrong check may be off.
var wrongSizes = []choice{{3, 0.6}, {30, 0.4}}

const monthsPerYear = 365.25 / daysPerMonth

// daysPerMonth is the length of the month of a rate.
const daysPerMonth = 30.0

// scaleOf is the size of an error that is usual for a kind of meter, in the
// unit of its error (a fraction for conductivity). Common practice, no source.
func scaleOf(kind check.Kind) float64 {
	switch kind {
	case check.EC:
		return 0.03
	case check.PH:
		return 0.1
	case check.Temperature:
		return 0.5 // C
	case check.Humidity:
		return 3 // %
	case check.Oxygen:
		return 0.5 // mg/L
	case check.CO2:
		return 75 // ppm
	}
	return math.NaN() // other: from the tolerance or the errors themselves
}
