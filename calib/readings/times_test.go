package readings

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	location, err := time.LoadLocation(name)
	require.NoError(t, err)
	return location
}

func TestParseTime(t *testing.T) {
	vienna := zone(t, "Europe/Vienna")
	for text, want := range map[string]string{
		"2026-03-01T08:30:00Z":      "2026-03-01T08:30:00Z",
		"2026-03-01T08:30:00+02:00": "2026-03-01T06:30:00Z",
		"2026-03-01T08:30:00.25Z":   "2026-03-01T08:30:00.25Z",
		"2026-03-01 08:30:00Z":      "2026-03-01T08:30:00Z", // RFC 3339, 5.6: a space for the T
		"2026-03-01 08:30:00+02:00": "2026-03-01T06:30:00Z",
		"2026-03-01 08:30:00.5Z":    "2026-03-01T08:30:00.5Z",
		"2026-03-01":                "2026-02-28T23:00:00Z", // CET is UTC+1
		"2026-03-01 08:30":          "2026-03-01T07:30:00Z",
		"2026-03-01 08:30:15":       "2026-03-01T07:30:15Z",
		"2026-03-01T08:30:15":       "2026-03-01T07:30:15Z",
		"2026-07-01 08:30":          "2026-07-01T06:30:00Z", // CEST is UTC+2
		" 2026-03-01 ":              "2026-02-28T23:00:00Z",
		"0":                         "1970-01-01T00:00:00Z",
		"1000000000":                "2001-09-09T01:46:40Z", // POSIX: seconds since the epoch
		"1234567890":                "2009-02-13T23:31:30Z",
		"1234567890.5":              "2009-02-13T23:31:30.5Z",
		"-1":                        "1969-12-31T23:59:59Z",
	} {
		got, err := ParseTime(text, vienna)
		require.NoError(t, err, text)
		assert.Equal(t, want, got.UTC().Format(time.RFC3339Nano), text)
	}
	got, err := ParseTime("2026-03-01", nil)
	require.NoError(t, err)
	assert.Equal(t, "2026-03-01T00:00:00Z", got.Format(time.RFC3339), "nil stands for UTC")
}

func TestParseTimeRefuses(t *testing.T) {
	for text, says := range map[string]string{
		"":                     "2026-03-01",
		"yesterday":            "2026-03-01T08:30:00Z",
		"01.03.2026":           "2026-03-01",
		"3/1/2026":             "2026-03-01",
		"2026-02-29":           "2026-03-01",
		"2026-03-01 25:00":     "2026-03-01",
		"2026-03-01 08:30 Z":   "2026-03-01",
		"2026-03-01 8h30":      "2026-03-01",
		"2026-03-01_08:30:00Z": "2026-03-01",
		"2026-03-01 08:30Z":    "2026-03-01",
		"NaN":                  "2026-03-01",
		"20260301":             "dashes, 2026-03-01",
		"1772353800000":        "not milliseconds",
		"1e300":                "not milliseconds",
		"2026-03-01T08:30:00+": "2026-03-01",
	} {
		_, err := ParseTime(text, time.UTC)
		require.Error(t, err, text)
		assert.ErrorContains(t, err, says, text)
	}
}

// The clocks of Vienna went from 02:00 to 03:00 on 29 March 2026 and back from
// 03:00 to 02:00 on 25 October 2026 (Directive 2000/84/EC: the last Sundays of
// March and October, 01:00 UTC).
func TestClockChanges(t *testing.T) {
	vienna := zone(t, "Europe/Vienna")
	_, err := ParseTime("2026-03-29 02:30", vienna)
	assert.ErrorContains(t, err, "skipped")
	for text, want := range map[string]string{
		"2026-03-29 01:59": "2026-03-29T00:59:00Z",
		"2026-03-29 03:00": "2026-03-29T01:00:00Z",
		"2026-10-25 01:59": "2026-10-24T23:59:00Z",
		"2026-10-25 02:30": "2026-10-25T00:30:00Z", // the earlier of 00:30 and 01:30 UTC
		"2026-10-25 03:00": "2026-10-25T02:00:00Z",
	} {
		got, err := ParseTime(text, vienna)
		require.NoError(t, err, text)
		assert.Equal(t, want, got.UTC().Format(time.RFC3339), text)
	}
	local := spec
	local.Zone = vienna
	table, err := Read(strings.NewReader("ref,reading,time\n1,1,2026-10-25 02:30\n2,2,\n"), "pen.csv", local)
	require.NoError(t, err)
	assert.Equal(t, []string{"pen.csv, row 2, column time: clocks in Europe/Vienna showed this time twice; it is read as the earlier"}, table.Notes)
	moment, ok, err := table.Time(0, "time")
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, int64(1792888200), moment.Unix())
	_, ok, err = table.Time(1, "time")
	require.NoError(t, err)
	assert.False(t, ok, "an empty cell is an unknown time")
	_, err = Read(strings.NewReader("ref,reading,time\n1,1,2026-03-29 02:30\n"), "pen.csv", local)
	assert.ErrorIs(t, err, ErrNotATime)
}

// Lord Howe Island puts its clocks back by half an hour, on 5 April 2026 at
// 02:00 (zone database: rules LH).
func TestHalfHourClockChange(t *testing.T) {
	got, err := ParseTime("2026-04-05 01:45", zone(t, "Australia/Lord_Howe"))
	require.NoError(t, err)
	assert.Equal(t, "2026-04-04T14:45:00Z", got.UTC().Format(time.RFC3339), "the earlier of UTC+11 and UTC+10:30")
}
