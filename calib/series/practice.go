package series

import (
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
)

// UsualAlpha is the coefficient of linear compensation that is used where
// nobody names one, 2 % for each degree (common practice, no source).
const UsualAlpha = 0.02

// UsualGrowth is how a meter of a kind drifts where nothing is known of the one
// at hand (common practice, no source).
func UsualGrowth(kind check.Kind) Growth {
	switch kind {
	case check.PH:
		return Growth{Rate: 0.1, Walk: 0.03}
	case check.Temperature:
		return Growth{Rate: 0.02, Walk: 0.02} // C
	case check.Humidity:
		return Growth{Rate: 0.5, Walk: 0.2} // %RH
	case check.Oxygen:
		return Growth{Rate: 0.2, Walk: 0.05} // mg/L
	case check.CO2:
		return Growth{Rate: 15, Walk: 5} // ppm
	}
	return Growth{Rate: 0.02, Walk: 0.005, Relative: true} // conductivity, and what nobody named
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

// UsualFloor is the most a conductivity probe on this timeline may come to in
// air once it is corrected; 0 where its calibrations do not say how far they
// reach.
func (t *Timeline) UsualFloor() float64 {
	high := 0.0
	for _, p := range t.pieces {
		if p.High < maxReading {
			high = max(high, p.High)
		}
	}
	return t.InAir(nothing * high)
}

// Covered returns the lowest and the highest reading that a calibration covers;
// ok is false where none says how far it reaches.
func (t *Timeline) Covered() (low, high float64, ok bool) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range t.pieces {
		if p.Low > -maxReading && p.High < maxReading {
			low, high = min(low, p.Low), max(high, p.High)
		}
	}
	return low, high, low <= high
}

// InAir is the highest value that a reading in air is ever corrected to: a
// display that cannot go below zero makes of a meter that shows too little
// everywhere one whose corrected air is above zero.
func (t *Timeline) InAir(reading float64) float64 {
	value := reading
	for _, p := range t.pieces {
		value = max(value, p.Intercept+p.Slope*reading)
	}
	return value
}

// maxReading is above every reading.
const maxReading = 1e300
