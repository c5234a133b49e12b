package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// aCalibration is a calibration's file with the contract's keys alone.
func aCalibration(t *testing.T, name, quantity, at, state string, intercept, slope float64) string {
	t.Helper()
	return file(t, name, fmt.Sprintf(`{"quantity": %q, "time": %q, "state": %q,
"fit": {"method": "two-point", "n": 2, "intercept": %v, "slope": %v, "u_intercept": 3, "u_slope": 0.01, "cov": -0.024},
"points": [{"ref": 100, "reading": 0}, {"ref": 2000, "reading": 1900}]}`, quantity, at, state, intercept, slope))
}

// march are three calibrations of a conductivity pen: as left on the 1st, as
// found and as left on the 31st.
func march(t *testing.T, column string) []string {
	t.Helper()
	var args []string
	for _, c := range []struct {
		at, state        string
		intercept, slope float64
	}{{"2026-03-31", "as-left", 0, 0.9}, {"2026-03-01", "as-left", 1, 1.05}, {"2026-03-31", "as-found", 4, 1.11}} {
		args = append(args, "--calibration", column+"="+aCalibration(t, c.at+c.state+".json", "ec", c.at+"T00:00:00Z", c.state, c.intercept, c.slope))
	}
	return args
}

// correctLog corrects a log and gives its rows, the header first.
func correctLog(t *testing.T, log string, args ...string) [][]string {
	t.Helper()
	r := invoke(append([]string{"correct", file(t, "log.csv", log), "--time-zone", "UTC"}, args...)...)
	require.Equal(t, statusDone, r.status, r.stderr)
	rows, err := csv.NewReader(strings.NewReader(r.stdout)).ReadAll()
	require.NoError(t, err)
	return rows
}

// Rows computed by hand: on the 11th the line is 2 + 1.07 x, on the 21st
// 3 + 1.09 x; on the 31st as left 0 + 0.9 x, and so for ever. The nearest
// calibration, the line as found in place of as left, or none interpolated, all
// give other figures.
func TestCorrectRowsByHand(t *testing.T) {
	rows := correctLog(t, `time,ec
2026-02-28T23:59:59Z,600
2026-03-01T00:00:00Z,600
2026-03-11T00:00:00Z,600
2026-03-11T00:00:00Z,0
2026-03-21T00:00:00Z,1000
2026-03-30T23:59:59.999Z,600
2026-03-31T00:00:00Z,600
2026-04-20T00:00:00Z,600
2026-03-11T01:00:00+01:00,600
2026-03-11,600
1773187200,600
2026-08-01T00:00:00Z,600
2026-03-11T00:00:00Z,1901
2026-03-11T00:00:00Z,
2026-03-11T00:00:00Z,Err
2026-02-01T00:00:00Z,Err
`, append(march(t, "ec"), "--dry", "ec=off")...)
	assert.Equal(t, []string{"time", "ec", "ec_corrected", "ec_u", "ec_flag"}, rows[0])
	for i, want := range []struct {
		value float64
		flag  string
	}{
		{-1, "before-calibration"}, {631, ""}, {644, ""}, {2, ""}, {1093, ""}, {670, ""}, {540, ""}, {540, ""},
		{644, ""}, {644, ""}, {644, ""}, {540, "stale"}, {2036.07, "out-of-range"}, {-1, "blank"}, {-1, "not-a-number"}, {-1, "not-a-number"},
	} {
		row := rows[i+1]
		assert.Equal(t, want.flag, row[4], "%v", row)
		if want.value < 0 {
			assert.Equal(t, []string{"", ""}, row[2:4], "%v", row)
			continue
		}
		value, err := strconv.ParseFloat(row[2], 64)
		require.NoError(t, err)
		assert.InDelta(t, want.value, value, 1e-5, "%v", row)
	}
	// By hand: 9 + 2·600·(-0.024) + 600²·0.0001 = 16.2 at a calibration.
	assert.Equal(t, "4.025", rows[2][3])
}

