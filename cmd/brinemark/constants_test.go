package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fitted is a calibration as it is saved, of a line with uncertainties.
func fitted(t *testing.T, meter, day, state string, intercept, slope float64) *logbook.Calibration {
	t.Helper()
	c := checked(t, meter, "ec", day, state, one(300, 298), one(1413, 1390))
	uIntercept, uSlope, cov := 2.5, 0.004, -0.008
	c.Method, c.N, c.Unit, c.UBasis, c.Intercept, c.Slope = "errors-in-both", 2, "uS/cm", "stated", intercept, slope
	c.UIntercept, c.USlope, c.Cov, c.ReadingLow, c.ReadingHigh = &uIntercept, &uSlope, &cov, 84, 1390
	return c
}

// withConstants is a record of three meters: P1 in use, "old" out of use, and
// "new" that nobody has calibrated.
func withConstants(t *testing.T) *session {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ec", "--unit", "uS/cm", "--range", "0..3999", "--resolution", "1", "--tolerance", "5%", "--compensation", "none")
	s.ok("meter", "add", "old", "--quantity", "ec", "--unit", "uS/cm", "--alpha", "2%")
	s.ok("meter", "add", "new", "--quantity", "ec", "--unit", "uS/cm", "--alpha", "2%")
	for _, c := range []*logbook.Calibration{
		fitted(t, "P1", "2026-01-05", "as-found", -2, 1.004), fitted(t, "P1", "2026-02-05", "as-found", -4, 1.034),
		fitted(t, "P1", "2026-02-19", "as-left", 1, 1.001), fitted(t, "old", "2025-11-05", "as-found", 0, 1.02),
	} {
		c.ID = "calibration-" + c.Meter + c.Time.Format("-0102")
		s.save(c)
	}
	s.ok("event", "add", "P1", "adjusted", "--time", "2026-02-12")
	s.ok("meter", "retire", "old", "--time", "2026-02-01")
	s.screen.Reset()
	return s
}

var sqlArguments = []string{"--table", "log", "--column", "ec", "--temp", "temp_C"}

func TestConstantsGolden(t *testing.T) {
	for _, format := range constantsFormats() {
		s := withConstants(t)
		args := []string{"constants", "P1", "--format", format}
		if strings.HasPrefix(format, sqlFormat) {
			args = append(args, sqlArguments...)
		} else {
			args = append(args, "--at", "2026-01-20T18:00:00Z")
		}
		s.ok(args...)
		s.golden("constants/" + format + ".txt")
	}
}

func TestConstantsAsJSON(t *testing.T) {
	s := withConstants(t)
	out := s.json("constants", "P1", "--at", "2026-01-20T12:00:00Z")
	// Half way between 5 January (-2, 1.004) and 5 February (-4, 1.034), by hand.
	assert.InDelta(t, -3, number(t, out, "intercept"), 1e-12)
	assert.InDelta(t, 1.019, number(t, out, "slope"), 1e-12)
	assert.Equal(t, "interpolated", out["basis"])
	assert.Equal(t, "2026-01-05T00:00:00Z", out["calibration"].(map[string]any)["time"])
	assert.Equal(t, "2026-02-05T00:00:00Z", out["next_calibration"].(map[string]any)["time"])
	assert.Len(t, out["pieces"], 3, "to February, held to the adjustment, as left")
	assert.Equal(t, "none", out["conversion"].(map[string]any)["compensation"].(map[string]any)["rule"])
	same := s.ok("constants", "P1", "--at", "2026-01-20T12:00:00Z", "--format", "json")
	var again map[string]any
	require.NoError(t, json.Unmarshal([]byte(same), &again))
	assert.Equal(t, out, again, "--format json is --json")

	held := s.json("constants", "P1")
	assert.Equal(t, "2026-03-01T12:00:00Z", held["at"], "now")
	assert.InDelta(t, 1.001, number(t, held, "slope"), 1e-12)
	assert.Nil(t, held["next_calibration"])
	assert.Equal(t, "as-left", held["calibration"].(map[string]any)["state"])
	early := s.json("constants", "P1", "--at", "2026-02-19T00:00:00Z")
	assert.Greater(t, number(t, held, "u_slope"), number(t, early, "u_slope"), "it drifts")
}

