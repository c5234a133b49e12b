package logbook

import (
	"slices"
	"strings"
	"time"
)

// sameReadings tells that two calibrations are of the same meter, time and state,
// and rest on the same readings of the same references. Where an uncertainty came
// from (RefParts), notes and identities do not matter.
func (c Calibration) sameReadings(other Calibration) bool {
	return strings.EqualFold(c.Meter, other.Meter) && sameTime(c.Time, other.Time) && c.State == other.State &&
		c.Quantity == other.Quantity && c.Unit == other.Unit && slices.EqualFunc(c.Readings, other.Readings, Reading.same)
}

// same compares two readings, but for the parts of an uncertainty.
func (r Reading) same(other Reading) bool {
	return r.Ref == other.Ref && r.Reading == other.Reading && sameFigure(r.URef, other.URef) && r.RefSource == other.RefSource &&
		sameFigure(r.URefShared, other.URefShared) && sameFigure(r.UReading, other.UReading) && sameFigure(r.TempC, other.TempC) &&
		r.Bottle == other.Bottle && strings.EqualFold(r.BottleID, other.BottleID) && sameTime(r.Time, other.Time) && sameFigure(r.MV, other.MV)
}

// Twin tells that two calibrations have the same readings and the same line: that
// one was saved twice.
func (c Calibration) Twin(other Calibration) bool {
	return c.sameReadings(other) && c.Method == other.Method && c.Intercept == other.Intercept && c.Slope == other.Slope &&
		sameFigure(c.UIntercept, other.UIntercept) && sameFigure(c.USlope, other.USlope) && sameFigure(c.Cov, other.Cov)
}

// once leaves out, of calibrations by time, those that were saved before: whoever
// asks what holds asks for each once. Twins come from a command given twice,
// from two phones, and where one row takes the place of several.
func once(s Scope, list []Calibration) []Calibration {
	if s == All {
		return list
	}
	var out []Calibration
	for _, c := range list {
		twin := false
		for _, other := range slices.Backward(out) {
			if twin = c.Twin(other); twin || other.Time.Before(c.Time) {
				break
			}
		}
		if !twin {
			out = append(out, c)
		}
	}
	return out
}

// sameTime compares times as they are kept, in whole microseconds.
func sameTime(a, b time.Time) bool {
	return a.Truncate(time.Microsecond).Equal(b.Truncate(time.Microsecond))
}

func sameFigure(a, b *float64) bool {
	return a == nil && b == nil || a != nil && b != nil && *a == *b
}
