package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// nowhere is a folder in which nobody can make a file, not even root.
const nowhere = "/proc"

// Where one of several files cannot be written none is, and the message names
// the file that was asked for.
func TestNothingIsHalfWritten(t *testing.T) {
	s := fullShelf(t)
	folder := t.TempDir()
	empty := func(what string) {
		t.Helper()
		left, err := os.ReadDir(folder)
		require.NoError(t, err)
		assert.Empty(t, left, what)
	}
	page := filepath.Join(folder, "s.html")
	r := s.run("sheet", "--out", page, "--csv", nowhere+"/s.csv", "--temp", "19C")
	assert.Equal(t, statusCouldNot, r.status)
	assert.Contains(t, r.stderr, nowhere+"/s-ec.csv")
	empty("the sheet without its table")
	r = s.run("sheet", "--out", nowhere+"/s.html", "--csv", filepath.Join(folder, "s.csv"), "--temp", "19C")
	assert.Equal(t, statusCouldNot, r.status)
	empty("the table without its sheet")

	// A folder has the name of a meter's page.
	taken := filepath.Join(folder, "meter-P2.html")
	require.NoError(t, os.Mkdir(taken, 0o755))
	r = s.run("report", "--all", "--out", filepath.Join(folder, "i.html"))
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, taken+": is a folder")
	require.NoError(t, os.Remove(taken))
	empty("pages without an index")
}

// A file beside the place is made first; what a person reads is the name that
// was typed.
func TestMessagesNameTheFileThatWasAskedFor(t *testing.T) {
	s := fullShelf(t)
	ec := aCalibration(t, "ec.json", "ec", "2026-03-01", "as-left", 0, 1)
	log := file(t, "log.csv", "time,ec\n2026-03-02,600\n")
	correct := []string{"correct", log, "--calibration", "ec=" + ec}
	for _, c := range []struct {
		file string
		args []string
	}{
		{"x.html", []string{"report", "--meter", "tent pen", "--out"}},
		{"x.html", []string{"sheet", "--temp", "19C", "--out"}},
		{"x.csv", andMore(correct, "--out")},
		{"x.csv", andMore(correct, "--events")},
		{"x.csv", andMore(correct, "--daily")},
		{"x.svg", andMore(correct, "--plot")},
	} {
		asked := nowhere + "/" + c.file
		r := s.run(andMore(c.args, asked)...)
		assert.Equal(t, statusCouldNot, r.status, "%v", c.args)
		assert.Contains(t, r.stderr, asked, "%v", c.args)
		assert.NotContains(t, r.stderr, "/.x", "%v", c.args)
	}
}
