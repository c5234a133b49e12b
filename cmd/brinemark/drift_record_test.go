package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// save puts rows on the record of a session.
func (s *session) save(rows ...logbook.Record) {
	s.t.Helper()
	book, err := logbook.Open(s.file, logbook.Options{Now: now})
	require.NoError(s.t, err)
	require.NoError(s.t, book.Save(rows...))
	require.NoError(s.t, book.Close())
}

// checked is a check of a meter on a day, as it is saved.
func checked(t *testing.T, meter, quantity, day, state string, readings ...logbook.Reading) *logbook.Calibration {
	t.Helper()
	at, err := time.Parse(time.DateOnly, day)
	require.NoError(t, err)
	return &logbook.Calibration{
		Meter: meter, Time: at, State: state, Quantity: quantity, Method: "gain", N: 1, Slope: 1, UBasis: "none",
		ReadingLow: readings[0].Reading, ReadingHigh: readings[0].Reading, Readings: readings, Result: []byte(`{"warnings":[]}`),
	}
}

// one is a reading with uncertainties of 2 and 2.
func one(ref, reading float64) logbook.Reading {
	u := 2.0
	return logbook.Reading{Ref: ref, Reading: reading, URef: &u, UReading: &u}
}

// aWholeRecord is one with meters of every sort.
func aWholeRecord(t *testing.T) *session {
	s := newSession(t)
	book, err := logbook.Create(s.file, logbook.Options{Now: now})
	require.NoError(t, err)
	require.NoError(t, book.Close())
	var rows []logbook.Record
	add := func(name, quantity, unit string, tolerance float64, relative bool) {
		m := &logbook.Meter{Name: name, Quantity: quantity, Unit: unit, ToleranceRelative: relative}
		if tolerance > 0 {
			m.Tolerance = &tolerance
		}
		if name == "gone" {
			m.RetiredAt = now()
		}
		rows = append(rows, m)
	}
	for _, name := range []string{"slow", "fast", "broken", "new", "gone"} {
		add(name, "ec", "uS/cm", 0.05, true)
	}
	add("loose", "ec", "uS/cm", 0, false)
	add("pH stick", "ph", "", 0.1, false)
	add("air", "temperature", "C", 0.5, false)
	for month, day := range []string{"2025-11-20", "2025-12-20", "2026-01-20", "2026-02-20"} {
		n := float64(month)
		rows = append(rows,
			checked(t, "slow", "ec", day, "as-found", one(1413, 1413-2*n)),
			checked(t, "fast", "ec", day, "as-found", one(1413, 1413-19*n)),
			checked(t, "broken", "ec", day, "as-found", one(1413, 1413-40*n)),
			checked(t, "loose", "ec", day, "as-found", one(1413, 1413)),
			checked(t, "gone", "ec", day, "as-found", one(1413, 1200)),
		)
	}
	u := 0.01
	for i, day := range []string{"2026-01-05", "2026-01-19", "2026-02-02", "2026-02-16"} {
		shift := 0.005 * float64(i)
		rows = append(rows, checked(t, "pH stick", "ph", day, "as-found",
			logbook.Reading{Ref: 7, Reading: 7 + shift, URef: &u, UReading: &u}, logbook.Reading{Ref: 4, Reading: 4 + 2*shift, URef: &u, UReading: &u}))
	}
	for i, day := range []string{"2025-04-01", "2025-07-01", "2025-10-01", "2026-01-01"} {
		rows = append(rows, checked(t, "air", "temperature", day, "as-found", logbook.Reading{Ref: 0, Reading: 0.05 + 0.01*float64(i), URef: &u, UReading: &u}))
	}
	s.save(rows...)
	return s
}

func meterNames(out map[string]any, key string) (names []string) {
	for _, m := range out[key].([]any) {
		names = append(names, m.(map[string]any)["meter"].(string))
	}
	return names
}

