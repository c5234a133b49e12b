package reports

import (
	"math"
	"time"
)

// ticks are round numbers between low and high, five to ten of them where
// there is room, with the decimal places they need.
func ticks(low, high float64) (list []float64, decimals int) {
	step := math.Pow(10, math.Floor(math.Log10((high-low)/5)))
	for _, m := range []float64{5, 2} {
		if (high-low)/(m*step) >= 4 {
			step *= m
			break
		}
	}
	first := math.Ceil(low/step - 1e-9)
	for k := first; k*step <= high+1e-9*step && len(list) < 100; k++ {
		list = append(list, k*step)
	}
	return list, min(max(0, -int(math.Floor(math.Log10(step)+1e-9))), 12)
}

// timeTick is a moment of the time axis with its label.
type timeTick struct {
	at   time.Time
	text string
}

// timeSteps are the distances between ticks of a time axis, in calendar units.
var timeSteps = []struct {
	months, days int
	format       string
}{
	{0, 1, "01-02"}, {0, 2, "01-02"}, {0, 7, "01-02"}, {0, 14, "01-02"},
	{1, 0, "2006-01"}, {2, 0, "2006-01"}, {3, 0, "2006-01"}, {6, 0, "2006-01"}, {12, 0, "2006"}, {24, 0, "2006"}, {60, 0, "2006"},
}

// timeTicks are at most so many ticks between two moments.
func timeTicks(from, to time.Time, most int) []timeTick {
	for _, s := range timeSteps {
		length := time.Duration(float64(s.months)*30.4375+float64(s.days)) * 24 * time.Hour
		if float64(to.Sub(from))/float64(length) > float64(most) {
			continue
		}
		format := s.format
		if s.months == 0 && from.Year() != to.Year() {
			format = dayFormat
			if float64(to.Sub(from))/float64(length) > 0.7*float64(most) {
				continue
			}
		}
		var list []timeTick
		for at := firstTick(from, s.months); !at.After(to); at = at.AddDate(0, s.months, s.days) {
			if !at.Before(from) {
				list = append(list, timeTick{at, at.Format(format)})
			}
		}
		return list
	}
	return nil
}

// firstTick is the beginning of the day, month or year of a moment.
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
