package drift

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// longGap is a time without checks over which steadiness is a mere assumption.
const longGap = 400 / daysPerMonth // months

// warn says what a person should know of the result.
func (r *Result) warn(t *timeline, o Options, skip []bool) {
	add := func(format string, args ...any) { r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...)) }
	unstated := 0
	if o.Logged {
		add("a log does not tell which of the two drifts; one reading of each in one bottle does")
	}
	for i := range t.checks {
		c := &t.checks[i]
		if c.unstated {
			unstated++
		}
		if c.sinceLast > longGap {
			add("nothing is known between %s and %s (%.1f years): that the meter went on as before is an assumption",
				day(t.checks[i-1].time), day(c.time), c.sinceLast/monthsPerYear)
		}
	}
	switch {
	case o.Logged:
	case r.N == 1:
		add("one check tells no rate: how fast the meter may drift is what such meters do")
	case r.N == 2:
		add("two checks tell little of a rate; its uncertainty rests mostly on what such meters do")
	}
	switch {
	case o.Logged:
	case unstated == r.N:
		add("%s: their size is judged by the scatter of the checks, which shows no error that all references share", t.unstatedText())
	case unstated > 0:
		add("%d of %d checks state no u_ref or no u_reading: the size of theirs is judged by the scatter", unstated, r.N)
	}
	if times, ok := t.scatter(skip); ok && times > scatterFactor {
		add("the checks scatter about %.0f times as much as their uncertainties say: state larger ones (column u_reading), or alarms and wandering may be mere scatter", times)
	}
	if since := r.Now.Sub(r.Last).Hours() / 24; since > 2*float64(r.Practice.Days) {
		add("the last check is %.0f days old: the error now is foretold, not seen", since)
	}
	r.warnWrong()
	if o.Tolerance == nil {
		add("no tolerance was given, so there is no verdict and no due date")
	}
	r.warnPlaces(t)
}

// unstatedText says what no check states.
func (t *timeline) unstatedText() string {
	refs, parts, readings := false, false, false
	for i := range t.entries {
		if e := &t.entries[i]; e.Ref != nil {
			refs = refs || e.URef == nil && len(e.Shared) == 0
			parts = parts || e.URef == nil && len(e.Shared) > 0
			readings = readings || e.UReading == nil
		}
	}
	switch {
	case !readings && !refs:
		return "every row states u_reading, but only a part of its reference's uncertainty (a temperature without its own, a bottle without)"
	case !readings:
		return "no row states u_ref in full"
	case !refs && !parts:
		return "no row states u_reading"
	}
	return "no row states both u_ref and u_reading"
}

// mayBeWrong is the probability from which a check is spoken of as one that may
// be wrong; above wrongAlarm there is an alarm instead.
const mayBeWrong = 0.1

// warnWrong speaks of checks that may be wrong, each once, however many readings
// it has.
func (r *Result) warnWrong() {
	for i := 0; i < len(r.Checks); {
		on, worst, several := day(r.Checks[i].Time), 0.0, ""
		for ; i < len(r.Checks) && day(r.Checks[i].Time) == on; i++ {
			if p := r.Checks[i].Wrong; p > mayBeWrong && p <= wrongAlarm {
				if worst > 0 {
					several = "up to "
				}
				worst = math.Max(worst, p)
			}
		}
		if worst > 0 {
			r.Warnings = append(r.Warnings, fmt.Sprintf("the check of %s may be wrong (probability %s%.0f %%)", on, several, 100*worst))
		}
	}
	if c := r.Checks[len(r.Checks)-1]; c.Wrong > 0.5 {
		r.Warnings = append(r.Warnings, "the last check does not fit those before it; repeat it with another bottle")
	}
}

// warnPlaces speaks of rows with a reading and an event whose order is not told.
func (r *Result) warnPlaces(t *timeline) {
	var rows []string
	for i := range t.entries {
		if e := &t.entries[i]; e.Event != "" && e.Ref != nil && e.State == "" {
			rows = append(rows, rowName(e))
		}
	}
	if len(rows) > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("%s: whether the reading was taken before or after the event is not told, so both are weighed; a column state (as-found, as-left) or a row of its own for the event would tell",
			strings.Join(rows, ", ")))
	}
	r.warnLeft(t)
}

// warnLeft speaks of readings as left after checks with nothing done between.
func (r *Result) warnLeft(t *timeline) {
	var rows []string
	for i := range t.entries {
		e := &t.entries[i]
		if e.Ref == nil || e.State != AsLeft {
			continue
		}
		k := i - 1
		for k >= 0 && t.entries[k].Event == "" && t.entries[k].State == AsLeft {
			k--
		}
		if k >= 0 && t.entries[k].Event == "" {
			rows = append(rows, rowName(e))
		}
	}
	if len(rows) > 0 {
		r.Warnings = append(r.Warnings, strings.Join(rows, ", ")+": read as left, but no event before it says what was done; it counts as one more check of the meter as it was")
	}
}

// errorText writes an error with its uncertainty.
func (r *Result) errorText(x, u float64) string {
	if r.Relative {
		x, u = 100*x, 100*u
	}
	places := decimals(u)
	value := strconv.FormatFloat(x, 'f', places, 64)
	if strings.Trim(value, "-0.") == "" {
		value = strings.TrimPrefix(value, "-") // what is rounded to nothing has no sign
	} else if x > 0 {
		value = "+" + value
	}
	text := value + " ± " + strconv.FormatFloat(u, 'f', places, 64)
	if r.Relative {
		text += " %"
	}
	return text
}

// where names the reference, where the error is not the same at all of them.
func (r *Result) where() string {
	if r.Zero == nil {
		return ""
	}
	return " at " + number(r.Ref)
}

// plain writes a figure to two digits.
func (r *Result) plain(x float64) string {
	unit := ""
	if r.Relative {
		x, unit = 100*x, " %"
	}
	sign := ""
	if x > 0 {
		sign = "+"
	}
	return sign + strconv.FormatFloat(x, 'f', decimals(x), 64) + unit
}

// decimals is how many decimal places show two significant digits of u.
func decimals(u float64) int {
	u = math.Abs(u)
	if u == 0 || math.IsNaN(u) || math.IsInf(u, 0) {
		return 2
	}
	return min(max(1-int(math.Floor(math.Log10(u))), 0), 9)
}