func TestConstantsWarn(t *testing.T) {
	s := withConstants(t)
	r := s.run("constants", "P1", "--at", "2026-03-20")
	assert.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, "warning: 2026-03-20T00:00:00Z has not come yet")
	r = s.run("constants", "P1", "--at", "2030-01-01", "--format", "c")
	assert.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, "warning: the last calibration, of 2026-02-19T00:00:00Z, is too old at that time")
	for _, format := range []string{"table", "c", "sql-duckdb"} {
		args := []string{"constants", "old", "--format", format}
		if format == "sql-duckdb" {
			args = append(args, "--table", "log", "--column", "ec")
		}
		r = s.run(args...)
		assert.Equal(t, statusDone, r.status, r.stderr)
		assert.Contains(t, r.stderr, "warning: meter old is out of use since 2026-02-01", format)
	}
	out := s.json("constants", "old")
	assert.Contains(t, out["warnings"], "meter old is out of use since 2026-02-01")
	assert.Equal(t, true, out["stale"], "since the third of February")
	r = s.run("constants", "old", "--format", "sql-sqlite", "--table", "log", "--column", "ec", "--temp", "temp_C")
	assert.Contains(t, r.stderr, "note: --temp is not used")
}

func TestConstantsIntoFiles(t *testing.T) {
	s := withConstants(t)
	path := filepath.Join(t.TempDir(), "p1.h")
	assert.Empty(t, s.ok("constants", "P1", "--format", "c", "--out", path))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, s.ok("constants", "P1", "--format", "c"), string(text))
	assert.Equal(t, s.ok("constants", "P1", "--format", "c", "--out", "-"), string(text))
	out := s.json("constants", "P1", "--format", "c", "--out", path)
	assert.Equal(t, "P1", out["meter"], "the file has the header, and stdout the object")
	again, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, text, again)
	r := s.run("constants", "P1", "--format", "c", "--out", filepath.Join(t.TempDir(), "no", "p1.h"))
	assert.Equal(t, statusBadInput, r.status, r.stderr)
	assert.Contains(t, r.stderr, "there is no folder")
}

func TestConstantsOfFiles(t *testing.T) {
	t.Chdir(t.TempDir())
	atNoon(t, "2026-03-01T12:00:00Z")
	write := func(name, text string) { require.NoError(t, os.WriteFile(name, []byte(text), 0o600)) }
	write("a.json", `{"quantity": "ph", "time": "2026-02-01T12:00:00Z", "fit": {"method": "line", "intercept": 0.1, "slope": 1.02, "u_intercept": 0.05, "u_slope": 0.007, "cov": -0.0003, "reading_low": 4, "reading_high": 10}}`)
	write("b.json", `{"quantity": "ph", "time": "2026-02-21T12:00:00Z", "meter": "stick", "fit": {"method": "line", "intercept": 0.3, "slope": 1.04, "reading_low": 4, "reading_high": 7}}`)
	write("ec.json", `{"quantity": "ec", "time": "2026-02-21T12:00:00Z", "fit": {"method": "gain", "intercept": 0, "slope": 1.04}}`)
	r := invoke("--json", "constants", "--calibration", "a.json", "--calibration", "b.json", "--at", "2026-02-11T12:00:00Z", "--stale-after", "20d", "--u-reading", "0.01")
	require.Equal(t, statusDone, r.status, r.stderr)
	var out map[string]any
	require.NoError(t, json.Unmarshal([]byte(r.stdout), &out))
	assert.Equal(t, "stick", out["meter"], "as a file says")
	assert.InDelta(t, 0.2, number(t, out, "intercept"), 1e-12)
	assert.InDelta(t, 1.03, number(t, out, "slope"), 1e-12)
	assert.Nil(t, out["u_slope"], "one of the two does not say")
	assert.Equal(t, "2026-03-13T12:00:00Z", out["stale_from"])
	r = invoke("constants", "tank", "--calibration", "a.json", "--format", "c")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stdout, "brinemark_tank_correct(float reading)")
	r = invoke("constants", "--calibration", "a.json", "--calibration", "ec.json")
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "calibrations of one meter")
}

