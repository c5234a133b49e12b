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
			list = append(list, tick{-float64(i), clean(name)})
		}
		return list
	}
	at, decimals := roundNumbers(low*a.scale(), high*a.scale(), most)
	for _, x := range at {
		list = append(list, tick{x / a.scale(), strconv.FormatFloat(x+0, 'f', decimals, 64)})
	}
	return list
}

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
	return list, min(max(0, -int(math.Floor(math.Log10(step)+1e-9))), 12)
}

// timeSteps are the distances between ticks of an axis of dates, in calendar
// units.
var timeSteps = []struct {
	months, days int
	format       string
}{
	{0, 1, "01-02"}, {0, 2, "01-02"}, {0, 7, "01-02"}, {0, 14, "01-02"},
	{1, 0, "2006-01"}, {2, 0, "2006-01"}, {3, 0, "2006-01"}, {6, 0, "2006-01"}, {12, 0, "2006"}, {24, 0, "2006"}, {60, 0, "2006"},
}

// Days of a month, on average.
const daysPerMonth = 30.4375

// timeTicks are at most so many ticks between two moments. Days carry the year
// where it changes.
func timeTicks(from, to time.Time, most int) []tick {
	for _, s := range timeSteps {
		days := float64(s.months)*daysPerMonth + float64(s.days)
		format, room := s.format, float64(most)
		if s.months == 0 && from.Year() != to.Year() {
			format, room = time.DateOnly, 0.7*room
		}
		if to.Sub(from).Hours()/24/days > room {
			continue
		}
		var list []tick
		for at := firstTick(from, s.months); !at.After(to); at = at.AddDate(0, s.months, s.days) {
			if !at.Before(from) {
				list = append(list, tick{At(at), at.Format(format)})
			}
		}
		return list
	}
	return nil
}

// firstTick is the beginning of the day, or of the months or years, of a moment.
func firstTick(at time.Time, months int) time.Time {
	y, m, d := at.Date()
	switch {
	case months >= 12:
		years := months / 12
		return time.Date(y/years*years, 1, 1, 0, 0, 0, 0, at.Location())
	case months > 0:
		return time.Date(y, time.Month((int(m)-1)/months*months+1), 1, 0, 0, 0, 0, at.Location())
	}
	return time.Date(y, m, d, 0, 0, 0, 0, at.Location())
}
