package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a name, a note or a unit may hold never commands the screen, in a table,
// a message or a warning; on record, and in JSON, a note is what was typed.
func TestTextsOnRecordDoNotCommandTheScreen(t *testing.T) {
	s := newSession(t)
	const evil = "a\x1b[2J\x1b]0;title\x07b\u202ec\rd\x00"
	note := strings.TrimSuffix(evil, "\x00")
	s.ok("meter", "add", "P1", "--quantity", "other", "--unit", "\x1b[31m", "--note", note)
	s.ok("bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--source", "stock", "--u-shared", "1%", "--u-strength", "0", "--made", "2026-03-01", "--note", note)
	s.ok("event", "add", "P1", "note", "--note", note)
	for _, args := range [][]string{
		{"meter", "list", "--all"}, {"meter", "show", "P1", "--all"}, {"bottle", "list"}, {"bottle", "show", "A", "--all"},
		{"event", "add", "P1", "note", "--note", evil}, {"event", "add", "P1", evil}, {"meter", "show", evil}, {"meter", "add", evil, "--quantity", "ec"},
		{"bottle", "add", evil, "--buffer", "7.00"}, {"logbook", "import", evil}, {"logbook", "backup", filepath.Join(filepath.Dir(s.file), "no such", evil)},
		{"bottle", "add", "B", "--salt", "NaCl", "--strength", "600mg/L", "--u-shared", "1%", "--source", evil},
	} {
		r := s.run(args...)
		for _, c := range strings.ReplaceAll(r.stdout+r.stderr, "\n", "") {
			require.False(t, unicode.IsControl(c) || unicode.Is(unicode.Bidi_Control, c), "%q: %q", args, r.stdout+r.stderr)
		}
		assert.LessOrEqual(t, strings.Count(r.stderr, "\n"), 2)
	}
	assert.Equal(t, note, s.json("meter", "show", "P1")["note"])
	assert.Contains(t, s.ok("meter", "list"), "\ufffd[31m", "it is seen that something is there")
}

// A message is short, whatever was typed.
func TestLongNamesMakeShortMessages(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ec")
	long := strings.Repeat("x", 10000)
	for _, args := range [][]string{
		{"meter", "add", long, "--quantity", "ec"}, {"meter", "show", long}, {"meter", "retire", long}, {"bottle", "show", long},
		{"bottle", "weigh", long, "--mass", "1g"}, {"event", "add", long, "cleaned"}, {"event", "add", "P1", long},
		{"event", "add", "P1", "cleaned", "--corrects", long}, {"event", "add", "P1", "cleaned", "--note", long + "x"},
		made("--salt-mass", "3g", "--water-mass", "497g", "--save", long), made("--salt-mass", "3g", "--water-mass", "497g", "--save", "A", "--jar", long),
		{"bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--u-shared", "1%", "--source", long},
	} {
		r := s.run(args...)
		assert.Equal(t, statusBadInput, r.status, "%.60q: %.200s", args, r.stderr)
		assert.Less(t, len(r.stderr), 400, "%.60q", args)
		assert.Equal(t, 1, strings.Count(r.stderr, "\n"))
	}
	assert.Equal(t, 1.0, s.json("logbook", "check")["records"])
}

// A name that looks like a flag cannot be one; one that looks like a command, a
// path or a number can.
func TestNamesThatLookLikeSomethingElse(t *testing.T) {
	s := newSession(t)
	for _, name := range []string{"--json", "-x", "../P1", "/P1", `..\P1`, "", " ", "a ", "P1/2"} {
		r := s.run("meter", "add", "--quantity", "ph", "--", name)
		assert.Equal(t, statusBadInput, r.status, "%q", name)
		assert.Contains(t, r.stderr, "cannot be a name", "%q", name)
	}
	for _, name := range []string{"add", "meter", "..", "7", "NaN", "null", "%s", "$HOME", "*", "שלום", "مقياس", "pH-Messer Ø", "🧪", "'" + "x"} {
		r := s.run("meter", "add", "--quantity", "ph", "--", name)
		if strings.Contains(name, "'") {
			assert.Equal(t, statusBadInput, r.status, "%q", name)
			continue
		}
		require.Equal(t, statusDone, r.status, "%q: %s", name, r.stderr)
		assert.Equal(t, name, s.json("meter", "show", name)["meter"])
	}
	s.ok("logbook", "check")
	left, err := os.ReadDir(filepath.Dir(s.file))
	require.NoError(t, err)
	assert.Len(t, left, 1, "no name is a file")
}

// logbook check --json has the keys that scripts rely on, and no other; of a
// record too damaged to be opened as well.
func TestLogbookCheckForScripts(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ph")
	r := s.run("logbook", "check", "--json")
	require.Equal(t, statusDone, r.status)
	assert.JSONEq(t, `{"ok": true, "records": 1, "problems": [], "warnings": []}`, r.stdout)

	text, err := os.ReadFile(s.file)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(s.file, text[:5000], 0o600))
	r = s.run("logbook", "check", "--json")
	assert.Equal(t, statusCouldNot, r.status)
	var got struct {
		OK       *bool
		Records  *int
		Problems []string
	}
	require.NoError(t, json.Unmarshal([]byte(r.stdout), &got), r.stdout)
	assert.False(t, *got.OK)
	assert.Equal(t, 0, *got.Records)
	require.Len(t, got.Problems, 1)
	assert.Contains(t, got.Problems[0], "the record is damaged: go back to a backup or an export")
	r = s.run("logbook", "check")
	assert.Equal(t, statusCouldNot, r.status)
	assert.Contains(t, r.stdout, "Keep this file as it is")
}

// An empty name of the record is not the default place.
func TestAnEmptyRecordName(t *testing.T) {
	home := t.TempDir()
	t.Setenv("XDG_DATA_HOME", home)
	t.Setenv("HOME", home)
	t.Setenv("LocalAppData", home)
	t.Setenv("BRINEMARK_LOGBOOK", "")
	r := invoke("meter", "add", "P1", "--quantity", "ph", "--logbook", "")
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "--logbook: found nothing; want the name of a file")
	left, err := os.ReadDir(home)
	require.NoError(t, err)
	assert.Empty(t, left)
	r = invoke("meter", "add", "P1", "--quantity", "ph")
	assert.Equal(t, statusDone, r.status, "empty in the environment: not set")
}

func TestEventsOfAMeterOutOfUse(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ph")
	s.ok("meter", "retire", "P1", "--time", "2026-02-01")
	r := s.run("event", "add", "P1", "cleaned")
	assert.Equal(t, statusDone, r.status)
	assert.Contains(t, r.stderr, "meter P1 is out of use since 2026-02-01")
	r = s.run("event", "add", "P1", "cleaned", "--time", "2026-01-15")
	assert.Empty(t, r.stderr)
}