func TestConstantsRefuse(t *testing.T) {
	s := withConstants(t)
	long := strings.Repeat("x", 70)
	for _, c := range []struct {
		args  []string
		words string
	}{
		{nil, "constants needs a METER on record, or --calibration FILE.json"},
		{[]string{"P9"}, `meter "P9" is not on record; the nearest is P1`},
		{[]string{"new"}, "meter new has no calibration on record"},
		{[]string{"P1", "P2"}, `unexpected argument "P2"`},
		{[]string{"P1", "--at", "2025-12-31"}, "no calibration applies at 2025-12-31T00:00:00Z: the first is of 2026-01-05T00:00:00Z"},
		{[]string{"P1", "--at", "2026-02-14", "--format", "c"}, "after what was done to the meter on 2026-02-12T00:00:00Z and before 2026-02-19T00:00:00Z"},
		{[]string{"P1", "--at", "soon"}, "--at:"},
		{[]string{"P1", "--format", "jsn"}, "the nearest right word is json"},
		{[]string{"P1", "--format", "sql-sqlite"}, "--format sql-sqlite needs --table NAME"},
		{[]string{"P1", "--format", "sql-sqlite", "--table", "log"}, "--format sql-sqlite needs --column NAME"},
		{[]string{"P1", "--format", "sql-sqlite", "--table", "log", "--column", "ec"}, "no column of the temperature is named"},
		{[]string{"old", "--format", "sql-duckdb", "--table", "log", "--column", "ec", "--at", "2026-01-01"}, "--at belongs to table, json and c"},
		{[]string{"old", "--format", "sql-postgresql", "--table", long, "--column", "ec"}, "the table of readings: \"xxxx"},
		{[]string{"old", "--format", "sql-postgresql", "--table", "log", "--column", long[:54], "--view", "v"}, "the column of the corrected value: \"xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx\"... has 64 bytes, and PostgreSQL cuts names at 63"},
		{[]string{"old", "--format", "sql-sqlite", "--table", "log", "--column", "ec", "--view", "LOG"}, "is the name of two things"},
		{[]string{"old", "--format", "sql-sqlite", "--table", "log", "--column", "a\x00b"}, "has a zero byte"},
		{[]string{"old", "--format", "sql-sqlite", "--table", "log", "--column", "a\xff"}, "is not UTF-8"},
		{[]string{"P1", "--format", "c", "--table", "log"}, "--table belongs to the formats of SQL, not to c"},
		{[]string{"P1", "--out", "x"}, "--out FILE needs a --format"},
		{[]string{"P1", "--json", "--format", "c"}, "name a file for the c with --out"},
		{[]string{"P1", "--compensate-by", "none", "--compensation", "half"}, "half"},
		{[]string{"P1", "--range", "9..1"}, "want the lower end first"},
		{[]string{"--calibration", "nowhere.json"}, "nowhere.json: there is no such file"},
		{[]string{"--calibration", ""}, "want the name of a file"},
	} {
		r := s.run(append([]string{"constants"}, c.args...)...)
		assert.Equal(t, statusBadInput, r.status, "%v: %s", c.args, r.stderr)
		assert.Empty(t, r.stdout, "%v", c.args)
		assert.Contains(t, r.stderr, c.words, "%v", c.args)
	}
	for zone, words := range map[string]string{"Europe/Vienna": `SQLite knows no time zone "Europe/Vienna"`, "local": "name the zone"} {
		r := invoke("--logbook", s.file, "constants", "old", "--format", "sql-sqlite", "--table", "log", "--column", "ec", "--time-zone", zone)
		assert.Equal(t, statusBadInput, r.status, zone)
		assert.Contains(t, r.stderr, words)
	}
	r := invoke("--logbook", filepath.Join(t.TempDir(), "none.db"), "constants", "P1")
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "there is no record yet")
}

// A figure that a float cannot hold is no silent zero, or infinity.
func TestConstantsRefuseWhatAFloatCannotHold(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, slope := range []string{"1e39", "1e-60"} {
		require.NoError(t, os.WriteFile("a.json", []byte(`{"quantity": "other", "time": "2026-02-01T12:00:00Z", "fit": {"method": "line", "intercept": 0.1, "slope": `+slope+`, "reading_low": 4, "reading_high": 10}}`), 0o600))
		r := invoke("constants", "--calibration", "a.json", "--format", "c")
		assert.Equal(t, statusBadInput, r.status, r.stderr)
		assert.Contains(t, r.stderr, "SLOPE is "+strings.Replace(slope, "e39", "e+39", 1)+", which the type float of C cannot hold")
	}
}

