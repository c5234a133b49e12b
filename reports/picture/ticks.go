package picture

import (
	"math"
	"strconv"
	"time"
)

// ticks are at most so many places of an axis, with their labels.
func (a Axis) ticks(low, high float64, most int) []tick {
	if a.Zone != nil {
		return timeTicks(a.moment(low), a.moment(high), most)
	}
	var list []tick
	if a.Names != nil {
		for i, name := range a.Names {
			list = append(list, tick{-float64(i), name})
		}
		return list
	}
	at, decimals := roundNumbers(low*a.scale(), high*a.scale(), most)
	for _, x := range at {
		list = append(list, tick{x / a.scale(), figure(x, at, decimals)})
	}
	return list
}

// Labels have at most so many digits before or behind the point; others get an
// exponent.
const mostDigits = 7

// figure is a label among others, with the digits that tell them apart.
func figure(x float64, all []float64, decimals int) string {
	largest := math.Max(math.Abs(all[0]), math.Abs(all[len(all)-1]))
	if largest < math.Pow10(mostDigits) && decimals <= mostDigits {
		return strconv.FormatFloat(x+0, 'f', decimals, 64) // + 0 takes the sign off a zero
	}
	if x == 0 {
		return "0"
	}
	digits := 1
	if len(all) > 1 {
		digits += max(0, decade(largest)-decade(all[1]-all[0]))
	}
	return strconv.FormatFloat(x, 'g', min(digits, 15), 64)
}

// decade is the power of ten at the first digit of a number.
func decade(x float64) int { return int(math.Floor(math.Log10(x) + 1e-9)) }

// roundNumbers lie between low and high, four to ten of them or at most so many
// where that is less, with the decimal places they need.
func roundNumbers(low, high float64, most int) (list []float64, decimals int) {
	ten := math.Pow(10, math.Floor(math.Log10((high-low)/5)))
	step := ten
	for _, m := range []float64{5, 2} {
		if (high-low)/(m*ten) >= 4 {
			step = m * ten
			break
		}
	}
	for i, m := 0, []float64{1, 2, 5, 10, 20, 50, 100}; i < len(m) && (high-low)/step >= float64(max(most, 2)); i++ {
		step = max(step, m[i]*ten)
	}
	first := math.Ceil(low/step - 1e-9)
	for k := first; k*step <= high+1e-9*step && len(list) < 100; k++ {
		list = append(list, k*step)
	}
	return list, max(0, -decade(step))
}

// timeStep is a distance between ticks of an axis of dates.
type timeStep struct {
	months, days int
	clock        time.Duration
	format       string
}

// timeSteps are the distances between ticks of an axis of dates: times of a
// day, or calendar units.
var timeSteps = []timeStep{
	{0, 0, time.Second, clockSeconds}, {0, 0, 5 * time.Second, clockSeconds}, {0, 0, 15 * time.Second, clockSeconds}, {0, 0, 30 * time.Second, clockSeconds},
	{0, 0, time.Minute, clockTime}, {0, 0, 2 * time.Minute, clockTime}, {0, 0, 5 * time.Minute, clockTime}, {0, 0, 10 * time.Minute, clockTime},
	{0, 0, 15 * time.Minute, clockTime}, {0, 0, 30 * time.Minute, clockTime}, {0, 0, time.Hour, clockTime}, {0, 0, 2 * time.Hour, clockTime},
	{0, 0, 3 * time.Hour, clockTime}, {0, 0, 6 * time.Hour, clockTime}, {0, 0, 12 * time.Hour, clockTime},
	{0, 1, 0, dayOfYear}, {0, 2, 0, dayOfYear}, {0, 7, 0, dayOfYear}, {0, 14, 0, dayOfYear},
	{1, 0, 0, "2006-01"}, {2, 0, 0, "2006-01"}, {3, 0, 0, "2006-01"}, {6, 0, 0, "2006-01"},
	{12, 0, 0, "2006"}, {24, 0, 0, "2006"}, {60, 0, 0, "2006"}, {120, 0, 0, "2006"}, {600, 0, 0, "2006"}, {1200, 0, 0, "2006"},
}