func TestDriftAllSortsByUrgency(t *testing.T) {
	s := aWholeRecord(t)
	out := s.json("drift", "--all")
	// In the order of names it would be air, broken, fast, loose, pH stick, slow.
	assert.Equal(t, []string{"broken", "pH stick", "fast", "slow", "loose", "air"}, meterNames(out, "meters"),
		"what is outside, then by the next check (14 days for pH, 30 for conductivity or earlier when due, 180 for temperature), then by doubt; nothing of a retired meter")
	assert.Equal(t, []string{"new"}, meterNames(out, "unchecked"))
	last := ""
	for i, m := range out["meters"].([]any) {
		next := m.(map[string]any)["next_check"].(string)
		if i > 0 {
			assert.GreaterOrEqual(t, next, last, "the first is outside")
		}
		last = next
		if i == 0 {
			last = ""
		}
	}
	s.screen.Reset()
	r := s.run("drift", "--all", "--check")
	assert.Equal(t, statusNotPassing, r.status)
	for _, word := range []string{"fail (broken)", "none (loose has no tolerance)", "none (new: there is no check on record)"} {
		assert.Contains(t, r.stderr, word)
	}
	assert.NotContains(t, r.stderr, "(slow)")
	s.golden("drift/all.txt")
	for _, line := range strings.Split(r.stdout, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 80, line)
	}
	assert.Equal(t, []string{"pH stick"}, meterNames(s.json("drift", "--all", "--quantity", "ph"), "meters"))
	assert.Equal(t, statusDone, s.run("drift", "--all", "--quantity", "ph", "--check").status, "all of them pass")
	assert.Equal(t, statusDone, s.run("drift", "--all").status, "without --check the verdict is no status")
}

func TestDriftAllWritesACalendar(t *testing.T) {
	s := aWholeRecord(t)
	path := filepath.Join(t.TempDir(), "checks.ics")
	s.ok("drift", "--all", "--calendar", path)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	golden(t, "drift/all.ics", string(text))
	for _, name := range []string{"broken (overdue since 20 February 2026)", "pH stick", "fast", "slow", "loose", "air", "new"} {
		assert.Contains(t, string(text), "SUMMARY:Check "+name+"\r\n")
	}
	assert.Regexp(t, `DTSTART;VALUE=DATE:20260220\r\n.*\r\nSUMMARY:Due: broken\r\n`, string(text), "the day that was missed stays")
	assert.NotContains(t, string(text), "gone")
	uids := func() (list []string) {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		for _, line := range strings.Split(string(text), "\r\n") {
			if strings.HasPrefix(line, "UID:") {
				list = append(list, line)
			}
		}
		return list
	}
	before := uids()
	assert.Len(t, before, len(unique(before)), "no two are the same")
	atNoon(t, "2026-03-08T12:00:00Z")
	s.ok("drift", "--all", "--calendar", path)
	assert.ElementsMatch(t, before, uids(), "a week later the same days have the same identities")
	none := newSession(t)
	none.ok("meter", "add", "P1", "--quantity", "ec", "--tolerance", "5%")
	none.ok("drift", "--all", "--calendar", path)
	text, err = os.ReadFile(path)
	require.NoError(t, err)
	assert.Contains(t, string(text), "DTSTART;VALUE=DATE:20260301", "a meter nobody has checked is to be checked today")
}

func unique(list []string) map[string]bool {
	set := map[string]bool{}
	for _, x := range list {
		set[x] = true
	}
	return set
}

func TestDriftOfAMeterOnRecord(t *testing.T) {
	s := aWholeRecord(t)
	s.screen.Reset()
	s.ok("event", "add", "fast", "cleaned", "--time", "2026-01-02")
	s.ok("drift", "--meter", "fast", "--chart", "always")
	s.ok("drift", "--meter", "air")
	s.golden("drift/meter.txt")
	out := s.json("drift", "--meter", "FAST")
	assert.Equal(t, "fast", out["meter"], "by the name on record")
	assert.Equal(t, 0.05, out["tolerance"], "of the record")
	assert.Equal(t, "uS/cm", out["unit"])
	assert.Equal(t, 0.01, s.json("drift", "--meter", "fast", "--tolerance", "1%")["tolerance"], "what is typed goes first")
	events := out["events"].([]any)
	require.Len(t, events, 1)
	assert.Equal(t, "cleaned", events[0].(map[string]any)["event"])
	air := s.json("drift", "--meter", "air")
	assert.Equal(t, "C", air["unit"])
	assert.InDelta(t, 0.085, number(t, air, "error_now"), 0.03, "absolute, not a fraction")
}

// A battery and a note are no break; a cleaning, an adjustment and a new
// electrode are.
func TestDriftTakesEventsOfTheRecord(t *testing.T) {
	s := aWholeRecord(t)
	before := s.json("drift", "--meter", "fast")
	s.ok("event", "add", "fast", "battery", "--time", "2026-01-02")
	s.ok("event", "add", "fast", "note", "--note", "fell into the tub", "--time", "2026-01-03")
	s.ok("event", "add", "slow", "replaced", "--time", "2026-01-03") // of another meter
	same := s.json("drift", "--meter", "fast")
	assert.Equal(t, before["error_now"], same["error_now"])
	assert.Equal(t, before["u_rate_per_30d"], same["u_rate_per_30d"])
	assert.Empty(t, same["events"])
	for _, word := range []string{"cleaned", "adjusted", "replaced"} {
		s.ok("event", "add", "fast", word, "--time", "2026-02-27")
		after := s.json("drift", "--meter", "fast")
		assert.Greater(t, number(t, after, "u_error_now"), number(t, before, "u_error_now"), word)
	}
}

