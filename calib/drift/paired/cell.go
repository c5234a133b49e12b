package paired

import (
	"bytes"
	"math"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/readings"
)

// A million rows are three million cells, so plain ones are read here, digit
// by digit; whatever is not plain goes the way of all other tables.

// powers are exact in binary floating point.
var powers = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// number reads a cell; ok is false where it is empty or no number.
func (in *input) number(cell []byte) (x float64, ok bool) {
	cell = bytes.TrimSpace(cell)
	if len(cell) == 0 {
		return 0, false
	}
	if x, ok := plain(cell, in.decimal); ok {
		return x, true
	}
	text := string(cell)
	if in.decimal {
		text = strings.Replace(text, ",", ".", 1)
	}
	if x, err := quantity.ParseNumber(text); err == nil {
		return x, true
	}
	if in.odd == 0 {
		in.odd, in.oddText = in.row, text
	}
	return 0, false
}

// plain reads up to 15 digits with at most one decimal mark: a whole number
// below 2^53 over a power of ten up to 10^15, both exact, so that their
// quotient is the nearest number there is (W.D. Clinger, PLDI 1990).
func plain(cell []byte, comma bool) (x float64, ok bool) {
	negative := cell[0] == '-'
	if negative {
		cell = cell[1:]
	}
	whole, digits, after, mark := uint64(0), 0, 0, false
	for _, c := range cell {
		switch {
		case c >= '0' && c <= '9':
			whole = 10*whole + uint64(c-'0')
			digits++
			if mark {
				after++
			}
		case (c == '.' || comma && c == ',') && !mark:
			mark = true
		default:
			return 0, false
		}
	}
	if digits == 0 || digits > 15 || mark && after == 0 || mark && after == digits {
		return 0, false
	}
	x = float64(whole) / powers[after]
	if negative {
		x = math.Copysign(x, -1)
	}
	return x, true
}

// clock turns times into days of a zone, counted from 1970-01-01.
type clock struct {
	zone     *time.Location
	from, to int64 // seconds between which the zone's offset is known
	offset   int64
}

const secondsPerDay = 24 * 60 * 60

// read gives the day of a time, and a number that grows with it.
func (c *clock) read(text []byte) (day int, unix int64, err error) {
	if day, seconds, rest, ok := wall(text); ok {
		switch {
		case len(rest) == 0 && seconds >= 0:
			return day, int64(day)*secondsPerDay + seconds, nil // in the zone's own days
		case len(rest) == 1 && rest[0] == 'Z':
			unix := int64(day)*secondsPerDay + seconds
			return c.day(unix), unix, nil
		}
	}
	t, err := readings.ParseTime(string(text), c.zone)
	if err != nil {
		return 0, 0, err
	}
	return c.day(t.Unix()), t.Unix(), nil
}

// day is the day of a moment.
func (c *clock) day(unix int64) int {
	if unix < c.from || unix >= c.to {
		t := time.Unix(unix, 0).In(c.zone)
		_, offset := t.Zone()
		c.offset = int64(offset)
		from, to := t.ZoneBounds()
		c.from, c.to = math.MinInt64, math.MaxInt64
		if !from.IsZero() {
			c.from = from.Unix()
		}
		if !to.IsZero() {
			c.to = to.Unix()
		}
	}
	local := unix + c.offset
	day := local / secondsPerDay
	if local%secondsPerDay < 0 {
		day--
	}
	return int(day)
}

// start is the beginning of a day.
func (c *clock) start(day int) time.Time {
	return time.Date(1970, 1, 1+day, 0, 0, 0, 0, c.zone)
}

// wall reads "2026-03-01 08:30:15" (or with T, and without seconds) and
// returns what follows.
func wall(text []byte) (day int, seconds int64, rest []byte, ok bool) {
	if len(text) < 16 || text[4] != '-' || text[7] != '-' || text[10] != ' ' && text[10] != 'T' || text[13] != ':' {
		return 0, 0, nil, false
	}
	year, ok1 := digits(text[:4])
	month, ok2 := digits(text[5:7])
	date, ok3 := digits(text[8:10])
	hour, ok4 := digits(text[11:13])
	minute, ok5 := digits(text[14:16])
	second, rest := 0, text[16:]
	if len(rest) >= 3 && rest[0] == ':' {
		var ok6 bool
		if second, ok6 = digits(rest[1:3]); !ok6 || second > 59 {
			return 0, 0, nil, false
		}
		rest = rest[3:]
	} else if text[10] == 'T' {
		return 0, 0, nil, false // RFC 3339 has seconds
	}
	if !(ok1 && ok2 && ok3 && ok4 && ok5) || year < 1970 || month < 1 || month > 12 || date < 1 || date > monthDays(year, month) || hour > 23 || minute > 59 {
		return 0, 0, nil, false
	}
	if (len(rest) == 0) == (text[10] == 'T') {
		return 0, 0, nil, false // a T asks for a zone, a space for none
	}
	return civil(year, month, date), int64(hour*3600 + minute*60 + second), rest, true
}

func digits(text []byte) (n int, ok bool) {
	for _, c := range text {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = 10*n + int(c-'0')
	}
	return n, true
}

func monthDays(year, month int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// civil counts the days from 1970-01-01 in the Gregorian calendar: years begin
// in March, so that the day too many of a leap year is the last.
func civil(year, month, date int) int {
	if month <= 2 {
		year--
		month += 12
	}
	return 365*year + year/4 - year/100 + year/400 + (153*(month-3)+2)/5 + date - 1 - 719468
}
