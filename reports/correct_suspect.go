package reports

import (
	"fmt"
	"math"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/tempcomp"
)

// What tells a temperature in Fahrenheit from one in C: no tub is so warm, and no
// room so cold (common practice, no source).
const (
	fahrenheitLow    = 40.0 // none is below
	fahrenheitUsual  = 45.0 // the median is above
	fahrenheitHigh   = 110.0
	fahrenheitAdvice = "look like Fahrenheit; want C, (F - 32) / 1.8"
)

// inFahrenheit tells whether temperatures that are taken for C look like it.
func inFahrenheit(t series.Typical) bool {
	return t.Low >= fahrenheitLow && t.Median >= fahrenheitUsual && t.High <= fahrenheitHigh
}

// suspectTemp warns of a column of temperatures in another unit.
func (r *Correction) suspectTemp(column string, t series.Typical) {
	if column != "" && inFahrenheit(t) {
		r.Warnings = append(r.Warnings, fmt.Sprintf("column %s: temperatures of %s to %s %s", column, shortFigure(t.Low), shortFigure(t.High), fahrenheitAdvice))
	}
}

// suspect warns of a column most of whose rows have one flag, with the likely
// reason.
func (r *Correction) suspect(c CorrectionOfColumn, plan series.Plan, probe *series.Probe, seen series.ColumnSummary, temp series.Typical) {
	for _, f := range series.Flags() {
		if n := seen.Flagged[f]; 2*n > r.Rows && f != series.Believed {
			r.Warnings = append(r.Warnings, fmt.Sprintf("column %s: %d of %s %s: %s", c.Column, n, plural(r.Rows, "row is", "rows are"), f, c.likely(f, plan, probe, seen, temp)))
		}
	}
}

// likely is the likely reason of a flag on most rows.
func (c CorrectionOfColumn) likely(f series.Flag, plan series.Plan, probe *series.Probe, seen series.ColumnSummary, temp series.Typical) string {
	switch f {
	case series.Blank:
		switch {
		case math.IsNaN(seen.Typical.Median):
			return "it holds no readings there"
		case math.IsNaN(temp.Median):
			return "column " + plan.TempColumn + ", the temperature that is needed, holds none"
		case inFahrenheit(temp):
			return "the temperatures in " + plan.TempColumn + " " + fahrenheitAdvice
		}
		limits := tempcomp.TemperatureRange()
		return fmt.Sprintf("no temperature in %s that can be used; want %g to %g %s", plan.TempColumn, limits.Low, limits.High, limits.Unit)
	case series.NotANumber:
		return "want a plain number, without a unit and without separators of thousands"
	case series.BeforeCalibration:
		return "no calibration applies that early, or one is missing after an adjustment"
	case series.Stale:
		return "the last calibration was too long ago; a new one makes them good"
	}
	if c.kind == check.Temperature && inFahrenheit(seen.Typical) {
		return "they " + fahrenheitAdvice
	}
	if unit := c.otherUnit(probe, seen.Typical.Median); unit != "" {
		low, high, _ := probe.Timeline.Covered()
		return fmt.Sprintf("readings about %s look like %s, where the calibrations cover %s to %s; want the unit of the calibrations", shortFigure(seen.Typical.Median), unit,
			shortFigure(low), strings.TrimSpace(shortFigure(high)+" "+wordOrEmpty(c.Unit)))
	}
	if f == series.Dry {
		return "was the probe in air, or are they in another unit? --dry says what it shows in air"
	}
	return "they are outside what the meter or its calibrations cover"
}

// nearRange is how far beyond the range of a calibration a reading may lie and
// still fit it.
const nearRange = 1.25

// leastShare is the share of the highest reading covered that a typical one has
// to reach: a range that begins at 0 covers next to nothing as well.
const leastShare = 0.01

// otherUnit is the unit in which readings that do not fit the calibrations
// would, or "".
func (c CorrectionOfColumn) otherUnit(probe *series.Probe, typical float64) string {
	low, high, ok := probe.Timeline.Covered()
	fits := func(x float64) bool { return x >= max(low/nearRange, high*leastShare) && x <= high*nearRange }
	if !ok || c.kind != check.EC && c.kind != "" || fits(typical) {
		return ""
	}
	for _, u := range unitsBeside(wordOrEmpty(c.Unit)) {
		if fits(typical * u.factor) {
			return u.name
		}
	}
	return ""
}

// besideUnit is a unit that readings may be in, and how many of the expected
// one it is.
type besideUnit struct {
	name   string
	factor float64
}

// usualPPM are the factors that displays in ppm commonly have.
var usualPPM = [...]float64{0.5, 0.64, 0.7}

// unitsBeside are the units that a conductivity is logged in beside the
// expected one, "" for one that nobody named.
func unitsBeside(expected string) []besideUnit {
	switch {
	case expected == "uS/cm":
		units := []besideUnit{{"mS/cm", 1000}}
		for _, f := range usualPPM {
			units = append(units, besideUnit{"ppm", 1 / f})
		}
		return units
	case expected == "mS/cm":
		units := []besideUnit{{"uS/cm", 1e-3}}
		for _, f := range usualPPM {
			units = append(units, besideUnit{"ppm", 1e-3 / f})
		}
		return units
	case strings.HasPrefix(expected, tempcomp.PPMUnit):
		var units []besideUnit
		for _, f := range usualPPM {
			units = append(units, besideUnit{"mS/cm", 1000 * f}, besideUnit{"uS/cm", f})
		}
		return units
	}
	return []besideUnit{{"another unit, a thousand times as large", 1000}, {"another unit, a thousandth as large", 1e-3}}
}