// Every byte of a log stays, whatever it is written like; only the new columns
// come behind it.
func TestCorrectKeepsEveryByte(t *testing.T) {
	log := "\ufefftime ,\"a \"\"note\"\"\", ec ,x\r\n" +
		"2026-03-11T00:00:00Z,\"two\r\nlines, and a comma\",  600.00 ,007\r\n" +
		"\r\n" +
		"2026-03-11T00:00:00Z,\"\",6.0e2,\u00b5\r\n" +
		"2026-03-11T00:00:00Z,,\"600\",-0"
	r := invoke(append([]string{"correct", file(t, "log.csv", log), "--dry", "ec=off"}, march(t, "ec")...)...)
	require.Equal(t, statusDone, r.status, r.stderr)
	left := r.stdout
	for _, line := range strings.Split(log, "\r\n") {
		assert.Contains(t, left, line)
		left = left[strings.Index(left, line)+len(line):]
	}
	assert.Equal(t, 3, strings.Count(r.stdout, ",644.0000000,"), r.stdout)
	assert.Contains(t, r.stdout, ",ec_corrected,ec_u,ec_flag\r\n")
}

// Two probes of one kind in one log are told apart by column, in whatever order
// they are named.
func TestCorrectTellsColumnsApart(t *testing.T) {
	left := aCalibration(t, "left.json", "ec", "2026-03-01", "as-found", 0, 1.1)
	right := aCalibration(t, "right.json", "ec", "2026-03-01", "as-found", 0, 0.9)
	ph := aCalibration(t, "ph.json", "ph", "2026-03-01", "as-found", 0.5, 1)
	log := "right,ph,time,left\n1000,6,2026-03-02T00:00:00Z,1000\n"
	for _, args := range [][]string{
		{"--calibration", "left=" + left, "--calibration", "ph=" + ph, "--calibration", "right=" + right},
		{"--calibration", "right=" + right, "--calibration", "left=" + left, "--calibration", "ph=" + ph},
	} {
		rows := correctLog(t, log, args...)
		got := map[string]string{}
		for i, name := range rows[0] {
			got[name] = rows[1][i]
		}
		assert.Equal(t, "1100.000000", got["left_corrected"])
		assert.Equal(t, "900.0000000", got["right_corrected"])
		assert.Equal(t, "6.500000000", got["ph_corrected"])
	}
}

// A pen without compensation is brought to 25 C by the row's own temperature; a
// thermometer's error counts.
func TestCorrectForTemperature(t *testing.T) {
	one := "ec=" + aCalibration(t, "one.json", "ec", "2026-03-01", "as-found", 0, 1)
	log := "time,ec,water\n2026-03-01T00:00:00Z,900,20\n2026-03-01T00:00:00Z,900,30.0\n2026-03-01T00:00:00Z,900,\n2026-03-01T00:00:00Z,900,?\n"
	rows := correctLog(t, log, "--calibration", one, "--compensation", "ec=none", "--temp", "water", "--u-temp", "0.5C", "--dry", "ec=off")
	assert.Equal(t, "1000.000000", rows[1][3], "900 / (1 + 0.02 (20 - 25))")
	assert.Equal(t, "818.1818182", rows[2][3], "900 / 1.1")
	assert.Equal(t, []string{"", "", "blank"}, rows[3][3:])
	assert.Equal(t, []string{"", "", "not-a-number"}, rows[4][3:])
	u, err := strconv.ParseFloat(rows[1][4], 64)
	require.NoError(t, err)
	// (900: 9 - 43.2 + 81 = 46.8) / 0.81, and (1000 · 0.02/0.9 · 0.5)² = 123.5
	assert.InDelta(t, 13.47, u, 0.01)

	rows = correctLog(t, log, "--calibration", one, "--compensation", "ec=none", "--temp", "water", "--compensate-by", "natural-water", "--dry", "ec=off")
	value, err := strconv.ParseFloat(rows[1][3], 64)
	require.NoError(t, err)
	assert.InDelta(t, 900*1.116, value, 0.5, "ISO 7888:1985, the factor for 20 C")

	rows = correctLog(t, log, "--calibration", one, "--compensation", "ec=linear:1.9%", "--temp", "water")
	assert.Equal(t, []string{"900.0000000", ""}, []string{rows[3][3], rows[3][5]}, "a pen that does it itself is left so, and needs no temperature")
	rows = correctLog(t, log, "--calibration", one, "--compensation", "ec=linear:1.9%:20C", "--compensate-by", "none", "--temp", "water", "--dry", "ec=off")
	assert.Equal(t, "1071.000000", rows[2][3], "900 · (1 + 0.019 (30 - 20))")
	rows = correctLog(t, log, "--calibration", one, "--temp", "water")
	assert.Equal(t, "900.0000000", rows[1][3], "--temp alone changes nothing")
}