// clockDays is the longest span, in days, on which times of the day are of use.
const clockDays = 2

// weekDays is the longest span, in days, that is told in weeks, not in months.
const weekDays = 92

const clockSeconds, clockTime, dayOfYear = "15:04:05", "15:04", "01-02"

// Days of a month, on average.
const daysPerMonth = 30.4375

// stepOf is the least distance at which there are at most so many ticks between
// two moments; ok is false where there is none.
func stepOf(from, to time.Time, most int) (step timeStep, ok bool) {
	for _, s := range timeSteps {
		days := float64(s.months)*daysPerMonth + float64(s.days) + s.clock.Hours()/24
		room := float64(most)
		if s.clock > 0 {
			room *= 0.8
		}
		span := to.Sub(from).Hours() / 24
		if span/days > room || s.clock > 0 && span > clockDays || s.days > 7 && span > weekDays {
			continue
		}
		return s, true
	}
	return timeStep{}, false
}

// timeTicks are at most so many ticks between two moments. The first day of a
// year that is shown carries the year. Of times of a day the first carries its
// date, and midnight is written as the day that begins.
func timeTicks(from, to time.Time, most int) (list []tick) {
	s, ok := stepOf(from, to, most)
	if !ok {
		return nil
	}
	year := 0
	for at := firstTick(from, s.months, s.clock); !at.After(to); at = at.AddDate(0, s.months, s.days).Add(s.clock) {
		if at.Before(from) {
			continue
		}
		text := at.Format(s.format)
		switch {
		case s.clock > 0:
			text = clockText(at, s.format, len(list) == 0)
		case s.days > 0 && (len(list) == 0 || at.Year() != year):
			text = at.Format(time.DateOnly)
		}
		year = at.Year()
		list = append(list, tick{At(at), text})
	}
	return list
}

// timeName is what an axis of dates shows: days and more, or times of a day, and
// in which zone.
func timeName(from, to time.Time, most int) string {
	if s, ok := stepOf(from, to, most); !ok || s.clock == 0 {
		return dateName
	}
	zone := zoneName(from)
	if other := zoneName(to); other != zone {
		zone += "/" + other
	}
	return "time, " + zone
}

// dateName is the name of an axis of days, months or years. A terminal, where a
// row counts, leaves it out: the labels say as much.
const dateName = "date"

// zoneName is the abbreviation of the zone at a moment, or its distance from UTC
// where it has none.
func zoneName(at time.Time) string {
	name, offset := at.Zone()
	switch {
	case name == "" && offset == 0:
		return "UTC"
	case name == "" || name[0] == '+' || name[0] == '-':
		return at.Format("UTC-07:00")
	}
	return name
}

// clockText is a time of a day.
func clockText(at time.Time, format string, first bool) string {
	y, m, d := at.Date()
	switch midnight := at.Equal(time.Date(y, m, d, 0, 0, 0, 0, at.Location())); {
	case midnight && first:
		return at.Format(time.DateOnly)
	case midnight:
		return at.Format(dayOfYear)
	case first:
		return at.Format(time.DateOnly + " " + format)
	}
	return at.Format(format)
}

// firstTick is the beginning of the day, or of the months or years, of a moment,
// or the last time of that day at a whole number of steps.
func firstTick(at time.Time, months int, clock time.Duration) time.Time {
	y, m, d := at.Date()
	day := time.Date(y, m, d, 0, 0, 0, 0, at.Location())
	switch {
	case clock > 0:
		return day.Add(at.Sub(day).Truncate(clock))
	case months >= 12:
		years := months / 12
		return time.Date(y/years*years, 1, 1, 0, 0, 0, 0, at.Location())
	case months > 0:
		return time.Date(y, time.Month((int(m)-1)/months*months+1), 1, 0, 0, 0, 0, at.Location())
	}
	return day
}
