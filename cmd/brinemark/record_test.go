package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// atNoon stops the clock for a test.
func atNoon(t *testing.T, text string) {
	t.Helper()
	moment, err := time.Parse(time.RFC3339, text)
	require.NoError(t, err)
	before := now
	now = func() time.Time { return moment }
	t.Cleanup(func() { now = before })
}

// session runs commands on one record and keeps what a person would see.
type session struct {
	t      *testing.T
	file   string
	screen strings.Builder
}

func newSession(t *testing.T) *session {
	t.Helper()
	atNoon(t, "2026-03-01T12:00:00Z")
	return &session{t: t, file: filepath.Join(t.TempDir(), "logbook.db")}
}

// run runs a command on the record.
func (s *session) run(args ...string) outcome {
	s.t.Helper()
	r := invoke(append([]string{"--time-zone", "UTC", "--logbook", s.file}, args...)...)
	s.screen.WriteString(screen(args, r) + "\n")
	return r
}

// ok runs a command that must succeed.
func (s *session) ok(args ...string) string {
	s.t.Helper()
	r := s.run(args...)
	require.Equal(s.t, statusDone, r.status, "%v: %s", args, r.stderr)
	return r.stdout
}

// json runs a command with --json and reads the object.
func (s *session) json(args ...string) map[string]any {
	s.t.Helper()
	r := invoke(append([]string{"--json", "--time-zone", "UTC", "--logbook", s.file}, args...)...)
	require.Equal(s.t, statusDone, r.status, "%v: %s", args, r.stderr)
	var out map[string]any
	require.NoError(s.t, json.Unmarshal([]byte(r.stdout), &out))
	require.NotNil(s.t, out["warnings"], "%v", args)
	return out
}

// chance is the random part of an identity.
var chance = regexp.MustCompile(`(\d{4}-\d\d-\d\d)-[0-9a-z]{12}\b`)

// golden compares the session with testdata/golden, without the folder's name
// and chance.
func (s *session) golden(name string) {
	s.t.Helper()
	text := chance.ReplaceAllString(s.screen.String(), "$1-xxxxxxxxxxxx")
	golden(s.t, name, strings.ReplaceAll(text, s.file, "logbook.db"))
}

func TestWhereTheRecordIs(t *testing.T) {
	for _, c := range []struct {
		system string
		env    map[string]string
		want   string
	}{
		{"linux", map[string]string{"XDG_DATA_HOME": "/data", "HOME": "/home/p"}, "/data"},
		{"linux", map[string]string{"XDG_DATA_HOME": "relative", "HOME": "/home/p"}, "/home/p/.local/share"},
		{"linux", map[string]string{"HOME": "/home/p"}, "/home/p/.local/share"},
		{"android", map[string]string{"HOME": "/data/files/home"}, "/data/files/home/.local/share"},
		{"darwin", map[string]string{"HOME": "/Users/p"}, "/Users/p/Library/Application Support"},
		{"windows", map[string]string{"LocalAppData": `C:\Users\p\AppData\Local`}, `C:\Users\p\AppData\Local`},
	} {
		got, err := dataFolder(c.system, func(name string) string { return c.env[name] })
		require.NoError(t, err)
		assert.Equal(t, c.want, filepath.ToSlash(got), "%v", c)
	}
	for _, system := range []string{"linux", "darwin", "windows"} {
		_, err := dataFolder(system, func(string) string { return "" })
		assert.ErrorContains(t, err, "is not set", system)
	}
}

// The default place, and the flag before the environment.
func TestTheRecordsDefaultPlace(t *testing.T) {
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		t.Skip("the test sets XDG_DATA_HOME")
	}
	home := t.TempDir()
	t.Setenv("XDG_DATA_HOME", home)
	r := invoke("meter", "add", "P1", "--quantity", "ph")
	require.Equal(t, statusDone, r.status, r.stderr)
	path := filepath.Join(home, "brinemark", "logbook.db")
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())

	other := filepath.Join(home, "other.db")
	t.Setenv("BRINEMARK_LOGBOOK", other)
	r = invoke("meter", "list")
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, other+`: there is no record yet; "meter add" or "bottle add" begins one`)
	assert.NoFileExists(t, other, "looking makes none")
	r = invoke("meter", "list", "--logbook", path)
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stdout, "P1")
}

