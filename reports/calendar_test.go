package reports_test

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/brinemark/brinemark/reports"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// icalLine is a content line of RFC 5545, 3.1: NAME;PARAM=VALUE:VALUE.
type icalLine struct{ name, params, value string }

// parseICal reads a calendar by the rules of RFC 5545 and fails the test where
// one is broken. It returns the properties of the calendar and of each event.
func parseICal(t *testing.T, text string) (calendar []icalLine, events [][]icalLine) {
	t.Helper()
	require.True(t, utf8.ValidString(text), "3.1.4: UTF-8")
	require.True(t, strings.HasSuffix(text, "\r\n"), "3.1: every line ends in CRLF")
	require.NotContains(t, strings.ReplaceAll(text, "\r\n", ""), "\r", "3.1: no CR but before LF")
	require.NotContains(t, strings.ReplaceAll(text, "\r\n", ""), "\n", "3.1: no LF but after CR")
	for _, physical := range strings.Split(strings.TrimSuffix(text, "\r\n"), "\r\n") {
		require.LessOrEqual(t, len(physical), 75, "3.1: at most 75 octets without the line break: %q", physical)
		require.True(t, utf8.ValidString(physical), "3.1: a character is not torn: %q", physical)
		require.NotEmpty(t, physical)
	}
	line := regexp.MustCompile(`^([A-Z0-9-]+)((?:;[A-Z0-9-]+=[^;:,"]+)*):(.*)$`)
	unfolded := strings.ReplaceAll(text, "\r\n ", "")
	depth := 0
	for _, logical := range strings.Split(strings.TrimSuffix(unfolded, "\r\n"), "\r\n") {
		part := line.FindStringSubmatch(logical)
		require.NotNil(t, part, "3.1: a content line: %q", logical)
		l := icalLine{part[1], part[2], part[3]}
		require.NotRegexp(t, "[\x00-\x08\x0a-\x1f\x7f]", l.value, "3.1: no control character")
		switch {
		case depth == 0:
			require.Equal(t, icalLine{"BEGIN", "", "VCALENDAR"}, l, "3.4")
			depth = 1
		case l.name == "BEGIN":
			require.Equal(t, 1, depth)
			require.Equal(t, "VEVENT", l.value)
			depth, events = 2, append(events, nil)
		case l.name == "END" && depth == 2:
			require.Equal(t, "VEVENT", l.value)
			depth = 1
		case l.name == "END":
			require.Equal(t, "VCALENDAR", l.value)
			depth = -1
		case depth == 2:
			events[len(events)-1] = append(events[len(events)-1], l)
		default:
			require.Equal(t, 1, depth, "nothing stands after END:VCALENDAR")
			calendar = append(calendar, l)
		}
	}
	require.Equal(t, -1, depth, "END:VCALENDAR is there")
	require.NotEmpty(t, events, "3.6: at least one component")
	only(t, calendar, "VERSION", "2.0")
	require.NotEmpty(t, only(t, calendar, "PRODID", ""))
	for _, e := range events {
		require.NotEmpty(t, only(t, e, "UID", ""), "3.8.4.7")
		require.Regexp(t, `^\d{8}T\d{6}Z$`, only(t, e, "DTSTAMP", ""), "3.8.7.2: in UTC")
		day, end := only(t, e, "DTSTART;VALUE=DATE", ""), only(t, e, "DTEND;VALUE=DATE", "")
		from, err := time.Parse("20060102", day)
		require.NoError(t, err, "3.3.4")
		to, err := time.Parse("20060102", end)
		require.NoError(t, err)
		require.Equal(t, from.AddDate(0, 0, 1), to, "3.6.1: DTEND of one whole day is the next one")
		require.Regexp(t, `^\d{1,10}$`, only(t, e, "SEQUENCE", ""), "3.8.7.4: an integer, 0 or more")
	}
	return calendar, events
}

// only is the one property of a name, with its parameters; want is "" for any
// value.
func only(t *testing.T, list []icalLine, name, want string) string {
	t.Helper()
	var found []string
	for _, l := range list {
		if l.name+l.params == name {
			found = append(found, l.value)
		}
	}
	require.Len(t, found, 1, "%s stands once", name)
	if want != "" {
		require.Equal(t, want, found[0])
	}
	return found[0]
}

// unescapeICal reads a TEXT value (RFC 5545, 3.3.11).
func unescapeICal(t *testing.T, value string) string {
	t.Helper()
	var b strings.Builder
	for i := 0; i < len(value); i++ {
		switch c := value[i]; c {
		case ';', ',':
			require.Failf(t, "3.3.11", "%q is not escaped in %q", c, value)
		case '\\':
			i++
			require.Less(t, i, len(value), "a backslash at the end of %q", value)
			switch value[i] {
			case 'n', 'N':
				b.WriteByte('\n')
			case '\\', ';', ',':
				b.WriteByte(value[i])
			default:
				require.Failf(t, "3.3.11", "\\%c in %q", value[i], value)
			}
		default:
			b.WriteByte(c)
		}
	}
	return b.String()
}

