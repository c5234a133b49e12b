package series

import (
	"fmt"
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/quantity"
)

// Growth is how the uncertainty of a line grows with the time since its
// calibration: the meter drifts, nobody knows which way it went since, and the
// line is held.
type Growth struct {
	// Rate is the size of the drift in 30 days, its own uncertainty included: a
	// fraction of the reference where Relative, else in the unit of the readings.
	Rate float64
	// Walk is the size of what wanders beside it, per root of 30 days.
	Walk     float64
	Relative bool
}

// check tells what is wrong with a growth.
func (g Growth) check() error {
	for _, size := range []float64{g.Rate, g.Walk} {
		if !(size >= 0) || math.IsInf(size, 0) {
			return fmt.Errorf("a drift of %v in 30 days and %v per root of 30 days; want sizes of 0 or more", g.Rate, g.Walk)
		}
	}
	return nil
}

// daysPerMonth is the length of the month of a rate.
const daysPerMonth = 30

// variance returns the coefficients of the variance that a number of days adds.
func (g Growth) variance() Quadratic {
	return Quadratic{0, g.Walk * g.Walk / daysPerMonth, g.Rate * g.Rate / (daysPerMonth * daysPerMonth)}
}

// DriftGrowth is the growth that a meter's own checks tell: from the rate at
// their last, its uncertainty, and what the meter may wander. ok is false where
// the checks lie within a day, and so tell no drift.
func DriftGrowth(r *drift.Result) (g Growth, ok bool) {
	for _, c := range r.Checks {
		ok = ok || c.Time.Sub(r.Checks[0].Time) >= 24*time.Hour
	}
	return Growth{Rate: math.Hypot(r.Rate.Value, r.Rate.U), Walk: r.Walk, Relative: r.Relative}, ok
}

// Reaches is the time after a calibration at which drift alone has moved a
// value by more than a limit (as Growth counts: a fraction where it is Relative)
// with a probability of 5 %. It is 0 for a limit that is never reached.
func (g Growth) Reaches(limit float64) time.Duration {
	// rate² d² + walk² d = (limit / 1.96)², in months
	a, b, c := g.Rate*g.Rate, g.Walk*g.Walk, -limit*limit/(normal95*normal95)
	months := math.Inf(1)
	switch {
	case a > 0:
		months = 2 * -c / (b + math.Sqrt(b*b-4*a*c))
	case b > 0:
		months = -c / b
	}
	if nanos := months * daysPerMonth * nanosPerDay; nanos < math.MaxInt64 {
		return time.Duration(nanos)
	}
	return 0
}

// LimitFor is a tolerance as the limit of a growth that counts the other way,
// where it is strictest among the readings of a line: an absolute one as a
// fraction of the largest, a fraction as a size at the smallest. ok is false where
// that says nothing.
func LimitFor(t quantity.Tolerance, l Line, relative bool) (limit float64, ok bool) {
	ends := []float64{math.Abs(l.Intercept + l.Slope*l.Low), math.Abs(l.Intercept + l.Slope*l.High)}
	limit = t.Value * min(ends[0], ends[1])
	if relative {
		limit = t.Value / max(ends[0], ends[1])
	}
	return limit, limit > 0 && !math.IsInf(limit, 0)
}

// normal95 is half the width of a normal distribution's 95 % interval.
const normal95 = 1.959963984540054

// Quadratic is a function of a time in days, q[0] + q[1]·d + q[2]·d².
type Quadratic [3]float64

// At returns the value after d days.
func (q Quadratic) At(d float64) float64 { return q[0] + d*(q[1]+d*q[2]) }

func (q Quadratic) plus(r Quadratic) Quadratic {
	return Quadratic{q[0] + r[0], q[1] + r[1], q[2] + r[2]}
}

func (q Quadratic) times(k float64) Quadratic { return Quadratic{k * q[0], k * q[1], k * q[2]} }

// backwards returns the function of the days before the end of a stretch, as
// one of the days since its beginning.
func (q Quadratic) backwards(length float64) Quadratic {
	return Quadratic{q.At(length), -q[1] - 2*q[2]*length, q[2]}
}

// nanosPerDay turns times into days.
const nanosPerDay = float64(24 * time.Hour)

// days is the length of a stretch of Unix nanoseconds, in days.
func days(from, to int64) float64 { return float64(to-from) / nanosPerDay }