// Commands that are given everything open no record, and make none.
func TestCommandsThatNeedNoRecord(t *testing.T) {
	home := t.TempDir()
	t.Setenv("XDG_DATA_HOME", home)
	t.Setenv("HOME", home)
	t.Setenv("LocalAppData", home)
	notARecord := filepath.Join(home, "notes.txt")
	require.NoError(t, os.WriteFile(notARecord, []byte("no record"), 0o600))
	for _, args := range [][]string{
		{"reference", "--ice"},
		{"recipe", "--salt", "NaCl", "--target", "600mg/L", "--batch", "500mL"},
		{"recipe", "made", "--salt", "NaCl", "--salt-mass", "3g", "--water-mass", "497g"},
		{"calibrate", "--point", "1413=1400", "--point", "447=440"},
		{"calibrate", "--point", "1413=1400", "--meter", "P1"},
	} {
		r := invoke(append(args, "--logbook", notARecord)...)
		assert.Equal(t, statusDone, r.status, "%v: %s", args, r.stderr)
		r = invoke(args...)
		assert.Equal(t, statusDone, r.status, "%v: %s", args, r.stderr)
	}
	left, err := os.ReadDir(home)
	require.NoError(t, err)
	assert.Len(t, left, 1, "nothing was made")
}

func TestMetersOnRecord(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "tent pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--resolution", "20uS/cm", "--range", "0..4mS/cm", "--tolerance", "2%", "--note", "grey, from the tent")
	s.ok("meter", "add", "P2", "--quantity", "ec", "--unit", "mS/cm", "--compensation", "natural-water", "--tolerance", "20uS/cm")
	s.ok("meter", "add", "pH pen", "--quantity", "ph", "--resolution", "0.01", "--tolerance", "0.1")
	s.ok("event", "add", "tent pen", "cleaned", "--time", "2026-02-20 08:30")
	s.ok("event", "add", "tent pen", "note", "--note", "fell into the tub")
	s.ok("meter", "add", "tent pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.64", "--alpha", "2%", "--tolerance", "3%", "--correct", "--note", "the factor was wrong")
	s.ok("meter", "retire", "P2", "--time", "2026-02-28")
	s.ok("meter", "list")
	s.ok("meter", "list", "--all")
	s.ok("meter", "show", "TENT PEN", "--all")
	s.golden("record/meters.txt")

	m := s.json("meter", "show", "tent pen")
	assert.Equal(t, "tent pen/2", m["id"])
	assert.Equal(t, 0.64, m["ppm_factor"])
	assert.Nil(t, m["range_high"], "a correction has what is given with it")
	first := s.json("meter", "show", "tent pen", "--all")["versions"].([]any)[0].(map[string]any)
	assert.Equal(t, 10.0, first["resolution"], "20 uS/cm on a display of 0.5 ppm for each")
	assert.Equal(t, 2000.0, first["range_high"])
	p2 := s.json("meter", "show", "P2")
	assert.Equal(t, 0.02, p2["tolerance"], "20 uS/cm in mS/cm")
	assert.Equal(t, "2026-02-28T00:00:00Z", p2["retired_at"])
}

func TestBottlesOnRecord(t *testing.T) {
	s := newSession(t)
	s.ok("bottle", "add", "K1413", "--salt", "KCl", "--strength", "1413uS/cm", "--u-strength", "0.5%", "--best-before", "2026-02-01")
	s.ok("bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "2mg/L", "--source", "stock 1", "--u-shared", "0.5%", "--water-ec", "8uS/cm", "--u-water-ec", "1uS/cm",
		"--made", "2026-02-01", "--full-mass", "552.3g", "--empty-mass", "52.3g", "--u-bottle-mass", "0.05g")
	s.ok("bottle", "add", "rough", "--salt", "NaCl", "--strength", "600ppm@0.5")
	s.ok("bottle", "add", "B7", "--buffer", "7.00", "--made", "2026-02-20")
	s.ok("bottle", "weigh", "A", "--mass", "547.3g", "--left-mass", "500g")
	s.ok("bottle", "list")
	s.ok("meter", "add", "tent pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5")
	s.ok("bottle", "show", "A", "--meter", "tent pen", "--temp", "18C", "--u-temp", "0.2C", "--all")
	s.golden("record/bottles.txt")

	a := s.json("bottle", "show", "A")
	assert.InEpsilon(t, 1.01, a["strength"].(float64)/0.0103, 0.01)
	assert.Equal(t, "A/2", a["id"])
	rough := s.json("bottle", "show", "rough")
	assert.Nil(t, rough["u_value"], "unknown is not zero")
	assert.InDelta(t, 1200, rough["value"], 1e-6)
}

