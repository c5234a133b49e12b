package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Saved is what was read, reading for reading, through the real program.
func TestCalibrateSaves(t *testing.T) {
	record := filepath.Join(t.TempDir(), "logbook.db")
	run := func(args ...string) string {
		t.Helper()
		out, errText, status := brinemark(t, append([]string{"--logbook", record, "--time-zone", "UTC"}, args...)...)
		require.Equal(t, statusDone, status, "%v: %s", args, errText)
		return out
	}
	run("meter", "add", "P1", "--quantity", "ec", "--unit", "uS/cm", "--alpha", "2%", "--tolerance", "3%", "--resolution", "1")
	run("bottle", "add", "A", "--salt", "KCl", "--strength", "1413uS/cm", "--u-strength", "0.5%", "--source", "stock 1", "--u-shared", "0.4%")
	table := file(t, "day.csv", `time,bottle,ref,u_ref,ref_source,u_ref_shared,reading,u_reading,temp_C
2026-02-01 09:00:00,A,,,,,1380,2,25
2026-02-01 09:02:30,A,,,,,1382,2,25
2026-02-01 09:10:00,,706.5,2.5,bought,0,694.5,1.5,24.8
2026-02-01 09:20:00,far,2767,9,stock 2,11,2710,4,
`)
	var printed map[string]any
	require.NoError(t, json.Unmarshal([]byte(run("calibrate", table, "--meter", "p1", "--u-temp", "0.1C", "--zero", "3", "--u-zero", "2", "--save", "--note", "before the tub", "--json")), &printed))
	id := printed["id"].(string)
	assert.Equal(t, "P1", printed["meter"], "as it is called on record")
	assert.Equal(t, 0.03, printed["tolerance"])

	var row map[string]any
	for _, line := range strings.Split(strings.TrimSpace(run("logbook", "export")), "\n") {
		var r map[string]any
		require.NoError(t, json.Unmarshal([]byte(line), &r))
		if r["kind"] == "calibration" {
			require.Nil(t, row, "one calibration")
			row = r
		}
	}
	require.NotNil(t, row)
	assert.Equal(t, id, row["id"])
	for key, want := range map[string]any{"meter": "P1", "state": "as-found", "quantity": "ec", "unit": "uS/cm", "time": "2026-02-01T09:20:00Z", "note": "before the tub", "verdict": printed["verdict"]} {
		assert.Equal(t, want, row[key], key)
	}
	fit := printed["fit"].(map[string]any)
	for _, key := range []string{"method", "n", "dof", "slope", "intercept", "u_slope", "u_intercept", "cov", "u_basis", "reading_low", "reading_high"} {
		assert.Equal(t, fit[key], row[key], key)
	}
	list := row["readings"].([]any)
	require.Len(t, list, 5, "every reading, the zero point as well")
	shown := points(printed)
	for i, want := range []map[string]any{
		{"bottle": "A", "bottle_id": "A", "reading": 1380.0, "u_reading": 2.0, "temp_C": 25.0, "time": "2026-02-01T09:00:00Z"},
		{"bottle": "A", "bottle_id": "A", "reading": 1382.0, "u_reading": 2.0, "temp_C": 25.0, "time": "2026-02-01T09:02:30Z"},
		{"bottle": nil, "bottle_id": nil, "ref": 706.5, "u_ref": 2.5, "ref_source": "bought", "u_ref_shared": 0.0, "reading": 694.5, "u_reading": 1.5, "temp_C": 24.8, "time": "2026-02-01T09:10:00Z", "ref_parts": nil},
		{"bottle": "far", "bottle_id": nil, "ref": 2767.0, "u_ref": 9.0, "ref_source": "stock 2", "u_ref_shared": 11.0, "reading": 2710.0, "u_reading": 4.0, "temp_C": nil, "time": "2026-02-01T09:20:00Z", "ref_parts": nil},
		{"bottle": "zero", "ref": 0.0, "reading": 3.0, "u_reading": 2.0, "time": nil},
	} {
		got := list[i].(map[string]any)
		for key, value := range want {
			assert.Equal(t, value, got[key], "reading %d, %s", i+1, key)
		}
		for _, key := range []string{"ref", "reading", "u_ref", "u_reading"} {
			assert.Equal(t, shown[i][key], got[key], "reading %d, %s", i+1, key)
		}
	}
	var parts float64
	for _, p := range list[0].(map[string]any)["ref_parts"].([]any) {
		parts += math.Pow(p.(map[string]any)["size"].(float64), 2)
	}
	assert.InEpsilon(t, math.Pow(number(t, list[0], "u_ref"), 2)+math.Pow(number(t, list[0], "u_ref_shared"), 2), parts, 1e-9)

	kept := row["result"].(map[string]any)
	delete(printed, "id")
	assert.Equal(t, printed, kept, "what was printed is kept beside it")
	assert.Contains(t, run("logbook", "check"), "nothing wrong")
	assert.Contains(t, run("meter", "show", "P1"), "before the tub")
}

