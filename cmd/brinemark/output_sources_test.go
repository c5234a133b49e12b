package main

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A slip of the tab key must not cost a calibration, the record or, where it is
// not meant, the log: no output takes the place of what is read, by whatever
// name.
func TestOutputsKeepWhatIsRead(t *testing.T) {
	folder := t.TempDir()
	at := func(name string) string { return filepath.Join(folder, name) }
	calibration, err := os.ReadFile(aCalibration(t, "ec.json", "ec", "2026-03-01", "as-found", 0, 1.1))
	require.NoError(t, err)
	kept := map[string]string{"ec.json": string(calibration), "log.csv": shortLog, "book.db": "a record, of which nothing is read here"}
	for name, text := range kept {
		require.NoError(t, os.WriteFile(at(name), []byte(text), 0o644))
	}
	require.NoError(t, os.Symlink(at("ec.json"), at("link")))
	roundabout := folder + "/../" + filepath.Base(folder) + "/"

	correct := []string{"correct", at("log.csv"), "--calibration", "ec=" + at("ec.json"), "--logbook", at("book.db")}
	constants := []string{"constants", "--calibration", at("ec.json"), "--format", "c", "--logbook", at("book.db")}
	t.Chdir(folder)
	for name, c := range map[string]struct {
		args []string
		says string
	}{
		"--out, the calibration":           {append(correct, "--out", at("ec.json")), "--out " + at("ec.json") + ": is a calibration file; want a file of its own"},
		"--out, by another path":           {append(correct, "--out", "ec.json"), "is a calibration file"},
		"--out, by a link":                 {append(correct, "--out", at("link")), "is a calibration file"},
		"--out, the record":                {append(correct, "--out", roundabout+"book.db"), "is the record"},
		"--events, the calibration":        {append(correct, "--events", "ec.json"), "is a calibration file"},
		"--daily, the record":              {append(correct, "--daily", "book.db"), "is the record"},
		"--events, the log by another way": {append(correct, "--events", "log.csv"), "is the log itself"},
		"constants, the calibration":       {append(constants, "--out", "ec.json"), "is a calibration file"},
		"constants, the record":            {append(constants, "--out", "book.db"), "is the record"},
	} {
		t.Run(name, func(t *testing.T) {
			r := invoke(c.args...)
			assert.Equal(t, statusBadInput, r.status, r.stderr)
			assert.Contains(t, r.stderr, c.says)
			for name, text := range kept {
				assert.Equal(t, text, content(t, at(name)), name)
			}
		})
	}
	r := invoke(append(correct, "--out", "log.csv", "--drift", "ec=1%")...)
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Equal(t, shortCorrected, content(t, at("log.csv")), "the log may be put right in its place")
}

// No output of any command takes the place of the record, of a file of it, or of
// what the command reads: by its name, by another path or by a link.
func TestOutputsKeepTheRecord(t *testing.T) {
	s := newSession(t)
	runs := writing(t, s)
	record := content(t, s.file)
	var read []string // commands that read a file
	for name, args := range runs {
		flags, ending := args[:len(args)-1], args[len(args)-1]
		folder := t.TempDir()
		at := func(name string) string { return filepath.Join(folder, name+ending) }
		book, linked := at("book"), at("linked")
		require.NoError(t, os.WriteFile(book, []byte(record), 0o644))
		require.NoError(t, os.Symlink(book, linked))
		require.NoError(t, os.Link(book, at("hard")))
		require.NoError(t, os.Mkdir(filepath.Join(folder, "deeper"), 0o755))
		refused := func(record, out, says string) {
			t.Helper()
			r := invoke(andMore(andMore(flags, out), "--time-zone", "UTC", "--logbook", record)...)
			assert.Equal(t, statusBadInput, r.status, "%s %s: %s", name, out, r.stderr)
			assert.Contains(t, r.stderr, out+": is "+says+"; want a file of its own", name)
			assert.Empty(t, r.stdout, name)
			assert.Equal(t, content(t, s.file), content(t, book), "%s %s", name, out)
		}
		for _, out := range []string{book, linked, at("hard"), filepath.Join(folder, "deeper", "..", "book"+ending)} {
			refused(book, out, "the record")
		}
		refused(linked, book, "the record")
		refused(at("not-there-yet"), at("not-there-yet"), "the record")
		if ending == ".csv" {
			for _, suffix := range []string{"-wal", "-shm", "-journal"} {
				refused(book, book+suffix, "a file of the record book"+ending)
			}
		}
		for i, input := range flags {
			info, err := os.Stat(input)
			if err != nil || !info.Mode().IsRegular() || name == "correct --out" { // a log may be put right in its place
				continue
			}
			text, own, link := content(t, input), filepath.Join(folder, "input"), at("link to the input")
			require.NoError(t, os.WriteFile(own, []byte(text), 0o644))
			require.NoError(t, os.Symlink(own, link))
			reads := slices.Clone(flags)
			reads[i] = own
			r := s.run(andMore(reads, link)...)
			assert.Equal(t, statusBadInput, r.status, "%s: %s", name, r.stderr)
			assert.Contains(t, r.stderr, "want a file of its own", name)
			assert.Equal(t, text, content(t, own), name)
			read = append(read, name)
		}
	}
	assert.ElementsMatch(t, []string{
		"constants --out", "drift --calendar", "calibrate --plot", "compare --plot", "drift --plot", "correct --plot", "correct --events", "correct --daily",
	}, read)
	for _, suffix := range []string{"", "-wal", "-shm"} {
		r := s.run("logbook", "backup", s.file+suffix)
		assert.Equal(t, statusBadInput, r.status)
		assert.Contains(t, r.stderr, "want a file of its own")
	}
	assert.Equal(t, record, content(t, s.file))
}

// The page of a meter that a report of all writes beside the index is an output
// like any other.
func TestReportOfAllKeepsTheRecord(t *testing.T) {
	s := newSession(t)
	s.file = filepath.Join(filepath.Dir(s.file), "meter-P1.html")
	s.ok("meter", "add", "P1", "--quantity", "ec")
	record := content(t, s.file)
	r := s.run("report", "--all", "--out", filepath.Join(filepath.Dir(s.file), "index.html"))
	assert.Equal(t, statusBadInput, r.status, r.stderr)
	assert.Contains(t, r.stderr, "is the record; want a file of its own")
	assert.Equal(t, record, content(t, s.file))
}
