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
	utc  bool

	day   [10]byte // the last date that was read
	start int64    // its beginning, Unix seconds UTC
}

func newClock(zone *time.Location) clock {
	if zone == nil {
		zone = time.UTC
	}
	return clock{zone: zone, utc: zone == time.UTC}
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

// plain reads "2026-03-01T08:30:00Z" and, where times without a zone are UTC,
// "2026-03-01 08:30:00" and "2026-03-01 08:30".
func (c *clock) plain(text []byte) (int64, bool) {
	if len(text) < 16 || text[10] != 'T' && text[10] != ' ' || text[13] != ':' {
		return 0, false
	}
	hour, ok1 := twoDigits(text[11:])
	minute, ok2 := twoDigits(text[14:])
	second := 0
	rest := text[16:]
	if len(rest) >= 3 && rest[0] == ':' {
		var ok bool
		if second, ok = twoDigits(rest[1:]); !ok {
			return 0, false
		}
		rest = rest[3:]
	} else if text[10] == 'T' {
		return 0, false
	}
	zulu := len(rest) == 1 && rest[0] == 'Z' && text[10] == 'T'
	if !ok1 || !ok2 || hour > 23 || minute > 59 || second > 59 || !zulu && !(len(rest) == 0 && c.utc) {
		return 0, false
	}
	if string(c.day[:]) != string(text[:10]) {
		day, err := time.Parse(time.DateOnly, string(text[:10]))
		if err != nil || day.Year() < firstYear || day.Year() > lastYear {
			return 0, false
		}
		copy(c.day[:], text)
		c.start = day.Unix()
	}
	return (c.start + int64(hour*3600+minute*60+second)) * 1e9, true
}

func twoDigits(text []byte) (int, bool) {
	a, b := text[0]-'0', text[1]-'0'
	return int(a)*10 + int(b), a <= 9 && b <= 9
}

// unixSeconds reads ten digits: whole seconds of the years 2001 to 2286.
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
	return n * 1e9, n >= 1e9
}