func writeICal(t *testing.T, c reports.Calendar) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, c.Write(&b))
	return b.String()
}

func TestCalendarKeepsToRFC5545(t *testing.T) {
	stamp := time.Date(2026, 3, 1, 23, 30, 0, 0, time.FixedZone("", -5*3600))
	for _, text := range []string{
		"Check tent pen", "", `back\slash, comma; semicolon: colon`, "two\nlines\r\nand\rthree", strings.Repeat("é", 200), strings.Repeat("漢字", 60) + "𝄞",
		strings.Repeat("a", 61), strings.Repeat("a", 67), strings.Repeat("a", 68), strings.Repeat("a", 75), strings.Repeat(`\`, 80), "ends in space ", "\x00\x07tab\there\x7f",
		strings.Repeat("±", 33) + "x" + strings.Repeat("±", 74), "END:VEVENT\r\nBEGIN:VALARM",
	} {
		out := writeICal(t, reports.Calendar{Stamp: stamp, Days: []reports.CalendarDay{
			{UID: reports.NewUID("due", text), Day: time.Date(2026, 12, 31, 0, 0, 0, 0, time.UTC), Summary: text, Description: text},
		}})
		_, events := parseICal(t, out)
		require.Len(t, events, 1)
		want := strings.NewReplacer("\r\n", "\n", "\r", "\n", "\x00", "", "\x07", "", "\x7f", "").Replace(text)
		assert.Equal(t, want, unescapeICal(t, only(t, events[0], "SUMMARY", "")), "it comes back as it was")
		if text != "" {
			assert.Equal(t, want, unescapeICal(t, only(t, events[0], "DESCRIPTION", "")))
		}
		only(t, events[0], "DTSTAMP", "20260302T043000Z")
		only(t, events[0], "DTSTART;VALUE=DATE", "20261231")
		only(t, events[0], "DTEND;VALUE=DATE", "20270101")
	}
}

// A line folds at the 75th octet and not before; the space of a further piece
// counts (RFC 5545, 3.1).
func TestCalendarFoldsAt75Octets(t *testing.T) {
	out := writeICal(t, reports.Calendar{Stamp: time.Unix(0, 0), Days: []reports.CalendarDay{{UID: "u", Summary: strings.Repeat("a", 200)}}})
	assert.Contains(t, out, "SUMMARY:"+strings.Repeat("a", 67)+"\r\n "+strings.Repeat("a", 74)+"\r\n "+strings.Repeat("a", 59)+"\r\n")
}

// A day that moves keeps its UID and has a later stamp and a higher sequence,
// so that a calendar moves it (RFC 5545, 3.8.4.7 and 3.8.7.4).
func TestCalendarMovesADay(t *testing.T) {
	at := func(minutes int) []icalLine {
		c := reports.Calendar{Stamp: time.Date(2026, 3, 1, 0, minutes, 0, 0, time.UTC),
			Days: []reports.CalendarDay{{UID: reports.NewUID("due", "tent pen"), Day: time.Date(2026, 4, 1+minutes, 0, 0, 0, 0, time.UTC), Summary: "Due"}}}
		_, events := parseICal(t, writeICal(t, c))
		return events[0]
	}
	first, second := at(0), at(3)
	assert.Equal(t, only(t, first, "UID", ""), only(t, second, "UID", ""))
	assert.NotEqual(t, only(t, first, "DTSTART;VALUE=DATE", ""), only(t, second, "DTSTART;VALUE=DATE", ""))
	var a, b int
	_, err := fmt.Sscan(only(t, first, "SEQUENCE", ""), &a)
	require.NoError(t, err)
	_, err = fmt.Sscan(only(t, second, "SEQUENCE", ""), &b)
	require.NoError(t, err)
	assert.Less(t, a, b)
	assert.Less(t, b, 1<<31, "3.3.8: an integer of 32 bits")
	assert.NotEqual(t, reports.NewUID("due", "tent pen"), reports.NewUID("next check", "tent pen"))
	assert.NotEqual(t, reports.NewUID("a", "bc"), reports.NewUID("ab", "c"))
}

func FuzzCalendar(f *testing.F) {
	f.Add("Check tent pen", "a, b; c\\ \n")
	f.Add("\xff\xfe", strings.Repeat("漢", 50))
	f.Fuzz(func(t *testing.T, summary, description string) {
		out := writeICal(t, reports.Calendar{Days: []reports.CalendarDay{{UID: "u", Summary: summary, Description: description}}})
		_, events := parseICal(t, out)
		require.Len(t, events, 1, "no text makes an event of its own")
	})
}