// The file that the built program writes runs in SQLite and says what correct
// writes of the same rows, dry ones aside.
func TestConstantsAgreeWithCorrectEndToEnd(t *testing.T) {
	s := withConstants(t)
	folder := t.TempDir()
	script, log, out := filepath.Join(folder, "c.sql"), filepath.Join(folder, "log.csv"), filepath.Join(folder, "out.csv")
	rows := []string{"2026-01-04T23:59:59Z,900,20", "2026-01-05T00:00:00Z,900,20", "2026-01-21T13:14:15Z,1001,24.5", "2026-02-04T23:59:59Z,1100,30", "2026-02-05T00:00:00Z,1100,30",
		"2026-02-11T12:00:00Z,500,10", "2026-02-12T00:00:00Z,500,10", "2026-02-18T12:00:00Z,500,10", "2026-02-19T00:00:00Z,1390,19", "2026-02-20T00:00:00Z,2000,19",
		"2026-02-21T00:00:00Z,1000,", "2026-02-22T00:00:00Z,,20", "2028-03-01T00:00:00Z,1000,25", "2036-03-01T00:00:00Z,1000,25"}
	require.NoError(t, os.WriteFile(log, []byte("time,ec,temp_C\n"+strings.Join(rows, "\n")+"\n"), 0o600))
	for _, args := range [][]string{
		append([]string{"--logbook", s.file, "constants", "P1", "--format", "sql-sqlite", "--out", script}, sqlArguments...),
		{"--logbook", s.file, "--time-zone", "UTC", "correct", log, "--meter", "ec=P1", "--temp", "temp_C", "--out", out},
	} {
		_, stderr, status := brinemark(t, args...)
		require.Equal(t, statusDone, status, stderr)
	}
	db := inMemory(t)
	_, err := db.Exec("CREATE TABLE log (time TEXT, ec REAL, temp_C REAL)")
	require.NoError(t, err)
	text, err := os.ReadFile(script)
	require.NoError(t, err)
	_, err = db.Exec(string(text))
	require.NoError(t, err)
	corrected, err := os.ReadFile(out)
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(corrected)), "\n")
	require.Len(t, lines, len(rows)+1)
	require.Equal(t, "time,ec,temp_C,ec_corrected,ec_u,ec_flag", lines[0])
	flags := map[string]bool{}
	for _, line := range lines[1:] {
		f := strings.Split(line, ",")
		_, err := db.Exec("DELETE FROM log; INSERT INTO log VALUES (?, nullif(?, ''), nullif(?, ''))", f[0], f[1], f[2])
		require.NoError(t, err)
		var value, u *float64
		var flag string
		require.NoError(t, db.QueryRow("SELECT ec_corrected, ec_u, ec_flag FROM log_ec_corrected").Scan(&value, &u, &flag))
		assert.Equal(t, f[5], flag, line)
		flags[flag] = true
		for i, got := range []*float64{value, u} {
			want := numberOrNil(t, f[3+i])
			require.Equal(t, want == nil, got == nil, line)
			if want != nil {
				// correct writes ten digits of a value and four of its u.
				assert.InEpsilon(t, *want, *got, []float64{1e-9, 6e-4}[i], line)
			}
		}
	}
	assert.Len(t, flags, 5, "all flags but not-a-number and dry: %v", flags)
}

func TestConstantsHelpFits(t *testing.T) {
	r := invoke("constants", "--help")
	require.Equal(t, statusDone, r.status)
	for _, line := range strings.Split(r.stdout, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 80, line)
	}
}

// The README's SQL runs on the README's log, in the engines at hand, and says what
// correct says there: on average 578.9 where the pen said 537.7.
func TestREADMEsSQLWorks(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	between := func(from, to string) string {
		_, rest, ok := strings.Cut(string(readme), from)
		require.True(t, ok, from)
		text, _, ok := strings.Cut(rest, to)
		require.True(t, ok, to)
		return text
	}
	query := between("```sql\n", "```")
	t.Chdir(t.TempDir())
	for _, name := range []string{"february.json", "march.json"} {
		require.NoError(t, os.WriteFile(name, []byte(between("$ cat "+name+"\n", "$ ")), 0o600))
	}
	log := "CREATE TABLE log (time timestamp, ec double precision, note text);\n"
	for _, line := range strings.Split(strings.TrimSpace(between("$ cat tub.csv\ntime,ec,note\n", "$ ")), "\n") {
		f := strings.Split(line, ",")
		reading := f[1]
		if reading == "" {
			reading = "NULL"
		}
		log += fmt.Sprintf("INSERT INTO log VALUES ('%s', %s, '%s');\n", f[0], reading, f[2])
	}
	script := func(engine string) string {
		r := invoke("constants", "tent pen", "--calibration", "february.json", "--calibration", "march.json", "--format", "sql-"+engine, "--table", "log", "--column", "ec")
		require.Equal(t, statusDone, r.status, r.stderr)
		return log + r.stdout
	}
	t.Run("sqlite", func(t *testing.T) {
		db := inMemory(t)
		_, err := db.Exec(script("sqlite"))
		require.NoError(t, err)
		var flag string
		var n int
		var said, was float64
		require.NoError(t, db.QueryRow(query).Scan(&flag, &n, &said, &was))
		assert.Equal(t, "", flag, "the first in order")
		assert.Equal(t, 6, n)
		assert.InDelta(t, 537.7, said, 0.05)
		assert.InDelta(t, 578.9, was, 0.05)
	})
	t.Run("postgresql", func(t *testing.T) {
		lines := strings.Split(psql(t, schema(t)+script("postgresql")+"\\pset format csv\n\\pset tuples_only on\n"+query), "\n")
		f := strings.Split(lines[0], ",")
		require.Len(t, f, 4, lines[0])
		assert.Equal(t, []string{"", "6"}, f[:2])
		assert.InDelta(t, 537.7, *numberOrNil(t, f[2]), 0.05)
		assert.InDelta(t, 578.9, *numberOrNil(t, f[3]), 0.05)
	})
}