// What is wrong with the request: one line, status 2, and nothing on record.
func TestRecordCommandsRefuse(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ec")
	s.ok("bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--made", "2026-02-01")
	s.ok("bottle", "add", "B7", "--buffer", "7.00")
	before := s.ok("logbook", "export")
	for _, c := range []struct {
		args []string
		text string
	}{
		{[]string{"meter", "add", "P1", "--quantity", "ph"}, "meter P1 is on record already; --correct takes its place"},
		{[]string{"meter", "add", "P9"}, "quantity"},
		{[]string{"meter", "add", "P9", "--quantity", "ecc"}, "the nearest right word is ec"},
		{[]string{"meter", "add", "P/9", "--quantity", "ec"}, "a name without '/'"},
		{[]string{"meter", "add", "--quantity", "ec"}, "add needs ID"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--unit", "ppm"}, "--unit ppm needs --ppm-factor"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--unit", "uS/cm", "--ppm-factor", "0.5"}, "--ppm-factor belongs to --unit ppm"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "500"}, "has the factor 0.5"},
		{[]string{"meter", "add", "P9", "--quantity", "ph", "--alpha", "2%"}, "--alpha belongs to a meter of ec, not of ph"},
		{[]string{"meter", "add", "P9", "--quantity", "ph", "--unit", "uS/cm"}, `a meter of ph shows pH; found "uS/cm"`},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--resolution", "0.1C"}, "--resolution: 0.1C for a meter of ec that shows uS/cm"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--ppm-factor", "0.5", "--range", "0..2000ppm@0.7"}, "--range: 2000ppm@0.7 for a meter of ec that shows ppm with factor 0.5: another unit; want a figure in ppm with factor 0.5"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--ppm-factor", "0.5", "--range", "0ppm@0.7..2000ppm"}, "--range: 0ppm@0.7 for a meter of ec"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--ppm-factor", "0.5", "--resolution", "10ppm@0.64"}, "--resolution: 10ppm@0.64 for a meter of ec that shows ppm with factor 0.5"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--ppm-factor", "0.5", "--tolerance", "20ppm@0.64"}, "--tolerance: 20ppm@0.64 for a meter of ec that shows ppm with factor 0.5"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--range", "0..2000ppm"}, "--range: found 2000ppm for a meter of ec that shows uS/cm; want a figure in uS/cm, or --ppm-factor for one that shows ppm"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--unit", "mS/cm", "--resolution", "1ppm"}, "--resolution: found 1ppm for a meter of ec that shows mS/cm"},
		{[]string{"meter", "add", "P9", "--quantity", "ph", "--tolerance", "1ppm"}, "--tolerance: found 1ppm for a meter of ph that shows pH; want a figure in pH"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--ppm-factor", "0.5", "--range", "0..-5ppm"}, "-5"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--ppm-factor", "0.5", "--tolerance", "0ppm"}, "is not above zero"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--range", "20mS/cm"}, "want LOW..HIGH"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--range", "20..0"}, "--range: found an end, 0, that is not above the start, 20; want LOW..HIGH"},
		{[]string{"meter", "add", "P9", "--quantity", "ec", "--resolution", "0"}, "resolution: found 0; want a number above 0"},
		{[]string{"meter", "show", "P2"}, "the nearest is P1"},
		{[]string{"meter", "shwo", "P1"}, "the nearest is show"},
		{[]string{"meter", "add", "P5", "--quantity", "ec", "--correct"}, `meter "P5" is not on record; the nearest is P1`},
		{[]string{"bottle", "add", "C", "--salt", "NaCl"}, "--salt needs --strength"},
		{[]string{"bottle", "add", "C"}, "one of --salt and --buffer"},
		{[]string{"bottle", "add", "C", "--salt", "NaCl", "--buffer", "7.00"}, "one of --salt and --buffer"},
		{[]string{"bottle", "add", "C", "--salt", "NaCl", "--strength", "600ppm"}, "ppm"},
		{[]string{"bottle", "add", "C", "--salt", "NaCl", "--strength", "600mg/L", "--u-shared", "1%"}, "--u-shared needs --source"},
		{[]string{"bottle", "add", "C", "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "3uS/cm"}, "--u-strength: 3uS/cm of a strength of 600mg/L: another unit"},
		{[]string{"bottle", "add", "C", "--salt", "NaCl", "--strength", "600mg/L", "--made", "1.2.2026"}, "want one such as 2026-03-01"},
		{[]string{"bottle", "add", "C", "--salt", "NaCl", "--strength", "600mg/L", "--made", "2026-03-01", "--best-before", "2025-03-01"}, "best_before"},
		{[]string{"bottle", "add", "C", "--buffer", "tetroxalate", "--home-mixed"}, "not to be mixed at home"},
		{[]string{"bottle", "add", "C", "--buffer", "7.00", "--full-mass", "100g"}, "--full-mass belongs to --salt"},
		{[]string{"bottle", "weigh", "A", "--mass", "500g"}, "the standard uncertainty of a weighing is not on record"},
		{[]string{"bottle", "weigh", "B7", "--mass", "500g", "--u-bottle-mass", "0.1g"}, "make a fresh one"},
		{[]string{"bottle", "show", "A", "--meter", "P2"}, "the nearest is P1"},
		{[]string{"bottle", "show", "B7", "--meter", "P1"}, "bottle B7 is a reference of ph and meter P1 measures ec"},
		{[]string{"bottle", "show", "A", "--u-temp", "1C"}, "--u-temp needs --temp"},
		{[]string{"event", "add", "P1", "clened"}, "the nearest right word is cleaned"},
		{[]string{"event", "add", "P1", "note"}, "needs the words of it"},
		{[]string{"event", "add", "P7", "cleaned"}, "the nearest is P1"},
		{[]string{"event", "add", "P1", "cleaned", "--time", "yesterday"}, "--time:"},
		{[]string{"event", "add", "P1", "cleaned", "--corrects", "2026-01-01-abc"}, `event "2026-01-01-abc" is not on record`},
		{[]string{"logbook", "import", "nosuch.jsonl"}, "there is no such file"},
		{[]string{"logbook", "import"}, "import needs FILE"},
		{[]string{"logbook", "backup"}, "backup needs FILE"},
		{[]string{"logbook", "check", "more"}, `unexpected argument "more"`},
	} {
		r := s.run(c.args...)
		assert.Equal(t, statusBadInput, r.status, "%v: %s", c.args, r.stderr)
		assert.Empty(t, r.stdout, "%v", c.args)
		assert.Contains(t, r.stderr, c.text, "%v", c.args)
		assert.Equal(t, 1, strings.Count(r.stderr, "\n"), "one line: %s", r.stderr)
	}
	assert.Equal(t, before, s.ok("logbook", "export"))
}

