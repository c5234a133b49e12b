package series

import "time"

// Growth is how the uncertainty of a line grows with the time since its
// calibration: the meter drifts, nobody knows which way it went since, and the
// line is held.
type Growth struct {
	// Rate is the size of the drift in 30 days, its own uncertainty included: a
	// fraction of the reading where Relative, else in the unit of the readings.
	Rate float64
	// Walk is the size of what wanders beside it, per root of 30 days.
	Walk     float64
	Relative bool
}

// daysPerMonth is the length of the month of a rate.
const daysPerMonth = 30

// variance returns the coefficients of the variance that a number of days adds.
func (g Growth) variance() Quadratic {
	return Quadratic{0, g.Walk * g.Walk / daysPerMonth, g.Rate * g.Rate / (daysPerMonth * daysPerMonth)}
}

// Quadratic is a function of a time in days, q[0] + q[1]·d + q[2]·d².
type Quadratic [3]float64

// At returns the value after d days.
func (q Quadratic) At(d float64) float64 { return q[0] + d*(q[1]+d*q[2]) }

func (q Quadratic) plus(r Quadratic) Quadratic {
	return Quadratic{q[0] + r[0], q[1] + r[1], q[2] + r[2]}
}

// from returns the same function of the days since a moment that lies so many
// days after the first.
func (q Quadratic) from(days float64) Quadratic {
	return Quadratic{q.At(days), q[1] + 2*q[2]*days, q[2]}
}

// backwards returns the function of the days before the end of a stretch, as
// one of the days since its beginning.
func (q Quadratic) backwards(length float64) Quadratic {
	return Quadratic{q.At(length), -q[1] - 2*q[2]*length, q[2]}
}

// nanosPerDay turns times into days.
const nanosPerDay = float64(24 * time.Hour)

// days is the length of a stretch of Unix nanoseconds, in days.
func days(from, to int64) float64 { return float64(to-from) / nanosPerDay }
