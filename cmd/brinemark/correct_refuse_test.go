package main

import (
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every refusal is one line on stderr with status 2, says what is wrong and what
// would be right, and writes nothing.
func TestCorrectRefuses(t *testing.T) {
	log := file(t, "log.csv", "time,ec,water\n2026-03-11T00:00:00Z,600,20\n")
	ec := aCalibration(t, "ec.json", "ec", "2026-03-01", "as-found", 0, 1)
	again := aCalibration(t, "again.json", "ec", "2026-03-01", "as-found", 0, 1)
	ph := aCalibration(t, "ph.json", "ph", "2026-03-02", "as-found", 0, 1)
	untimed := file(t, "untimed.json", `{"time": null, "fit": {"intercept": 0, "slope": 1}}`)
	inPPM := file(t, "ppm.json", `{"time": "2026-03-03", "unit": "ppm", "fit": {"intercept": 0, "slope": 1}}`)
	inUS := file(t, "us.json", `{"time": "2026-03-04", "unit": "uS/cm", "fit": {"intercept": 0, "slope": 1}}`)
	ofP1 := file(t, "p1.json", `{"time": "2026-03-05", "meter": "P1", "fit": {"intercept": 0, "slope": 1}}`)
	ofP2 := file(t, "p2.json", `{"time": "2026-03-06", "meter": "P2", "fit": {"intercept": 0, "slope": 1}}`)
	one := func(args ...string) []string { return append([]string{log, "--calibration", "ec=" + ec}, args...) }
	for _, c := range []struct {
		args []string
		want []string
	}{
		{[]string{log}, []string{"--calibration COLUMN=FILE.json", "--meter COLUMN=ID"}},
		{[]string{"--calibration", "ec=" + ec}, []string{"needs LOG.csv"}},
		{[]string{"nothing.csv", "--calibration", "ec=" + ec}, []string{"nothing.csv: there is no such file"}},
		{[]string{log, "--calibration", ec}, []string{"--calibration", "COLUMN=VALUE"}},
		{[]string{log, "--calibration", "ec=nothing.json"}, []string{"--calibration ec", "nothing.json: there is no such file"}},
		{[]string{log, "--calibration", "ec=" + log}, []string{"log.csv", "JSON"}},
		{[]string{log, "--calibration", "ec=" + filepath.Dir(log)}, []string{"is no calibration"}},
		{[]string{log, "--calibration", "ec=" + untimed}, []string{"untimed.json, key time: found nothing", "give calibrate --time"}},
		{one("--calibration", "ec="+again), []string{"column ec: two calibrations at one time", "ec.json and again.json", "leave one out"}},
		{one("--calibration", "ec="+ph), []string{"ph.json: is of quantity ph", "before of ec", "one meter"}},
		{[]string{log, "--calibration", "ec=" + inPPM, "--calibration", "ec=" + inUS}, []string{"us.json: is of readings in uS/cm", "before of ppm"}},
		{[]string{log, "--calibration", "ec=" + ofP1, "--calibration", "ec=" + ofP2}, []string{"p2.json: is of meter P2", "before of P1"}},
		{[]string{log, "--calibration", "eec=" + ec}, []string{"row 1, column eec", "ec, which is the nearest name"}},
		{one("--temp", "wter"), []string{"row 1, column wter", "water, which is the nearest name"}},
		{one("--time-column", "tme"), []string{"row 1, column tme", "time, which is the nearest name"}},
		{one("--compensation", "ec=none"), []string{"column ec", "no compensation", "--temp"}},
		{one("--compensation", "ec=half"), []string{"--compensation ec=half", "linear, none, natural-water"}},
		{one("--compensation", "ec=none:2%"), []string{"linear:1.9%"}},
		{one("--compensation", "ec=linear:2"), []string{"2%"}},
		{one("--compensation", "e=none"), []string{"--compensation e=none", "not corrected; ec is"}},
		{one("--compensation", "ec=none", "--compensation", "ec=linear"), []string{"twice"}},
		{one("--compensate-by", "linear", "--temp", "water"), []string{"--compensation ec=RULE"}},
		{one("--u-temp", "0.5C"), []string{"--u-temp", "--temp"}},
		{one("--u-temp=-1C", "--temp", "water"), []string{"--u-temp", "below 0"}},
		{one("--unit", "ec=ppm"), []string{"--unit ec=ppm", "ppm@0.5"}},
		{one("--unit", "ec=uS/cm"), []string{"--display COLUMN=UNIT"}},
		{one("--display", "ec=furlong"), []string{"furlong", "uS/cm, mS/cm or ppm"}},
		{one("--display", "ec=uS/cm@2"), []string{"ppm alone"}},
		{[]string{log, "--calibration", "ec=" + ph, "--compensation", "ec=none", "--temp", "water"}, []string{"it is of ph", "for conductivity"}},
		{[]string{log, "--calibration", "ec=" + ph, "--compensate-by", "linear"}, []string{"no column is of that"}},
		{one("--range", "ec=5"), []string{"--range ec=5", "LOW..HIGH"}},
		{one("--range", "ec=9..5"), []string{"lower end first"}},
		{one("--u-reading", "ec=-1"), []string{"--u-reading ec=-1", "below 0"}},
		{one("--drift", "ec=fast"), []string{"--drift ec=fast", "1% or 0.05"}},
		{one("--dry", "ec=-3"), []string{"--dry ec=-3", "below 0"}},
		{one("--stale-after", "90"), []string{"--stale-after", "90d"}},
		{one("--stale-after", "-3d"), []string{"--stale-after", "90d"}},
		{one("--json"), []string{"--json", "--out"}},
		{one("--json", "--out", "-"), []string{"--json", "--out"}},
		{one("--follow", "--out", "x.csv"), []string{"--follow", "--out"}},
		{one("--follow", "--json"), []string{"--follow writes the log to stdout", "--json the summary", "one of them"}},
		{one("--out", filepath.Join(filepath.Dir(log), "nowhere", "x.csv")), []string{"--out", "there is no folder", "nowhere"}},
		{one("--out", filepath.Dir(log)), []string{"--out", "is a folder"}},
		{one("--folow"), []string{"--folow", "--follow"}},
		{one("second.csv"), []string{"unexpected argument", "second.csv"}},
	} {
		r := invoke(append([]string{"correct"}, c.args...)...)
		what := strings.Join(c.args[:], " ")
		assert.Equal(t, statusBadInput, r.status, what)
		assert.Empty(t, r.stdout, what)
		assert.Equal(t, 1, strings.Count(r.stderr, "\n"), "%s: %s", what, r.stderr)
		for _, want := range c.want {
			assert.Contains(t, r.stderr, want, what)
		}
	}
}

// What the record cannot back is refused as well.
func TestCorrectRefusesOfTheRecord(t *testing.T) {
	s := newSession(t)
	log := file(t, "log.csv", "time,ec\n2026-03-11T00:00:00Z,600\n")
	refuse := func(want string, args ...string) {
		t.Helper()
		r := s.run(append([]string{"correct", log}, args...)...)
		assert.Equal(t, statusBadInput, r.status)
		assert.Empty(t, r.stdout)
		assert.Contains(t, r.stderr, want)
	}
	refuse("there is no record yet", "--meter", "ec=pen")
	s.ok("meter", "add", "pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5")
	refuse(`meter "pan" is not on record; the nearest is pen`, "--meter", "ec=pan")
	refuse("meter pen has no calibration on record", "--meter", "ec=pen")
	for _, reading := range []string{"580", "581"} {
		s.ok("calibrate", "--point", "300=290", "--point", "600="+reading, "--meter", "pen", "--save", "--time", "2026-03-01 09:00")
	}
	refuse("two calibrations as-found at 2026-03-01T09:00:00Z", "--meter", "ec=pen")
	refuse("has the meter pen already", "--meter", "ec=pen", "--meter", "ec=pen")
	refuse("want one or the other", "--meter", "ec=pen", "--calibration", "ec="+aCalibration(t, "ec.json", "ec", "2026-03-01", "as-found", 0, 1))
}

// From the record come: the calibrations that were not superseded, as found and
// as left; adjustments and replacements, but no cleaning; range, step, display
// and drift. Figures by hand.
func TestCorrectFromTheRecord(t *testing.T) {
	s := newSession(t)
	atNoon(t, "2026-04-01T12:00:00Z")
	s.ok("meter", "add", "pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--range", "0..1000", "--resolution", "10")
	calibrate := func(at, state, low, high string, more ...string) string {
		object := s.json(append([]string{"calibrate", "--point", "300=" + low, "--point", "600=" + high, "--meter", "pen", "--save", "--time", at, "--state", state,
			"--u-ref", "3", "--u-reading", "1"}, more...)...)
		return object["id"].(string)
	}
	wrong := calibrate("2026-03-01 00:00", "as-found", "200", "400")
	calibrate("2026-03-01 00:00", "as-found", "300", "600", "--corrects", wrong) // 1.0
	calibrate("2026-03-11 00:00", "as-found", "250", "500")                      // 1.2
	calibrate("2026-03-11 00:00", "as-left", "375", "750")                       // 0.8
	calibrate("2026-03-21 00:00", "as-found", "300", "600")                      // 1.0
	s.ok("event", "add", "pen", "cleaned", "--time", "2026-03-05 00:00")
	s.ok("event", "add", "pen", "adjusted", "--time", "2026-03-18 00:00")
	log := file(t, "log.csv", `time,ec
2026-02-28 00:00,400
2026-03-06 00:00,400
2026-03-11 00:00,400
2026-03-16 00:00,400
2026-03-19 00:00,400
2026-03-25 00:00,400
2026-03-25 00:00,1000
2026-03-25 00:00,-1
`)
	r := s.run("correct", log, "--meter", "ec=pen", "--dry", "ec=off")
	require.Equal(t, statusDone, r.status, r.stderr)
	var got []string
	for _, line := range strings.Split(strings.TrimSpace(r.stdout), "\n")[1:] {
		cells := strings.Split(line, ",")
		got = append(got, cells[2]+" "+cells[4])
	}
	assert.Equal(t, []string{" before-calibration", "440.0000000 ", "320.0000000 ", "320.0000000 ", "400.0000000 ", "400.0000000 ", "1000.000000 out-of-range", "-1.000000000 out-of-range"}, got,
		"1.1 half way, 0.8 as left and held to the adjustment, 1.0 held back to it")
	assert.Contains(t, r.stderr, "from its own checks")
	assert.Contains(t, r.stderr, "compensated by the meter itself (linear, 2 %/C to 25 C), and left so")

	s.ok("event", "add", "pen", "replaced", "--time", "2026-03-24 00:00")
	r = s.run("correct", log, "--meter", "ec=pen")
	assert.Contains(t, r.stderr, "no calibration applies from 2026-03-24 00:00 on")
	assert.Contains(t, r.stdout, "2026-03-25 00:00,400,,,before-calibration")
}

// A reading's own uncertainty is that of a step of the display where nothing
// better is known: 10/√12.
func TestCorrectTakesTheStepOfTheDisplay(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "pen", "--quantity", "ec", "--unit", "uS/cm", "--resolution", "10")
	s.ok("calibrate", "--point", "300=300", "--point", "600=600", "--meter", "pen", "--save", "--time", "2026-03-01", "--u-ref", "0")
	log := file(t, "log.csv", "time,ec\n2026-03-01T00:00:00Z,600\n")
	variance := func(args ...string) float64 {
		r := s.run(append([]string{"correct", log, "--meter", "ec=pen"}, args...)...)
		require.Equal(t, statusDone, r.status, r.stderr)
		u, err := strconv.ParseFloat(strings.Split(strings.Split(r.stdout, "\n")[1], ",")[3], 64)
		require.NoError(t, err)
		return u * u
	}
	without := variance("--u-reading", "ec=0")
	assert.InDelta(t, 100.0/12, variance()-without, 0.02)
	assert.InDelta(t, 25, variance("--u-reading", "ec=5")-without, 0.02, "what is typed goes before it")
}
