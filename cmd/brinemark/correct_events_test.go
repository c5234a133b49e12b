package main

import (
	"compress/gzip"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// aTub is two weeks of a tub, with what happened to it: water was added on the
// 4th at 10:00, the probe hung in air on the 6th from 08:00 to 12:09 until the tub was
// refilled, somebody turned the pen's trimmer on the 9th at 05:00, and the pH probe
// stuck on the 11th from 01:40 to 15:00.
func aTub(step int) string {
	rng := rand.New(rand.NewPCG(3, 3))
	var b strings.Builder
	b.WriteString("time,ec,ph,water_C\n")
	ec, ph, gain := 1450.0, 5.9, 1.0
	begin := time.Date(2026, 5, 1, 0, 0, 0, 0, time.UTC)
	for i := 0; i < 14*1440; i++ {
		switch i {
		case 3*1440 + 600:
			ec, ph = ec*0.88, ph+0.2
		case 5*1440 + 730:
			ec, ph = 1600, 5.8
		case 8*1440 + 300:
			gain = 1.09
		}
		day := 2 * math.Pi * float64(i) / 1440
		shown := ec * gain * (1 + 0.01*math.Sin(day)) * (1 + 0.002*rng.NormFloat64())
		if i >= 5*1440+480 && i < 5*1440+730 {
			shown = math.Abs(4 + 3*rng.NormFloat64())
		}
		acid := ph + 0.02*math.Sin(day) + 0.01*rng.NormFloat64()
		if i >= 10*1440+100 && i < 10*1440+900 {
			acid = 5.81
		}
		if i%step == 0 {
			fmt.Fprintf(&b, "%s,%.0f,%.2f,%.1f\n", begin.Add(time.Duration(i)*time.Minute).Format("2006-01-02T15:04"), shown, acid, 20+2*math.Sin(day))
		}
	}
	return b.String()
}

// tubArgs correct a tub's log by one calibration of each probe.
func tubArgs(t *testing.T, log string, more ...string) []string {
	return append([]string{"correct", log, "--temp", "water_C", "--time-zone", "UTC",
		"--calibration", "ec=" + aCalibration(t, "ec.json", "ec", "2026-04-30T00:00:00Z", "as-left", 3, 1.02),
		"--calibration", "ph=" + aCalibration(t, "ph.json", "ph", "2026-04-30T00:00:00Z", "as-left", 0.05, 0.99)}, more...)
}

func TestEventsAndDaysOfATub(t *testing.T) {
	folder := t.TempDir()
	log := file(t, "log.csv", aTub(1))
	events, days := filepath.Join(folder, "events.csv"), filepath.Join(folder, "days.csv")
	plain := invoke(tubArgs(t, log)...)
	require.Equal(t, statusDone, plain.status, plain.stderr)
	watched := invoke(tubArgs(t, log, "--events", events, "--daily", days)...)
	require.Equal(t, statusDone, watched.status, watched.stderr)
	assert.Equal(t, plain.stdout, watched.stdout, "to be watched changes nothing in the log")
	golden(t, "correct/events.csv", read(t, events))
	golden(t, "correct/daily.csv", read(t, days))
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, left, 2, "nothing but the two files is left")

	// Rows as they come, and the same events afterwards: the stretch in air begins with the
	// fall, though live flags say so three rows later.
	live := filepath.Join(folder, "live.csv")
	followed := invoke(tubArgs(t, log, "--follow", "--events", live)...)
	require.Equal(t, statusDone, followed.status, followed.stderr)
	assert.Equal(t, times(read(t, events)), times(read(t, live)), "events after --follow")
	assert.NotEqual(t, watched.stdout, followed.stdout, "the live flags are later")
}

// times are the first three columns of an events file.
func times(events string) (list []string) {
	for _, line := range strings.Split(events, "\n") {
		if parts := strings.SplitN(line, ",", 4); len(parts) == 4 {
			list = append(list, strings.Join(parts[:3], ","))
		}
	}
	return list
}