// Several processes save at once: every one that was acknowledged is there.
func TestSeveralProcessesSaveCalibrations(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ec")
	program := buildBinary(t)
	const processes = 6
	ids := make([]string, processes)
	var wait sync.WaitGroup
	for i := range processes {
		wait.Go(func() {
			out, err := exec.Command(program, "--logbook", s.file, "calibrate", "--point", fmt.Sprintf("1413=%d", 1300+i), "--meter", "P1", "--save", "--json").Output()
			var v struct{ ID string }
			if assert.NoError(t, err) && assert.NoError(t, json.Unmarshal(out, &v)) {
				ids[i] = v.ID
			}
		})
	}
	wait.Wait()
	export := s.ok("logbook", "export")
	for i, id := range ids {
		require.NotEmpty(t, id)
		assert.Regexp(t, fmt.Sprintf(`"id":"%s".*"readings":\[\{"ref":1413,"reading":%d\}\]`, id, 1300+i), export)
	}
}

// Nothing is acknowledged that is not on the disk.
func TestASaveThatFailsSaysNothing(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("files have no size limit for a process there")
	}
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ec")
	before := s.ok("logbook", "export")
	// Opening needs files of 32 KiB beside the record; this save does not fit into as much.
	var table strings.Builder
	table.WriteString("ref,reading\n")
	for i := range 400 {
		fmt.Fprintf(&table, "%d,%d\n", 500+i, 510+i)
	}
	command := exec.Command("sh", "-c", `ulimit -f 65; exec "$@"`, "sh", buildBinary(t), "--logbook", s.file, "calibrate", file(t, "many.csv", table.String()), "--meter", "P1", "--save", "--check", "--tolerance", "5%", "--json")
	var out, errText bytes.Buffer
	command.Stdout, command.Stderr = &out, &errText
	require.Error(t, command.Run())
	assert.Equal(t, statusCouldNot, command.ProcessState.ExitCode(), errText.String())
	assert.Empty(t, out.String())
	assert.Contains(t, errText.String(), ": save: ")
	assert.Contains(t, errText.String(), "nothing of it was kept")
	assert.Equal(t, before, s.ok("logbook", "export"))
	s.ok("logbook", "check")
}

// What is saved and cannot be shown is saved all the same, and said to be.
func TestASavedCalibrationThatCannotBeShown(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ec")
	var errText bytes.Buffer
	status := run([]string{"brinemark", "--logbook", s.file, "calibrate", "--point", "1413=1380", "--meter", "P1", "--save"}, strings.NewReader(""), broken{syscall.ENOSPC}, &errText)
	assert.Equal(t, statusCouldNot, status)
	calibrations := s.json("meter", "show", "P1")["calibrations"].([]any)
	require.Len(t, calibrations, 1)
	assert.Contains(t, errText.String(), "the calibration is on record as "+calibrations[0].(map[string]any)["id"].(string))
}

