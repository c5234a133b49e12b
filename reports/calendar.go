package reports

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// Calendar is a list of days to remember, written as iCalendar text (RFC
// 5545), which ordinary calendars import. A day that is imported again, with
// the same UID and a later stamp, moves instead of standing there twice.
type Calendar struct {
	Stamp time.Time // when it was written
	Days  []CalendarDay
}

// CalendarDay is an event that lasts a whole day.
type CalendarDay struct {
	UID         string // the same for the same thing to remember, whenever it is
	Day         time.Time
	Summary     string
	Description string
}

// NewUID makes an identity of what the day is about. It tells nothing of it.
func NewUID(parts ...string) string {
	sum := sha256.Sum256([]byte(strings.Join(parts, "\x00")))
	return hex.EncodeToString(sum[:16]) + "@brinemark"
}

// Write writes the calendar: lines of at most 75 octets that end in CR LF, in
// UTF-8.
func (c *Calendar) Write(w io.Writer) error {
	var b strings.Builder
	line := func(name, value string) { b.WriteString(foldLine(name + ":" + value)) }
	line("BEGIN", "VCALENDAR")
	line("VERSION", "2.0")
	line("PRODID", "-//Brinemark//Drift//EN")
	line("CALSCALE", "GREGORIAN")
	for _, d := range c.Days {
		line("BEGIN", "VEVENT")
		line("UID", d.UID)
		line("DTSTAMP", c.Stamp.UTC().Format("20060102T150405Z"))
		line("SEQUENCE", strconv.FormatInt(max(0, c.Stamp.Unix()/60), 10)) // a later one replaces it
		line("DTSTART;VALUE=DATE", d.Day.Format("20060102"))
		line("DTEND;VALUE=DATE", d.Day.AddDate(0, 0, 1).Format("20060102")) // the first day that is not part of it
		line("SUMMARY", calendarText(d.Summary))
		if d.Description != "" {
			line("DESCRIPTION", calendarText(d.Description))
		}
		line("TRANSP", "TRANSPARENT") // nobody is busy all day with it
		line("END", "VEVENT")
	}
	line("END", "VCALENDAR")
	_, err := io.WriteString(w, b.String())
	return err
}

// calendarText escapes a text (RFC 5545, 3.3.11): backslash, semicolon, comma
// and line feed. Other control characters have no place in one.
func calendarText(text string) string {
	text = strings.ToValidUTF8(text, "?")
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text)
	text = strings.Map(func(r rune) rune {
		if (r < ' ' && r != '\n' && r != '\t') || r == 0x7f {
			return -1
		}
		return r
	}, text)
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`).Replace(text)
}

// lineOctets is the longest line without its end (RFC 5545, 3.1).
const lineOctets = 75

// foldLine breaks a line that is too long: each further piece begins with a
// space, which counts. A character of several octets is not torn.
func foldLine(text string) string {
	var b strings.Builder
	room := lineOctets
	for len(text) > room {
		cut := room
		for !utf8.RuneStart(text[cut]) {
			cut--
		}
		b.WriteString(text[:cut] + "\r\n ")
		text, room = text[cut:], lineOctets-1
	}
	b.WriteString(text + "\r\n")
	return b.String()
}
