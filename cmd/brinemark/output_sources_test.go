package main

import (
	"os"
	"path/filepath"
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
