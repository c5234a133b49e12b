package shelf

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
)

// What the record knows of meters whose readings stand in a table.

// Factor is the number of display units for each uS/cm of a conductivity meter:
// 1 for uS/cm, 0.001 for mS/cm, 0.5 and the like for ppm. ok is false for a
// meter of something else.
func Factor(m logbook.Meter) (factor float64, ok bool) {
	if m.Quantity != "ec" {
		return 0, false
	}
	s, err := scale(m)
	return s.Factor, err == nil
}

// WithFactor is a conductivity meter that shows another number of units for each
// uS/cm than is on record. What is on record in the unit it then does not have
// (step, range, an absolute tolerance) is dropped.
func WithFactor(m logbook.Meter, factor float64) logbook.Meter {
	m.PPMFactor, m.Resolution, m.RangeLow, m.RangeHigh = nil, nil, nil, nil
	if !m.ToleranceRelative {
		m.Tolerance = nil
	}
	switch factor {
	case tempcomp.MicroSiemens().Factor:
		m.Unit = tempcomp.MicroSiemensUnit
	case tempcomp.MilliSiemens().Factor:
		m.Unit = tempcomp.MilliSiemensUnit
	default:
		m.Unit, m.PPMFactor = tempcomp.PPMUnit, &factor
	}
	return m
}

// UnitText is a meter's unit in words, such as "ppm with factor 0.5".
func UnitText(m logbook.Meter) string {
	if m.PPMFactor != nil {
		return fmt.Sprintf("%s with factor %g", m.Unit, *m.PPMFactor)
	}
	return unitName(m)
}

// ToleranceOf is a meter's tolerance; ok is false where none is on record.
func ToleranceOf(m logbook.Meter) (t quantity.Tolerance, ok bool) {
	if m.Tolerance == nil {
		return t, false
	}
	return quantity.Tolerance{Value: *m.Tolerance, Relative: m.ToleranceRelative}, true
}

// CommonTolerance is the tolerance of those of the meters that have one on
// record, where it is one and the same; two absolute ones are only in the same
// unit. Where they are not the same, differ says which there are.
func CommonTolerance(meters []logbook.Meter) (t quantity.Tolerance, ok bool, differ string) {
	var of logbook.Meter
	var all string
	same := true
	for _, m := range meters {
		one, has := ToleranceOf(m)
		if !has {
			continue
		}
		if !ok {
			t, of, ok = one, m, true
		} else {
			all += ", "
			same = same && one == t && (one.Relative || UnitText(m) == UnitText(of))
		}
		all += m.Name + " " + one.String()
		if !one.Relative && m.Unit != "" {
			all += " " + m.Unit
		}
	}
	if !same {
		return quantity.Tolerance{}, false, all
	}
	return t, ok, ""
}

// Step is the last digit of a reading: as it was written, or the step of the
// meter's display where that is on record and is wider. fits is false for a
// reading that such a display cannot show: then it stays as it was written.
func Step(m logbook.Meter, reading, written float64) (step float64, fits bool) {
	if m.Resolution == nil || *m.Resolution <= written {
		return written, true
	}
	// What is less than this share of a step is the rounding of the arithmetic.
	const rounding = 1e-6
	steps := reading / *m.Resolution
	if math.Abs(steps-math.Round(steps)) > rounding {
		return written, false
	}
	return *m.Resolution, true
}

// OutOfRange says that a reading is at the top of what the meter can show, or
// outside it; "" where it is within, or the range is not on record.
func OutOfRange(m logbook.Meter, reading float64) string {
	switch {
	case m.RangeHigh != nil && reading > *m.RangeHigh:
		return fmt.Sprintf("its range on record ends at %g", *m.RangeHigh)
	case m.RangeHigh != nil && reading == *m.RangeHigh:
		return "its range on record ends there: the true value may be higher"
	case m.RangeLow != nil && reading < *m.RangeLow:
		return fmt.Sprintf("its range on record begins at %g", *m.RangeLow)
	}
	return ""
}