func TestAsFoundAndAsLeftAreBothSaved(t *testing.T) {
	s := penAndStock(t)
	path := file(t, "both.csv", "state,bottle,reading,temp_C\nas-left,A,309,18\nas-found,A,270,18\nas-left,B,607,18\nas-found,B,532,18\n")
	v := s.json("calibrate", path, "--meter", "tent pen", "--time", "2026-02-20 10:00", "--save")
	assert.Equal(t, "as-found", v["state"])
	assert.Equal(t, 270.0, points(v)[0]["reading"])
	left := v["as_left"].(map[string]any)
	assert.Equal(t, "as-left", left["state"])
	assert.Equal(t, 309.0, points(left)[0]["reading"])
	assert.NotEqual(t, v["id"], left["id"])
	list := s.json("meter", "show", "tent pen")["calibrations"].([]any)
	require.Len(t, list, 2)
	assert.Equal(t, v["id"], list[0].(map[string]any)["id"], "as found stands first, at the same time")
	assert.Equal(t, left["id"], list[1].(map[string]any)["id"])

	// --check wants both to pass; --state asks for one alone.
	atNoon(t, "2026-03-01T12:05:00Z")
	r := s.run("calibrate", path, "--meter", "tent pen", "--u-reading", "1", "--u-temp", "0.2C", "--check", "--save")
	assert.Equal(t, statusNotPassing, r.status)
	assert.Len(t, s.json("meter", "show", "tent pen")["calibrations"], 4, "judged and saved")
	r = s.run("calibrate", path, "--meter", "tent pen", "--u-reading", "1", "--u-temp", "0.2C", "--check", "--state", "as-left")
	assert.Equal(t, statusDone, r.status, r.stderr)
}

func TestACalibrationIsCorrected(t *testing.T) {
	s := penAndStock(t)
	s.ok("meter", "add", "P2", "--quantity", "ec")
	wrong := s.json("calibrate", "--point", "600=532", "--meter", "tent pen", "--time", "2026-02-20 10:00", "--state", "as-left", "--save")["id"].(string)
	v := s.json("calibrate", "--point", "600=582", "--meter", "tent pen", "--corrects", wrong, "--save")
	assert.Equal(t, "2026-02-20T10:00:00Z", v["time"], "the time of the one that was wrong, where none is given")
	assert.Equal(t, "as-left", v["state"])
	assert.Equal(t, wrong, v["supersedes"])
	list := s.json("meter", "show", "tent pen")["calibrations"].([]any)
	require.Len(t, list, 1)
	assert.Equal(t, v["id"], list[0].(map[string]any)["id"])
	assert.Len(t, s.json("meter", "show", "tent pen", "--all")["calibrations"], 2)
	for text, args := range map[string][]string{
		"superseded already, by " + v["id"].(string): {"--meter", "tent pen", "--corrects", wrong},
		"is a calibration of meter tent pen":         {"--meter", "P2", "--corrects", wrong},
		`calibration "nosuch" is not on record`:      {"--meter", "P2", "--corrects", "nosuch"},
	} {
		r := s.run(append([]string{"calibrate", "--point", "600=584", "--save"}, args...)...)
		assert.Equal(t, statusBadInput, r.status)
		assert.Contains(t, r.stderr, text)
		assert.Empty(t, r.stdout)
	}
	// Another of the same time, without a word of correction, is kept with a warning.
	again := s.json("calibrate", "--point", "600=583", "--meter", "tent pen", "--time", "2026-02-20 10:00", "--state", "as-left", "--save")
	assert.Contains(t, texts(again), v["id"].(string)+" of the same time, as-left, is on record as well")
}

// The same calibration, saved again, counts once, and is told where it is.
func TestTheSameCalibrationCountsOnce(t *testing.T) {
	s := penAndStock(t)
	table := file(t, "d.csv", "ref,reading,time,state\n300,290,2026-02-20 17:50,as-found\n600,580,2026-02-20 17:55,as-found\n"+
		"300,300,2026-02-20 18:00,as-left\n600,600,2026-02-20 18:05,as-left\n")
	args := []string{"calibrate", table, "--meter", "tent pen", "--save"}
	id := s.json(args...)["id"].(string)
	drift := s.json("drift", "--meter", "tent pen", "--now", "2026-02-21")
	constants := s.ok("constants", "tent pen", "--at", "2026-02-21")
	for range 3 {
		again := s.json(args...)
		assert.NotEqual(t, id, again["id"])
		assert.Contains(t, texts(again), "was on record already as "+id+": the two count as one")
	}
	assert.Equal(t, drift, s.json("drift", "--meter", "tent pen", "--now", "2026-02-21"))
	assert.Equal(t, constants, s.ok("constants", "tent pen", "--at", "2026-02-21"))
	assert.Len(t, s.json("meter", "show", "tent pen")["calibrations"], 2)
	assert.Len(t, s.json("meter", "show", "tent pen", "--all")["calibrations"], 8)
	assert.Equal(t, true, s.json("logbook", "check")["ok"])
	// In its own place it may be saved: with another fit, say.
	s.ok(andMore(args, "--state", "as-found", "--corrects", id, "--fit", "gain")...)
}