func TestAWrongClockIsWarnedOf(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ph")
	atNoon(t, "2025-01-01T00:00:00Z")
	r := s.run("event", "add", "P1", "cleaned")
	require.Equal(t, statusDone, r.status)
	assert.Contains(t, r.stderr, "warning: the clock says 2025-01-01T00:00:00Z, but the last entry of the record was made on 2026-03-01T12:00:00Z: is the clock right?")
	r = s.run("event", "add", "P1", "cleaned", "--time", "2026-01-01")
	assert.Contains(t, r.stderr, "the event lies in the future")
}

func TestTheLogbookCommands(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ec", "--unit", "uS/cm", "--alpha", "2%")
	s.ok("event", "add", "P1", "cleaned")
	export := s.ok("logbook", "export")
	for _, line := range strings.Split(strings.TrimSpace(export), "\n") {
		var row struct{ Kind, ID string }
		require.NoError(t, json.Unmarshal([]byte(line), &row))
		assert.NotEmpty(t, row.Kind)
		assert.NotEmpty(t, row.ID)
	}
	all := s.json("logbook", "export")
	assert.Len(t, all["records"], 2)

	check := s.json("logbook", "check")
	assert.Equal(t, true, check["ok"])
	assert.Equal(t, 2.0, check["records"])
	assert.Equal(t, []any{}, check["problems"])
	assert.Equal(t, []any{}, check["warnings"])

	folder := filepath.Dir(s.file)
	file := filepath.Join(folder, "export.jsonl")
	require.NoError(t, os.WriteFile(file, []byte(export), 0o600))
	other := &session{t: t, file: filepath.Join(folder, "new", "logbook.db")}
	bad := filepath.Join(folder, "bad.jsonl")
	require.NoError(t, os.WriteFile(bad, []byte(export+`{"kind":"x"}`+"\n"), 0o600))
	refused := other.run("logbook", "import", bad)
	assert.Equal(t, statusBadInput, refused.status)
	assert.Contains(t, refused.stderr, "bad.jsonl, line 3")
	assert.NoFileExists(t, other.file, "a refused import begins no record")
	other.ok("logbook", "import", file)
	assert.Equal(t, export, other.ok("logbook", "export"))
	assert.Equal(t, 2.0, other.json("logbook", "import", file)["known"])
	r := invokeWith(export, "logbook", "import", "-", "--logbook", other.file)
	assert.Equal(t, statusDone, r.status, r.stderr)
	assert.Equal(t, export, other.ok("logbook", "export"))

	changed := filepath.Join(folder, "changed.jsonl")
	require.NoError(t, os.WriteFile(changed, []byte(strings.Replace(export, `"alpha":0.02`, `"alpha":0.021`, 1)), 0o600))
	r = other.run("logbook", "import", changed)
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "changed.jsonl, line 1: meter P1 is on record and says something else; nothing was imported")

	backup := filepath.Join(folder, "backup.db")
	s.ok("logbook", "backup", backup)
	r = s.run("logbook", "backup", backup)
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "is there already and was left as it is; give a new name")
	copied := &session{t: t, file: backup}
	assert.Equal(t, export, copied.ok("logbook", "export"))
	copied.ok("logbook", "check")

	text := &session{t: t, file: file}
	r = text.run("meter", "list")
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "export.jsonl is not an SQLite database, and no record of brinemark; it was left as it is")
	kept, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, export, string(kept))
}

