package series

import (
	"fmt"
	"time"

	"github.com/brinemark/brinemark/calib/readings"
)

// clock reads the times of a log, as readings.ParseTime does. Most logs write
// one form of time in every row; the common ones are read here without
// allocation, the rest by the slower way.
type clock struct {
	zone *time.Location // of times without one; not nil

	date   [10]byte // the last that was read
	start  int64    // its beginning in UTC, Unix seconds
	offset int64    // of the zone's clocks all that day, in seconds
	even   bool     // false where they change about that day
}

func newClock(zone *time.Location) clock {
	if zone == nil {
		zone = time.UTC
	}
	return clock{zone: zone}
}

// read returns Unix nanoseconds.
func (c *clock) read(text []byte) (int64, error) {
	if t, ok := c.plain(text); ok {
		return t, nil
	}
	if t, ok := unixSeconds(text); ok {
		return t, nil
	}
	t, err := readings.ParseTime(string(text), c.zone)
	if err != nil {
		return 0, err
	}
	if t.Year() < firstYear || t.Year() > lastYear {
		return 0, fmt.Errorf("%q is not a time of a log; want a year from %d to %d", text, firstYear, lastYear)
	}
	return t.UnixNano(), nil
}

// Years that Unix nanoseconds hold, and no log lies outside of.
const (
	firstYear = 1700
	lastYear  = 2200
)

// endOfLastYear is the beginning of the year after it, Unix seconds.
const endOfLastYear = 7289654400

// plain reads "2026-03-01T08:30:00Z", or with a space for the T, with a fraction of
// the second or without, with Z, an offset or none; and without seconds where
// there is no offset.
func (c *clock) plain(text []byte) (int64, bool) {
	if len(text) < len("2026-03-01 08:30") || text[13] != ':' {
		return 0, false
	}
	hour, ok1 := twoDigits(text[11:])
	minute, ok2 := twoDigits(text[14:])
	if !ok1 || !ok2 || hour > 23 || minute > 59 || !c.day(text[:10]) {
		return 0, false
	}
	seconds, nanos := c.start+int64(hour*3600+minute*60), int64(0)
	rest := text[16:]
	full := len(rest) >= 3 && rest[0] == ':'
	if full {
		second, ok := twoDigits(rest[1:])
		if !ok || second > 59 {
			return 0, false
		}
		seconds += int64(second)
		if rest = rest[3:]; len(rest) > 1 && rest[0] == '.' {
			if nanos, rest, ok = fraction(rest[1:]); !ok {
				return 0, false
			}
		}
	}
	switch {
	case text[10] != 'T' && text[10] != ' ':
		return 0, false
	case len(rest) == 0 && c.even:
		return (seconds-c.offset)*1e9 + nanos, true
	case !full:
		return 0, false
	case len(rest) == 1 && rest[0] == 'Z':
		return seconds*1e9 + nanos, true
	}
	offset, ok := zoneOffset(rest)
	return (seconds-offset)*1e9 + nanos, ok
}

// day finds the beginning of a date, and what the zone's clocks do then.
func (c *clock) day(date []byte) bool {
	if string(c.date[:]) == string(date) {
		return true
	}
	day, err := time.Parse(time.DateOnly, string(date))
	if err != nil || day.Year() < firstYear || day.Year() > lastYear {
		return false
	}
	copy(c.date[:], date)
	c.start = day.Unix()
	// One offset all day, and some hours before and after: no time of the day
	// is shown twice, or never.
	const around = 4 * time.Hour
	noon := day.Add(12 * time.Hour).In(c.zone)
	_, offset := noon.Zone()
	c.offset = int64(offset)
	begin := day.Add(-time.Duration(offset) * time.Second)
	from, to := noon.ZoneBounds()
	c.even = (from.IsZero() || !from.After(begin.Add(-around))) && (to.IsZero() || !to.Before(begin.Add(24*time.Hour+around)))
	return true
}

// fraction reads the digits of a fraction of a second, nine at most.
func fraction(text []byte) (nanos int64, rest []byte, ok bool) {
	i := 0
	for ; i < len(text) && text[i] >= '0' && text[i] <= '9'; i++ {
		nanos = 10*nanos + int64(text[i]-'0')
		if i == 9 {
			return 0, nil, false
		}
	}
	for k := i; k < 9; k++ {
		nanos *= 10
	}
	return nanos, text[i:], i > 0
}

// zoneOffset reads "+01:00" as seconds.
func zoneOffset(text []byte) (int64, bool) {
	if len(text) != 6 || text[3] != ':' || text[0] != '+' && text[0] != '-' {
		return 0, false
	}
	hours, ok1 := twoDigits(text[1:])
	minutes, ok2 := twoDigits(text[4:])
	offset := int64(hours*3600 + minutes*60)
	if text[0] == '-' {
		offset = -offset
	}
	return offset, ok1 && ok2 && hours <= 23 && minutes <= 59
}

func twoDigits(text []byte) (int, bool) {
	a, b := text[0]-'0', text[1]-'0'
	return int(a)*10 + int(b), a <= 9 && b <= 9
}

// unixSeconds reads ten digits: whole seconds since 2001.
func unixSeconds(text []byte) (int64, bool) {
	if len(text) != 10 {
		return 0, false
	}
	var n int64
	for _, c := range text {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = 10*n + int64(c-'0')
	}
	return n * 1e9, n >= 1e9 && n < endOfLastYear
}
