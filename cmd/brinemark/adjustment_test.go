package main

import (
	"encoding/csv"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// anEvening is a meter that read 6 % low for months, was found so at 17:50 and
// 17:55, adjusted, and read as left at 18:00, 18:04 and 18:08, each row with a
// time of its own.
func anEvening(t *testing.T, more ...string) *session {
	s := newSession(t)
	s.ok("meter", "add", "pen", "--quantity", "ec", "--unit", "uS/cm", "--compensation", "none", "--tolerance", "5%", "--resolution", "1")
	for _, day := range []string{"2025-11-20", "2025-12-20", "2026-01-20"} {
		s.ok("calibrate", "--meter", "pen", "--save", "--time", day, "--point", "500=469", "--point", "1413=1325", "--u-ref", "0.3%", "--u-reading", "2")
	}
	table := "ref,u_ref,reading,u_reading,time,state\n" +
		"500,1.5,469,2,2026-02-20 17:50,as-found\n1413,4,1325,2,2026-02-20 17:55,as-found\n" +
		"500,1.5,500,2,2026-02-20 18:00,as-left\n1413,4,1412,2,2026-02-20 18:04,as-left\n2764,8,2765,2,2026-02-20 18:08,as-left\n"
	s.ok(append([]string{"calibrate", file(t, "evening.csv", table), "--meter", "pen", "--save"}, more...)...)
	return s
}

// A meter that was left at several times was adjusted before the first of them:
// none of them reads as before the adjustment.
func TestAdjustedBeforeTheFirstReadingAsLeft(t *testing.T) {
	log := file(t, "log.csv", "time,ec\n2026-02-20 17:54,940\n2026-02-20 18:01,1000\n2026-02-20 18:05,1000\n2026-02-20 18:09,1000\n2026-02-21 18:00,1000\n")
	for name, c := range map[string]struct{ calibrate, event []string }{
		"nobody wrote it down":               {},
		"written with its time":              {nil, []string{"2026-02-20 17:57"}},
		"written with the time of a reading": {nil, []string{"2026-02-20 18:04"}},
		"written with that of the last":      {nil, []string{"2026-02-20 18:08"}},
		"of a day that was typed":            {[]string{"--time", "2026-02-20"}, nil},
	} {
		s := anEvening(t, c.calibrate...)
		for _, at := range c.event {
			s.ok("event", "add", "pen", "adjusted", "--time", at)
		}
		d := s.json("drift", "--meter", "pen")
		assert.Empty(t, d["alarms"], name)
		assert.InDelta(t, 0, d["error_now"], 0.004, name)
		assert.Equal(t, float64(11), d["n"], name)
		for _, w := range d["warnings"].([]any) {
			assert.NotContains(t, w, "slip", name)
		}
		r := s.run("correct", log, "--meter", "ec=pen", "--compensate-by", "none")
		require.Equal(t, statusDone, r.status, "%s: %s", name, r.stderr)
		rows, err := csv.NewReader(strings.NewReader(r.stdout)).ReadAll()
		require.NoError(t, err)
		require.Len(t, rows, 6)
		for i, row := range rows[1:] {
			assert.Empty(t, row[4], "%s, row %d", name, i)
			value, err := strconv.ParseFloat(row[2], 64)
			require.NoError(t, err)
			assert.InDelta(t, 1000, value, 5, "%s, row %d: %v", name, i, row)
		}
		for _, at := range []string{"2026-02-20 18:01", "2026-02-20 18:05", "2026-02-21"} {
			k := s.json("constants", "pen", "--at", at)
			assert.InDelta(t, 1, k["slope"], 0.01, "%s, %s", name, at)
		}
	}
}
