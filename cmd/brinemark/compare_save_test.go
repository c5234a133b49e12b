package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// --save keeps every reading and what was found; nothing is kept without it.
func TestCompareSaves(t *testing.T) {
	s := shelfOfBottles(t)
	csv := strings.ReplaceAll(penTable, "temp_C\n", "temp_C,time,replicate\n")
	csv = strings.ReplaceAll(csv, "19.5\n", "19.5,2026-02-28 10:00,1\n")
	csv = strings.ReplaceAll(csv, "12\n", "12,2026-02-28 11:00,1\n") + "blue,C,1799,2,12,2026-02-28 11:00,2\n"
	path := s.table("pens.csv", csv)
	out := s.json("compare", path)
	assert.NotContains(t, out, "id")
	assert.Empty(t, s.exported("comparison"), "nothing is kept unasked")

	out = s.json("compare", path, "--save", "--note", "spring")
	rows := s.exported("comparison")
	require.Len(t, rows, 1)
	row := rows[0]
	assert.Equal(t, out["id"], row["id"])
	assert.Equal(t, "2026-02-28T11:00:00Z", row["time"])
	assert.Equal(t, "ec", row["quantity"])
	assert.Equal(t, 0.03, row["tolerance"])
	assert.Equal(t, true, row["tolerance_relative"])
	assert.Equal(t, "spring", row["note"])
	readings := row["readings"].([]any)
	require.Len(t, readings, 7)
	last := readings[6].(map[string]any)
	for key, want := range map[string]any{
		"meter": "blue", "meter_id": "blue", "sample": "C", "bottle": "C", "bottle_id": "C", "reading": 1799.0, "u_reading": 2.0, "temp_C": 12.0,
		"replicate": "2", "time": "2026-02-28T11:00:00Z",
	} {
		assert.Equal(t, want, last[key], key)
	}
	for _, key := range []string{"pairs", "meters", "causes", "trust", "next", "warnings"} {
		assert.Equal(t, out[key], row["result"].(map[string]any)[key], key)
	}
	check := s.json("logbook", "check")
	assert.Equal(t, true, check["ok"])

	shown := s.json("meter", "show", "blue")["comparisons"].([]any)
	require.Len(t, shown, 1)
	entry := shown[0].(map[string]any)
	assert.Equal(t, out["id"], entry["id"])
	assert.Equal(t, []any{"tent pen"}, entry["with"])
	blue := out["meters"].([]any)[1].(map[string]any)
	for _, key := range []string{"verdict", "worst_error", "worst_error_relative"} {
		assert.Equal(t, blue[key], entry[key], key)
	}

	// Through an export and an import it is the same.
	export := s.ok("logbook", "export")
	other := &session{t: t, file: filepath.Join(t.TempDir(), "other.db")}
	other.ok("logbook", "import", s.table("export.jsonl", export))
	assert.Equal(t, export, other.ok("logbook", "export"))
	// Again is another comparison.
	again := s.json("compare", path, "--save")
	assert.NotEqual(t, out["id"], again["id"])
	assert.Len(t, s.exported("comparison"), 2)
}

// A save that nobody hears of is told of on stderr.
func TestCompareSavedAndNotShown(t *testing.T) {
	s := shelfOfBottles(t)
	var errText bytes.Buffer
	status := run([]string{"brinemark", "compare", "--save", s.table("pens.csv", penTable), "--logbook", s.file}, strings.NewReader(""), fullPipe{}, &errText)
	assert.Equal(t, statusCouldNot, status)
	rows := s.exported("comparison")
	require.Len(t, rows, 1)
	assert.Contains(t, errText.String(), "the comparison is on record as "+rows[0]["id"].(string))
}

// fullPipe takes nothing.
type fullPipe struct{}

func (fullPipe) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestCompareWithTheRecordRefuses(t *testing.T) {
	s := shelfOfBottles(t)
	s.ok("bottle", "add", "B7", "--buffer", "7.00")
	s.ok("meter", "add", "old", "--quantity", "ec")
	s.ok("meter", "retire", "old", "--time", "2026-02-01")
	before := s.ok("logbook", "export")
	const head = "meter,bottle,reading,temp_C\n"
	for _, c := range []struct {
		csv  string
		args []string
		text string
	}{
		{head + "tent pen,A,306,20\nbleu,A,618,20\n", nil, `row 3, column bottle: found "A"; want the meter "bleu" on record`},
		{head + "tent pen,A,306,20\nblue,X,618,20\n", nil, `row 3, column bottle: found "X"; want a bottle on record (bottle "X" is not on record`},
		{head + "tent pen,A,306,20\nblue,A,618,\n", nil, "row 3, column temp_C: found nothing; want the temperature of the bottle"},
		{head + "tent pen,B7,306,20\nblue,B7,618,20\n", nil, "bottle B7 is a reference of ph and meter tent pen measures ec"},
		{head + "tent pen,A,306,70\nblue,A,618,70\n", nil, "row 2, column temp_C"},
		{"meter,bottle,reading,temp_C,u_ref\ntent pen,A,306,20,3\nblue,A,618,20,3\n", nil, "row 2, column u_ref"},
		{"meter,sample,bottle,reading\ntent pen,,,306\nblue,A,,618\n", nil, "row 2, column sample: found nothing; want the liquid that was read"},
		{"meter,reading\ntent pen,306\nblue,618\n", nil, "column sample"},
		{"meter,sample,reading\nP7,A,306\nblue,A,309\n", []string{"--save"}, `--save: meter "P7" (readings.csv, row 2) is not on record; add it with: brinemark meter add "P7" --quantity ec`},
		{"meter,sample,reading\nblue,A,306\nblue,B,309\n", []string{"--save"}, "only one meter"},
		{"meter,sample,reading\nold,A,306\nblue,A,309\n", []string{"--save"}, "--save: meter old is out of use since 2026-02-01"},
		{"meter,sample,reading\ntent pen,A,306\nblue,A,309\n", []string{"--note", "x"}, "want --save beside it"},
		{"meter,sample,reading\ntent pen,A,306\nblue,A,309\n", []string{"--temp", "20"}, "--temp"},
	} {
		r := s.run(append([]string{"compare", s.table("readings.csv", c.csv)}, c.args...)...)
		assert.Equal(t, statusBadInput, r.status, c.csv)
		assert.Empty(t, r.stdout, c.csv)
		assert.Contains(t, r.stderr, c.text)
		assert.Equal(t, before, s.ok("logbook", "export"), "nothing was kept")
	}
}

