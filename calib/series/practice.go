package series

import (
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
)

// UsualAlpha is the coefficient of linear compensation that is used where
// nobody names one, 2 % for each degree (common practice, no source).
const UsualAlpha = 0.02

// UsualGrowth is how a meter of a kind drifts where nothing is known of the one
// at hand: a size that most meters stay below (common practice, no source).
func UsualGrowth(kind check.Kind) Growth {
	switch kind {
	case check.EC:
		return Growth{Rate: 0.01, Relative: true}
	case check.PH:
		return Growth{Rate: 0.05}
	case check.Temperature:
		return Growth{Rate: 0.02} // C
	case check.Humidity:
		return Growth{Rate: 0.3} // %RH
	case check.Oxygen:
		return Growth{Rate: 0.1} // mg/L
	case check.CO2:
		return Growth{Rate: 10} // ppm
	}
	return Growth{Rate: 0.01, Relative: true}
}

// overdue is how many of the longest intervals of common practice a calibration
// is believed for.
const overdue = 3

// UsualStaleAfter is how long after a calibration a meter of a kind is believed
// where its own drift does not tell: three times the longest interval at which
// such meters are commonly checked.
func UsualStaleAfter(kind check.Kind) time.Duration {
	return time.Duration(overdue*drift.CommonPractice(kind).Days) * 24 * time.Hour
}

// nothing is what a conductivity probe may show in air, as a share of the
// highest reading it was calibrated for (common practice, no source): 4 uS/cm
// where that is 1413 uS/cm.
const nothing = 0.003

// UsualFloor is what a conductivity probe on this timeline may show in air; 0
// where its calibrations do not say how far they reach.
func (t *Timeline) UsualFloor() float64 {
	high := 0.0
	for _, p := range t.pieces {
		if p.High < maxReading {
			high = max(high, p.High)
		}
	}
	return nothing * high
}

// maxReading is above every reading.
const maxReading = 1e300