// What looks like a slip is said.
func TestCorrectSaysWhatLooksLikeASlip(t *testing.T) {
	of := file(t, "p1.json", `{"time": "2026-03-05", "meter": "P1", "quantity": "ph", "fit": {"intercept": 0, "slope": 1}}`)
	r := invoke("correct", file(t, "log.csv", "time,a,b,water\n2026-03-06,6,6,20\n"), "--calibration", "a="+of, "--calibration", "b="+of, "--temp", "water")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, "column b: it is taken to be of the meter of column a, P1")
	assert.Contains(t, r.stderr, "--temp changes nothing")
	assert.Contains(t, r.stderr, "p1.json states no uncertainty, so a_u is empty")
	assert.Contains(t, r.stdout, "2026-03-06,6,6,20,6.000000000,,,6.000000000,,\n")
	few := file(t, "few.json", `{"time": "2026-03-05", "quantity": "ph", "fit": {"method": "line", "dof": 1, "intercept": 0, "slope": 1, "u_intercept": 0.1, "u_slope": 0.01, "cov": 0}}`)
	r = invoke("correct", file(t, "log.csv", "time,a\n2026-03-06,6\n"), "--calibration", "a="+few)
	assert.Contains(t, r.stderr, "few points (1 degrees of freedom)")
}

// A thermometer that is corrected in the same log counts as corrected: 19 C that
// is 20 C, and as read before it was calibrated.
func TestCorrectByTheCorrectedTemperature(t *testing.T) {
	for _, order := range [][2]string{{"ec", "water"}, {"water", "ec"}} {
		files := map[string]string{
			"ec":    aCalibration(t, "ec.json", "ec", "2026-03-01", "as-found", 0, 1),
			"water": aCalibration(t, "water.json", "temperature", "2026-03-05", "as-found", 1, 1),
		}
		rows := correctLog(t, "time,ec,water\n2026-03-06T00:00:00Z,900,19\n2026-03-02T00:00:00Z,900,20\n", "--calibration", order[0]+"="+files[order[0]],
			"--calibration", order[1]+"="+files[order[1]], "--compensation", "ec=none", "--temp", "water", "--dry", "ec=off")
		at := slices.Index(rows[0], "ec_corrected")
		assert.Equal(t, "1000.000000", rows[1][at], "900 / (1 + 0.02 (20 - 25))")
		assert.Equal(t, "1000.000000", rows[2][at])
	}
}

// The unit of the display is written unless another is asked for.
func TestCorrectUnits(t *testing.T) {
	one := "ec=" + aCalibration(t, "one.json", "ec", "2026-03-01", "as-found", 0, 1)
	log := "time,ec\n2026-03-01T00:00:00Z,600\n"
	for _, c := range []struct{ display, unit, want string }{
		{"ppm@0.5", "uS/cm", "1200.000000"}, {"ppm@0.5", "mS/cm", "1.200000000"}, {"uS/cm", "ppm@0.7", "420.0000000"},
		{"ppm@0.5", "ppm@0.64", "768.0000000"}, {"mS/cm", "uS/cm", "600000.0000"}, {"uS/cm", "uS/cm", "600.0000000"},
	} {
		rows := correctLog(t, log, "--calibration", one, "--display", "ec="+c.display, "--unit", "ec="+c.unit)
		assert.Equal(t, c.want, rows[1][2], "%+v", c)
	}
}

// The result with --json: every key that is promised, notes in it, times in the
// zone asked for.
func TestCorrectJSON(t *testing.T) {
	log := file(t, "log.csv", "time,ec\n2026-02-01T00:00:00Z,600\n2026-03-11T00:00:00Z,600\n2026-03-10T00:00:00Z,500\n")
	out := filepath.Join(t.TempDir(), "out.csv")
	r := invoke(append([]string{"correct", log, "--json", "--out", out, "--time-zone", "Europe/Vienna"}, march(t, "ec")...)...)
	require.Equal(t, statusDone, r.status, r.stderr)
	var got map[string]any
	require.NoError(t, json.Unmarshal([]byte(r.stdout), &got))
	assert.Equal(t, "log.csv", got["log"])
	assert.Equal(t, 3.0, number(t, got, "rows"))
	assert.Equal(t, 1.0, number(t, got, "rows_back_in_time"))
	assert.Equal(t, "2026-02-01T01:00:00+01:00", got["first"])
	assert.Contains(t, texts(got), "1 row lies before one above")
	column := got["columns"].([]any)[0].(map[string]any)
	assert.Equal(t, map[string]any{"before-calibration": 1.0}, column["flagged"])
	assert.Equal(t, 2.0, number(t, column, "corrected"))
	assert.InDelta(t, 644, number(t, column, "largest", "corrected"), 1e-9)
	assert.Equal(t, "2026-03-11T01:00:00+01:00", column["largest"].(map[string]any)["time"])
	assert.InDelta(t, 550, number(t, column, "mean_reading"), 1e-9)
	assert.Equal(t, 3.0, number(t, column, "calibrations"))
	assert.NotEmpty(t, column["notes"])
	written, err := os.ReadFile(out)
	require.NoError(t, err)
	assert.Contains(t, string(written), "2026-03-11T00:00:00Z,600,644.0000000,")
}