// A comparison that is given everything needs no record and makes none; one that
// is there and cannot be read is only warned of. What needs it fails.
func TestCompareWithoutAUsableRecord(t *testing.T) {
	home := t.TempDir()
	t.Setenv("XDG_DATA_HOME", home)
	t.Setenv("HOME", home)
	t.Setenv("LocalAppData", home)
	three := compareData + "three-pens.csv"
	assert.Equal(t, statusDone, invoke("compare", three, "--tolerance", "5%").status)
	left, err := os.ReadDir(home)
	require.NoError(t, err)
	assert.Empty(t, left, "nothing was made")

	plain := invoke("compare", three, "--tolerance", "5%").stdout
	s := shelfOfBottles(t)
	notes := s.table("notes.txt", "no record")
	newer := filepath.Join(filepath.Dir(s.file), "newer.db")
	text, err := os.ReadFile(s.file)
	require.NoError(t, err)
	copy(text[60:64], []byte{0, 0, 1, 0}) // user_version, of the SQLite header
	require.NoError(t, os.WriteFile(newer, text, 0o600))
	pens := s.table("pens.csv", penTable)
	for _, c := range []struct {
		file   string
		status int
		text   string
	}{
		{notes, statusBadInput, "is not an SQLite database"},
		{newer, statusCouldNot, "newer"},
		{filepath.Join(home, "none.db"), statusBadInput, "there is no record yet"},
	} {
		kept, _ := os.ReadFile(c.file)
		r := invoke("compare", three, "--tolerance", "5%", "--logbook", c.file)
		assert.Equal(t, statusDone, r.status, r.stderr)
		assert.Equal(t, plain, r.stdout)
		if kept != nil {
			assert.Contains(t, r.stderr, "warning: the record was not used: ")
		}
		for _, args := range [][]string{{pens}, {three, "--tolerance", "5%", "--save"}, {pens, "--save", "--json"}} {
			r = invoke(append([]string{"compare", "--logbook", c.file}, args...)...)
			assert.Equal(t, c.status, r.status, "%v", args)
			assert.Empty(t, r.stdout, "%v", args)
			assert.Contains(t, r.stderr, c.text, "%v", args)
			assert.Equal(t, 1, strings.Count(r.stderr, "\n"), r.stderr)
		}
		now, _ := os.ReadFile(c.file)
		assert.Equal(t, kept, now, "left as it was")
	}
}

// The real program: what it acknowledges is there, and where the disk is full it
// acknowledges nothing and says so.
func TestBinaryCompareSaves(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program")
	}
	s := shelfOfBottles(t)
	path := s.table("pens.csv", penTable)
	out, errText, status := brinemark(t, "compare", path, "--save", "--json", "--logbook", s.file)
	require.Equal(t, statusDone, status, errText)
	var result map[string]any
	require.NoError(t, json.Unmarshal([]byte(out), &result))
	rows := s.exported("comparison")
	require.Len(t, rows, 1)
	assert.Equal(t, result["id"], rows[0]["id"])
	if runtime.GOOS != "linux" {
		t.Log("a full disk is tried on Linux alone")
		return
	}
	command := exec.Command("sh", "-c", `ulimit -f 8; exec "$0" "$@"`, buildBinary(t), "compare", path, "--save", "--logbook", s.file)
	var screen, faults strings.Builder
	command.Stdout, command.Stderr = &screen, &faults
	err := command.Run()
	var exit *exec.ExitError
	require.ErrorAs(t, err, &exit)
	assert.Equal(t, statusCouldNot, exit.ExitCode(), faults.String())
	assert.Empty(t, screen.String(), "nothing is acknowledged")
	assert.Contains(t, faults.String(), "nothing of it was kept")
	assert.Len(t, s.exported("comparison"), 1)
}