// Two calibrations that hold at one time stop constants and correct. What their
// message says is done here, word by word, and helps.
func TestTheWayOutOfTwoCalibrationsAtOnce(t *testing.T) {
	s := penAndStock(t)
	right := file(t, "FILE.csv", "ref,reading\n300,291\n600,582\n")
	for _, reading := range []string{"580", "581"} {
		s.ok("calibrate", "--point", "300=290", "--point", "600="+reading, "--meter", "tent pen", "--save", "--time", "2026-02-20 09:00")
	}
	log := file(t, "log.csv", "time,ec\n2026-02-21T00:00:00Z,582\n")
	advice := regexp.MustCompile(`calibrate FILE\.csv --meter '?tent pen'? --save (--corrects \S+) (--corrects \S+)$`)
	var found []string
	for _, args := range [][]string{{"constants", "tent pen"}, {"correct", log, "--meter", "ec=tent pen"}} {
		r := s.run(args...)
		require.Equal(t, statusBadInput, r.status)
		found = advice.FindStringSubmatch(strings.TrimSpace(strings.Split(r.stderr, "; see brinemark")[0]))
		require.NotNil(t, found, r.stderr)
	}
	corrects := append(strings.Fields(found[1]), strings.Fields(found[2])...)
	v := s.json(andMore([]string{"calibrate", right, "--meter", "tent pen", "--save"}, corrects...)...)
	assert.Equal(t, "2026-02-20T09:00:00Z", v["time"])
	assert.InDelta(t, 600.0/582, s.json("constants", "tent pen", "--at", "2026-02-21")["slope"], 1e-6)
	assert.Contains(t, s.ok("correct", log, "--meter", "ec=tent pen"), "600.0")
	assert.Equal(t, 2.0, s.json("drift", "--meter", "tent pen")["n"])
	assert.Len(t, s.json("meter", "show", "tent pen")["calibrations"], 1)
	assert.Len(t, s.json("meter", "show", "tent pen", "--all")["calibrations"], 4)
	assert.Equal(t, true, s.json("logbook", "check")["ok"])
	// It is on record in two rows now. Corrected once more, it is so in both.
	s.json("calibrate", "--point", "300=280", "--point", "600=560", "--meter", "tent pen", "--save", "--corrects", v["id"].(string))
	assert.InDelta(t, 600.0/560, s.json("constants", "tent pen", "--at", "2026-02-21")["slope"], 1e-6)
	// Merged with itself the record stays the same.
	export := filepath.Join(filepath.Dir(s.file), "export.jsonl")
	require.NoError(t, os.WriteFile(export, []byte(s.ok("logbook", "export")), 0o600))
	other := &session{t: t, file: filepath.Join(t.TempDir(), "logbook.db")}
	other.ok("logbook", "import", export)
	assert.Len(t, other.json("meter", "show", "tent pen")["calibrations"], 1)
}

// What an older program saved twice counts once.
func TestATwinOnRecordCountsOnce(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "pen", "--quantity", "ec", "--unit", "uS/cm")
	s.save(checked(t, "pen", "ec", "2026-02-20", "as-found", one(1413, 1400)), checked(t, "pen", "ec", "2026-02-20", "as-found", one(1413, 1400)))
	assert.Equal(t, 1.0, s.json("drift", "--meter", "pen")["n"])
	assert.Equal(t, 1.0, s.json("constants", "pen", "--at", "2026-02-21")["slope"])
	assert.Len(t, s.json("meter", "show", "pen")["calibrations"], 1)
	s.save(checked(t, "pen", "ec", "2026-02-20", "as-found", one(1413, 1401)))
	assert.Len(t, s.json("meter", "show", "pen")["calibrations"], 2, "another reading is another calibration")
}