// aprilLog is a log of two probes, a row an hour for forty days, with a stretch
// out of the liquid and a display that stood still.
func aprilLog() string {
	var b strings.Builder
	b.WriteString("time,ec,water,ph\n")
	at := time.Date(2026, 3, 28, 0, 0, 0, 0, time.UTC)
	for i := range 40 * 24 {
		ec, ph := fmt.Sprint(1180+i%48-i/8), fmt.Sprintf("%.2f", 6.05+float64(i%24)/200)
		switch {
		case i >= 300 && i < 320:
			ec = "3"
		case i >= 500 && i < 503:
			ec = "1999"
		case i == 600:
			ph = ""
		case i == 700:
			ph = "Err"
		}
		fmt.Fprintf(&b, "%s,%s,%.1f,%s\n", at.Add(time.Duration(i)*time.Hour).Format("2006-01-02 15:04"), ec, 19+float64(i%24)/10, ph)
	}
	return b.String()
}

func TestCorrectGolden(t *testing.T) {
	s := newSession(t)
	atNoon(t, "2026-06-01T12:00:00Z")
	log := file(t, "april.csv", aprilLog())
	run := func(args ...string) {
		r := s.run(args...)
		require.Equal(t, statusDone, r.status, r.stderr)
	}
	keep := func(args ...string) {
		r := invoke(append([]string{"--time-zone", "UTC", "--logbook", s.file}, args...)...)
		require.Equal(t, statusDone, r.status, r.stderr)
	}
	keep("meter", "add", "old pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--resolution", "1", "--range", "0..1999", "--tolerance", "5%", "--compensation", "none")
	keep("meter", "add", "P2", "--quantity", "ph", "--resolution", "0.01", "--tolerance", "0.2")
	check := func(meter, at, state string, points ...string) {
		args := []string{"calibrate", "--meter", meter, "--save", "--time", at, "--state", state, "--u-reading", "0.2%"}
		for _, p := range points {
			args = append(args, "--point", p)
		}
		keep(append(args, "--u-ref", "0.5%")...)
	}
	check("old pen", "2026-03-01 10:00", "as-found", "300=294", "1500=1470")
	check("old pen", "2026-04-01 10:00", "as-found", "300=276", "1500=1382")
	check("old pen", "2026-04-01 10:00", "as-left", "300=299", "1500=1497")
	check("old pen", "2026-05-01 10:00", "as-found", "300=281", "1500=1405")
	check("P2", "2026-04-01 11:00", "as-found", "4=4.02", "7=6.98")
	keep("event", "add", "old pen", "adjusted", "--time", "2026-04-01 10:00")
	keep("event", "add", "P2", "replaced", "--time", "2026-05-03 09:00")
	out := filepath.Join(t.TempDir(), "out.csv")
	run("correct", log, "--meter", "ec=old pen", "--meter", "ph=P2", "--temp", "water", "--unit", "ec=uS/cm", "--out", out)
	text := strings.NewReplacer(log, "april.csv", out, "out.csv").Replace(s.screen.String())
	text = chance.ReplaceAllString(text, "$1-xxxxxxxxxxxx")
	written, err := os.ReadFile(out)
	require.NoError(t, err)
	lines := strings.Split(string(written), "\n")
	text += "out.csv:\n" + strings.Join(append(lines[:3:3], lines[106], lines[107], lines[301], lines[501], lines[601], lines[701], lines[len(lines)-2]), "\n") + "\n"
	golden(t, "correct/record.txt", text)
}