// A damaged record: status 1, and the problems as data.
func TestLogbookCheckOfADamagedRecord(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ph", "--note", "a note that a bad disk will change")
	text, err := os.ReadFile(s.file)
	require.NoError(t, err)
	at := strings.Index(string(text), "bad disk")
	require.Positive(t, at)
	text[at] = 'B'
	require.NoError(t, os.WriteFile(s.file, text, 0o600))
	r := s.run("logbook", "check")
	assert.Equal(t, statusCouldNot, r.status)
	assert.Contains(t, r.stdout, "meter P1 is not what was saved: its hash is another")
	assert.Contains(t, r.stderr, "the record has problems: 1")
	r = s.run("logbook", "check", "--json")
	assert.Equal(t, statusCouldNot, r.status)
	assert.Contains(t, r.stdout, `"ok": false`)

	require.NoError(t, os.WriteFile(s.file, text[:5000], 0o600))
	r = s.run("logbook", "export")
	assert.Equal(t, statusCouldNot, r.status, r.stderr)
	assert.Empty(t, r.stdout)
	assert.Contains(t, r.stderr, "the record is damaged")
}

// Figures of a meter may be typed in its own unit: a bare ppm is that of its
// display, and the same as with the factor, or as the conductivity.
func TestMeterFiguresInItsOwnUnit(t *testing.T) {
	s := newSession(t)
	for name, flags := range map[string][]string{
		"bare":    {"--range", "0..2000", "--resolution", "10", "--tolerance", "20"},
		"ppm":     {"--range", "0..2000ppm", "--resolution", "10ppm", "--tolerance", "20ppm"},
		"both":    {"--range", "0ppm..2000 ppm", "--resolution", "10 ppm", "--tolerance", "20 ppm"},
		"factor":  {"--range", "0..2000ppm@0.5", "--resolution", "10ppm@0.5", "--tolerance", "20ppm@0.5"},
		"mixed":   {"--range", "0ppm@0.5..2000ppm", "--resolution", "20uS/cm", "--tolerance", "0.04mS/cm"},
		"siemens": {"--range", "0..4mS/cm", "--resolution", "20uS/cm", "--tolerance", "40uS/cm"},
	} {
		m := s.json(append([]string{"meter", "add", name, "--quantity", "ec", "--ppm-factor", "0.5"}, flags...)...)
		assert.Equal(t, []any{0.0, 2000.0, 10.0, 20.0, "ppm"}, []any{m["range_low"], m["range_high"], m["resolution"], m["tolerance"], m["unit"]}, name)
		assert.Equal(t, false, m["tolerance_relative"], name)
	}
	m := s.json("meter", "add", "air", "--quantity", "co2", "--range", "400ppm..5000ppm", "--resolution", "1ppm", "--tolerance", "50ppm")
	assert.Equal(t, []any{400.0, 5000.0, 1.0, 50.0}, []any{m["range_low"], m["range_high"], m["resolution"], m["tolerance"]})
}