// Found at -4 %, adjusted, left at 0: the error now is what was left, whether
// the adjustment was written down or not, and it is one adjustment either way.
func TestDriftKnowsAnAdjustmentByWhatWasLeft(t *testing.T) {
	for _, written := range []string{"", "2026-02-20", "2026-02-20T08:00:00Z"} {
		s := newSession(t)
		s.ok("meter", "add", "P1", "--quantity", "ec", "--unit", "uS/cm", "--tolerance", "5%")
		left := checked(t, "P1", "ec", "2026-02-20", "as-left", one(1413, 1413))
		if strings.Contains(written, "T") {
			left.Time = left.Time.Add(9 * time.Hour)
		}
		s.save(left,
			checked(t, "P1", "ec", "2025-12-20", "as-found", one(1413, 1384)),
			checked(t, "P1", "ec", "2026-01-20", "as-found", one(1413, 1371)),
			checked(t, "P1", "ec", "2026-02-20", "as-found", one(1413, 1357))) // saved after what was left, at the same time
		if written != "" {
			s.ok("event", "add", "P1", "adjusted", "--time", written)
		}
		out := s.json("drift", "--meter", "P1")
		assert.InDelta(t, -0.002, number(t, out, "error_now"), 0.006, "written: %s", written)
		events := out["events"].([]any)
		require.Len(t, events, 1, "written: %q", written)
		assert.Equal(t, 3.0, events[0].(map[string]any)["checks_before"], "found, adjusted, left: %q", written)
		assert.Contains(t, fmt.Sprint(events), "adjusted")
	}
}

// References made from one jar share its error, by the parts on record; those
// of jars of their own do not.
func TestDriftTakesThePartsOfReferences(t *testing.T) {
	width := func(shared bool) float64 {
		s := newSession(t)
		s.ok("meter", "add", "P1", "--quantity", "ec", "--unit", "uS/cm")
		var rows []logbook.Record
		for month := range 12 {
			jar := "jar"
			if !shared {
				jar = fmt.Sprint("jar ", month)
			}
			r := one(1000, 1000)
			r.RefParts = logbook.Parts{{Source: uncert.Source{ID: jar, Label: "purity"}, Size: 30, Stated: true}}
			r.URef, r.URefShared, r.Bottle = nil, nil, fmt.Sprint("B", month)
			rows = append(rows, checked(t, "P1", "ec", time.Date(2025, time.Month(3+month), 20, 0, 0, 0, 0, time.UTC).Format(time.DateOnly), "as-found", r))
		}
		s.save(rows...)
		return number(t, s.json("drift", "--meter", "P1"), "u_error_now")
	}
	s := aWholeRecord(t)
	r := one(1413, 1409)
	r.RefParts = logbook.Parts{{Source: uncert.Source{ID: "jar", Label: "purity"}, Size: 3, Stated: true}, {Source: uncert.Source{ID: "thermometer", Label: "temperature"}}}
	s.save(checked(t, "slow", "ec", "2026-02-25", "as-found", r))
	assert.Contains(t, fmt.Sprint(s.json("drift", "--meter", "slow")["warnings"]), "so the scatter of the checks has to tell: temperature")
	shared, own := width(true), width(false)
	assert.Greater(t, shared, 0.02)
	assert.Less(t, own, 0.75*shared)
}