func read(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

// A day is that of --time-zone, and a name that ends in .gz is packed.
func TestDaysAreThoseOfTheZone(t *testing.T) {
	days := filepath.Join(t.TempDir(), "days.csv.gz")
	log := file(t, "log.csv", "time,ec\n2026-05-01T20:00:00Z,1000\n2026-05-01T21:59:00Z,1100\n2026-05-01T22:00:00Z,1200\n2026-05-01T23:00:00Z,\n")
	r := invoke("correct", log, "--time-zone", "Europe/Vienna", "--daily", days,
		"--calibration", "ec="+aCalibration(t, "ec.json", "ec", "2026-04-30T00:00:00Z", "as-left", 0, 1))
	require.Equal(t, statusDone, r.status, r.stderr)
	packed, err := os.Open(days)
	require.NoError(t, err)
	defer packed.Close()
	unpacked, err := gzip.NewReader(packed)
	require.NoError(t, err)
	text, err := io.ReadAll(unpacked)
	require.NoError(t, err)
	assert.Equal(t, "day,column,rows,min,median,max,flagged_share\n2026-05-01,ec,2,1000,1050,1100,0\n2026-05-02,ec,2,1200,1200,1200,0.5\n", string(text))
}

// What --events and --daily refuse, before anything is written.
func TestSideFilesThatCannotBe(t *testing.T) {
	folder := t.TempDir()
	log := file(t, "log.csv", aTub(60))
	one := filepath.Join(folder, "one.csv")
	for name, c := range map[string]struct {
		args []string
		says string
	}{
		"stdout":     {[]string{"--events", "-"}, "--events needs the name of a file"},
		"a folder":   {[]string{"--daily", folder}, "is a folder"},
		"no folder":  {[]string{"--daily", filepath.Join(folder, "none", "d.csv")}, "there is no folder"},
		"twice":      {[]string{"--daily", one, "--events", one}, "is that of --events"},
		"as the log": {[]string{"--events", log}, "is the log itself"},
		"as --out":   {[]string{"--events", one, "--out", one}, "is that of --out"},
	} {
		t.Run(name, func(t *testing.T) {
			r := invoke(tubArgs(t, log, c.args...)...)
			assert.Equal(t, statusBadInput, r.status)
			assert.Contains(t, r.stderr, c.says)
			left, err := os.ReadDir(folder)
			require.NoError(t, err)
			assert.Empty(t, left)
			assert.Equal(t, aTub(60), read(t, log), "the log stays")
		})
	}
}

// A log that breaks off leaves no half file, and the file of before stays.
func TestSideFilesOfABadLog(t *testing.T) {
	folder := t.TempDir()
	events := filepath.Join(folder, "events.csv")
	require.NoError(t, os.WriteFile(events, []byte("of before"), 0o600))
	r := invoke(tubArgs(t, file(t, "log.csv", aTub(60)+"2026-05-15T00:00,1,2,3,4,5\n"), "--events", events, "--daily", filepath.Join(folder, "days.csv"))...)
	assert.Equal(t, statusBadInput, r.status)
	assert.Equal(t, "of before", read(t, events))
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, left, 1)
}

// A day that comes back after others has two lines, and a warning says so.
func TestDaysThatComeBack(t *testing.T) {
	days := filepath.Join(t.TempDir(), "days.csv")
	log := file(t, "log.csv", "time,ec\n2026-05-01T20:00,1000\n2026-05-02T20:00,1100\n2026-05-03T20:00,1200\n2026-05-01T21:00,1300\n")
	r := invoke("correct", log, "--time-zone", "UTC", "--daily", days,
		"--calibration", "ec="+aCalibration(t, "ec.json", "ec", "2026-04-30T00:00:00Z", "as-left", 0, 1))
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, "--daily: 1 line is of a day that had been written before")
	assert.Equal(t, 2, strings.Count(read(t, days), "2026-05-01,ec,1,"))
}
