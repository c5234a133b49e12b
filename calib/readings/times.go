package readings

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/quantity"
)

// wallLayouts are times written without a zone, longest first. The letter T of
// ISO 8601 may stand in the place of the space. Fractions of a second are read
// where the layout has seconds.
var wallLayouts = []string{"2006-01-02 15:04:05", "2006-01-02 15:04", "2006-01-02"}

// ParseTime reads a moment: RFC 3339 ("2026-03-01T08:30:00Z", or with a space for
// the T), or "2026-03-01", "2026-03-01 08:30" or "2026-03-01 08:30:15" in the given zone,
// or seconds since 1970-01-01 00:00 UTC ("1772353800"). A wall time that the
// zone's clocks skipped is an error. One that they showed twice is read as the
// earlier. nil stands for UTC.
func ParseTime(text string, zone *time.Location) (time.Time, error) {
	moment, _, err := parseTime(strings.TrimSpace(text), Spec{Zone: zone}.zone())
	if err != nil {
		return time.Time{}, fmt.Errorf("%s is not a time; want %w", quoted(text), err)
	}
	return moment, nil
}

// wantTime words what would be right.
const wantTime = "a time such as 2026-03-01T08:30:00Z, 2026-03-01 08:30 or 2026-03-01, or Unix seconds"

// parseTime reads a moment. The error is a phrase of what would be right; the
// remark is for a note, where the time had two meanings.
func parseTime(text string, zone *time.Location) (moment time.Time, remark string, err error) {
	if t, err := time.Parse(time.RFC3339, withT(text)); err == nil {
		return t, "", nil
	}
	if seconds, err := quantity.ParseNumber(text); err == nil {
		t, err := unixTime(seconds, text)
		return t, "", err
	}
	wall := text
	if len(wall) > 10 && wall[10] == 'T' {
		wall = wall[:10] + " " + wall[11:]
	}
	for _, layout := range wallLayouts {
		if t, err := time.ParseInLocation(layout, wall, zone); err == nil {
			return wallTime(t, wall, layout, zone)
		}
	}
	if isClock(text) {
		return time.Time{}, "", errors.New("the date as well as the time, such as 2026-03-01 18:02")
	}
	return time.Time{}, "", errors.New(wantTime)
}

// clocks are times of day, which say no day.
var clocks = []string{"15:04", "15:04:05", "3:04PM", "3:04 PM"}

// isClock tells a time of day without its day.
func isClock(text string) bool {
	for _, layout := range clocks {
		if _, err := time.Parse(layout, strings.ToUpper(text)); err == nil {
			return true
		}
	}
	return false
}

// withT puts the letter T between date and time where a space stands, which RFC
// 3339 (2002), 5.6, allows, and Python's str(datetime) and most databases write.
func withT(text string) string {
	if len(text) > 10 && text[10] == ' ' {
		return text[:10] + "T" + text[11:]
	}
	return text
}

// wallTime settles what the zone's clocks make of a wall time: skipped when
// they are put forward, shown twice when they are put back.
func wallTime(t time.Time, wall, layout string, zone *time.Location) (time.Time, string, error) {
	asUTC, err := time.ParseInLocation(layout, wall, time.UTC)
	if err != nil {
		return time.Time{}, "", errors.New(wantTime)
	}
	shown := func(t time.Time) bool {
		_, offset := t.Zone()
		return t.Add(time.Duration(offset) * time.Second).UTC().Equal(asUTC)
	}
	if !shown(t) {
		return time.Time{}, "", fmt.Errorf("a time that exists: clocks in %s skipped this one", zone)
	}
	for _, change := range []time.Duration{30 * time.Minute, time.Hour, 2 * time.Hour} {
		earlier, later := t.Add(-change), t.Add(change)
		if shown(earlier) {
			return earlier, twice(zone), nil
		}
		if shown(later) {
			return t, twice(zone), nil
		}
	}
	return t, "", nil
}

func twice(zone *time.Location) string {
	return fmt.Sprintf("clocks in %s showed this time twice; it is read as the earlier", zone)
}

// Limits of Unix seconds. Beyond the year 9999 a number of seconds is one of
// milliseconds.
const maxUnixSeconds = 253402300799

// unixTime reads seconds since the epoch, and refuses what only looks like it.
func unixTime(seconds float64, text string) (time.Time, error) {
	if _, err := time.Parse("20060102", text); err == nil {
		return time.Time{}, fmt.Errorf("a date with dashes, %s-%s-%s, or Unix seconds", text[:4], text[4:6], text[6:])
	}
	if math.Abs(seconds) > maxUnixSeconds {
		return time.Time{}, errors.New("Unix seconds, not milliseconds")
	}
	whole, fraction := math.Modf(seconds)
	return time.Unix(int64(whole), int64(math.Round(fraction*1e9))).UTC(), nil
}