// What cannot be used is left out, and said.
func TestDriftSaysWhatItLeavesOut(t *testing.T) {
	s := aWholeRecord(t)
	s.save(&logbook.Event{Meter: "fast", Event: "cleaned", Time: now().AddDate(0, 3, 0)})
	later := s.run("drift", "--meter", "fast")
	assert.Equal(t, statusDone, later.status, later.stderr)
	assert.Contains(t, later.stderr, "left out of the record: 1 row later than 2026-03-01")
	then := s.json("drift", "--meter", "fast", "--now", "2026-01-10")
	assert.Equal(t, 2.0, then["n"], "as it looked then")
	assert.Contains(t, fmt.Sprint(then["warnings"]), "3 rows later than 2026-01-10")
	never := s.run("drift", "--meter", "fast", "--now", "2025-10-01")
	assert.Equal(t, statusBadInput, never.status)
	assert.Contains(t, never.stderr, "meter fast: there is no check of it on record until 2025-10-01, only later")
	assert.Contains(t, fmt.Sprint(s.json("drift", "--all", "--now", "2025-10-01")["unchecked"]), "there is no check on record until 2025-10-01, only later")
	s.save(checked(t, "slow", "ec", "2026-02-25", "as-found", one(1413, 1410), one(0, 3)), checked(t, "slow", "temperature", "2026-02-26", "as-found", one(20, 21)))
	slow := s.json("drift", "--meter", "slow")
	assert.Equal(t, 5.0, slow["n"])
	assert.Contains(t, fmt.Sprint(slow["warnings"]), "1 calibration of another quantity than ec")
	assert.Contains(t, fmt.Sprint(slow["warnings"]), "1 reading of a reference of 0")
}

// A slip in one meter's checks does not keep the others from being told, and
// a corrected one counts as corrected.
func TestDriftAllGoesOnPastASlip(t *testing.T) {
	s := aWholeRecord(t)
	slip := checked(t, "slow", "ec", "2026-02-25", "as-found", one(1413, 1.41))
	s.save(slip)
	out := s.json("drift", "--all")
	assert.Equal(t, []string{"new", "slow"}, slices.Sorted(slices.Values(meterNames(out, "unchecked"))))
	assert.Contains(t, fmt.Sprint(out["unchecked"]), "thousand times smaller")
	assert.Contains(t, meterNames(out, "meters"), "fast")
	r := s.run("drift", "--meter", "slow")
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "meter slow: calibration "+slip.ID+", reading 1, column reading: found 1.41")
	right := checked(t, "slow", "ec", "2026-02-25", "as-found", one(1413, 1410))
	right.Supersedes = slip.ID
	s.save(right)
	assert.Equal(t, 5.0, s.json("drift", "--meter", "slow")["n"])
}

func TestDriftRefusesOnTheRecord(t *testing.T) {
	s := aWholeRecord(t)
	for _, c := range []struct {
		args  []string
		words string
	}{
		{[]string{"--meter", "fsat"}, `fast`},
		{[]string{"--meter", "new"}, "meter new: there is no check of it on record"},
		{[]string{"--meter", "slow", "--quantity", "ph"}, "--quantity ph: meter slow measures ec"},
		{[]string{"--all", "--quantity", "oxygen"}, "there is no such meter in use on record"},
	} {
		r := s.run(append([]string{"drift"}, c.args...)...)
		assert.Equal(t, statusBadInput, r.status, c.args)
		assert.Empty(t, r.stdout)
		assert.Contains(t, r.stderr, c.words)
	}
	none := filepath.Join(t.TempDir(), "none.db")
	r := invoke("drift", "--all", "--logbook", none)
	assert.Equal(t, statusBadInput, r.status)
	assert.NoFileExists(t, none)
	assert.Equal(t, statusDone, invoke("drift", penChecks, "--now", "2026-03-10", "--logbook", none).status)
	assert.NoFileExists(t, none, "a file needs no record and makes none")
}

// The built program, as cron runs it.
func TestBinaryDrift(t *testing.T) {
	s := aWholeRecord(t)
	folder := t.TempDir()
	args := []string{"--logbook", s.file, "--time-zone", "UTC", "drift", "--now", "2026-03-01"}
	out, errText, status := brinemark(t, append(args, "--all", "--check", "--calendar", filepath.Join(folder, "checks.ics"))...)
	assert.Equal(t, 3, status, errText)
	assert.Contains(t, out, "broken")
	assert.Contains(t, errText, "brinemark: check: the verdict is fail (broken)")
	assert.FileExists(t, filepath.Join(folder, "checks.ics"))
	out, errText, status = brinemark(t, append(args, "--meter", "fast", "--plot", filepath.Join(folder, "fast.png"), "--json")...)
	assert.Equal(t, 0, status, errText)
	assert.True(t, strings.HasPrefix(out, "{") && strings.HasSuffix(out, "}\n"), out)
	assert.FileExists(t, filepath.Join(folder, "fast.png"))
	_, errText, status = brinemark(t, append(args, "--meter", "slow", "--check")...)
	assert.Equal(t, 0, status, errText)
	out, errText, status = brinemark(t, "drift", filepath.Join(folder, "none.csv"))
	assert.Equal(t, 2, status)
	assert.Empty(t, out)
	assert.Contains(t, errText, "there is no such file")
}
