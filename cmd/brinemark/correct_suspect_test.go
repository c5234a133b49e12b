package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// logOf is a log of 50 rows, one a minute, of what row writes for each.
func logOf(header string, row func(i int) string) string {
	var b strings.Builder
	b.WriteString(header + "\n")
	for i := range 50 {
		fmt.Fprintf(&b, "%s,%s\n", time.Date(2026, 3, 2, 0, i, 0, 0, time.UTC).Format(time.RFC3339), row(i))
	}
	return b.String()
}

// A log in another unit, or without what is needed, is said to be so, with the
// likely reason; one that is in order is not.
func TestCorrectSaysWhyMostRowsAreFlagged(t *testing.T) {
	pen := file(t, "pen.json", `{"quantity": "ec", "unit": "uS/cm", "time": "2026-03-01T00:00:00Z", "state": "as-left",
"fit": {"intercept": 0, "slope": 1, "u_intercept": 3, "u_slope": 0.01, "cov": 0}, "points": [{"ref": 300, "reading": 300}, {"ref": 1800, "reading": 1800}]}`)
	inPPM := file(t, "inppm.json", `{"quantity": "ec", "unit": "ppm", "time": "2026-03-01T00:00:00Z", "state": "as-left",
"fit": {"intercept": 0, "slope": 1, "u_intercept": 3, "u_slope": 0.01, "cov": 0}, "points": [{"ref": 300, "reading": 300}, {"ref": 600, "reading": 600}]}`)
	none := []string{"--temp", "water", "--compensation", "ec=none"}
	for _, c := range []struct {
		name, header string
		calibration  string
		row          func(i int) string
		args         []string
		want         []string // each in one warning
		never        string
	}{
		{"Fahrenheit", "time,ec,water", pen, func(i int) string { return fmt.Sprintf("1300,%d", 66+i%9) }, none,
			[]string{"column water: temperatures of 66 to 74 look like Fahrenheit; want C", "column ec: 50 of 50 rows are blank: the temperatures in water look like Fahrenheit"}, ""},
		{"C", "time,ec,water", pen, func(i int) string { return fmt.Sprintf("1300,%d", 16+i%9) }, none, nil, "Fahrenheit"},
		{"a hot day, and no Fahrenheit", "time,ec,water", pen, func(i int) string { return fmt.Sprintf("1300,%d", 36+i%9) }, none, nil, "Fahrenheit"},
		{"no temperature", "time,ec,water", pen, func(i int) string { return "1300," }, none,
			[]string{"column ec: 50 of 50 rows are blank: column water, the temperature that is needed, holds none"}, ""},
		{"mS/cm", "time,ec", pen, func(i int) string { return fmt.Sprintf("1.%d", 30+i%9) }, nil,
			[]string{"50 of 50 rows are dry: readings about 1.34 look like mS/cm, where the calibrations cover 300 to 1800 uS/cm"}, ""},
		{"uS/cm for ppm", "time,ec", inPPM, func(i int) string { return fmt.Sprint(1000 + i) }, []string{"--display", "ec=ppm@0.5"},
			[]string{"50 of 50 rows are out-of-range: readings about 1025 look like uS/cm"}, ""},
		{"a little below", "time,ec", pen, func(i int) string { return fmt.Sprint(260 + i%9) }, nil,
			[]string{"50 of 50 rows are out-of-range: they are outside"}, "look like"},
		{"half of the rows", "time,ec", pen, func(i int) string { return []string{"1300", ""}[i%2] }, nil, nil, "rows are blank"},
		{"words", "time,ec", pen, func(i int) string { return "1300 uS/cm" }, nil, []string{"50 of 50 rows are not-a-number: want a plain number, without a unit"}, ""},
	} {
		args := append([]string{"correct", file(t, "log.csv", logOf(c.header, c.row)), "--calibration", "ec=" + c.calibration, "--time-zone", "UTC"}, c.args...)
		plain := invoke(args...)
		require.Equal(t, statusDone, plain.status, plain.stderr)
		object := invoke(append(args, "--json", "--out", filepath.Join(t.TempDir(), "out.csv"))...)
		require.Equal(t, statusDone, object.status, object.stderr)
		var got struct{ Warnings []string }
		require.NoError(t, json.Unmarshal([]byte(object.stdout), &got))
		all := strings.Join(got.Warnings, "\n")
		for _, want := range c.want {
			assert.Contains(t, plain.stderr, want, c.name)
			assert.Contains(t, all, want, c.name)
		}
		if c.never != "" {
			assert.NotContains(t, plain.stderr, c.never, c.name)
		}
	}
}

// A log of thermometers in Fahrenheit, that are themselves corrected.
func TestCorrectOfThermometersInFahrenheit(t *testing.T) {
	c := file(t, "t.json", `{"quantity": "temperature", "time": "2026-03-01T00:00:00Z", "fit": {"intercept": 0, "slope": 1},
"points": [{"ref": 0, "reading": 0}, {"ref": 30, "reading": 30}]}`)
	r := invoke("correct", file(t, "log.csv", logOf("time,water", func(i int) string { return fmt.Sprint(68 + i%3) })), "--calibration", "water="+c)
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, "column water: 50 of 50 rows are out-of-range: they look like Fahrenheit")
}

// A clock that is wrong by decades is told; rows of a log that goes on are not.
func TestCorrectWarnsOfRowsFarAhead(t *testing.T) {
	clock := now
	now = func() time.Time { return time.Date(2026, 3, 3, 0, 0, 0, 0, time.UTC) }
	t.Cleanup(func() { now = clock })
	ec := aCalibration(t, "ec.json", "ec", "2026-03-01", "as-left", 0, 1)
	for last, warned := range map[string]bool{"2062-01-01": true, "2026-03-04": false, "2026-03-02": false} {
		r := invoke("correct", file(t, "log.csv", "time,ec\n2026-03-02,600\n"+last+",600\n"), "--calibration", "ec="+ec, "--time-zone", "UTC")
		require.Equal(t, statusDone, r.status, r.stderr)
		assert.Equal(t, warned, strings.Contains(r.stderr, "the latest row lies far in the future, "+last), "%s: %s", last, r.stderr)
	}
}

// What a log calls its times is not ours to know: the message names the flag and
// the columns there are.
func TestCorrectSaysWhichColumnsThereAre(t *testing.T) {
	ec := aCalibration(t, "ec.json", "ec", "2026-03-01", "as-left", 0, 1)
	for _, header := range []string{"stamp,ec", "times,ec"} {
		r := invoke("correct", file(t, "log.csv", header+"\n2026-03-02,600\n"), "--calibration", "ec="+ec)
		assert.Equal(t, statusBadInput, r.status)
		assert.Contains(t, r.stderr, "column time: found no such column")
		assert.Contains(t, r.stderr, "one of "+strings.ReplaceAll(header, ",", ", ")+"; --time-column names the column of times")
	}
	r := invoke("correct", file(t, "log.csv", "time,EC\n2026-03-02,600\n"), "--calibration", "ec="+ec)
	assert.NotContains(t, r.stderr, "--time-column", "the times are there")
}
