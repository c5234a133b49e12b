package main

import (
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"
)

// writing are runs of every command that writes a file, by the flag that names
// it, which stands last with the ending that the file has to have.
func writing(t *testing.T, s *session) map[string][]string {
	t.Helper()
	s.ok("meter", "add", "P1", "--quantity", "ec", "--unit", "uS/cm", "--tolerance", "5%")
	s.ok("bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--u-shared", "1%", "--u-strength", "0", "--source", "stock", "--made", "2026-03-01")
	list := map[string][]string{
		"constants --out":  {"constants", "--calibration", aCalibration(t, "c.json", "ec", "2026-01-01T00:00:00Z", "as-left", 0, 1), "--format", "c", "--out", ".h"},
		"label --out":      {"label", "A", "--out", ".svg"},
		"report --out":     {"report", "--meter", "P1", "--out", ".html"},
		"sheet --out":      {"sheet", "--out", ".html"},
		"sheet --csv":      {"sheet", "--csv", ".csv"},
		"drift --calendar": {"drift", penChecks, "--tolerance", "5%", "--now", "2026-03-10", "--calendar", ".ics"},
	}
	charts := charted(t)
	for _, command := range []string{"calibrate", "compare", "drift", "correct"} {
		list[command+" --plot"] = andMore(charts[command], "--plot", ".svg")
	}
	for _, flag := range []string{"out", "events", "daily"} {
		list["correct --"+flag] = andMore(charts["correct"], "--"+flag, ".csv")
	}
	return list
}

// A folder that is not there is bad usage wherever a file is to be written, is
// said in the same words, and found out before anything is done.
func TestNoFolderIsSaidAlike(t *testing.T) {
	s := newSession(t)
	runs := writing(t, s)
	list := map[string]bool{}
	var walk func(path string, commands []*cli.Command)
	walk = func(path string, commands []*cli.Command) {
		for _, c := range commands {
			name := strings.TrimSpace(path + " " + c.Name)
			for _, f := range c.Flags {
				flag := f.Names()[0]
				_, file := f.(*cli.PathFlag)
				if usage := f.(cli.DocGenerationFlag).GetUsage(); file || strings.Contains(usage, "into `FILE`") || strings.Contains(usage, "to `FILE`") {
					assert.Contains(t, writtenFlags, flag, "%s --%s names a file to write", name, flag)
				}
				if slices.Contains(writtenFlags, flag) {
					list[name+" --"+flag] = true
				}
			}
			walk(name, c.Subcommands)
		}
	}
	walk("", commands())
	assert.Len(t, list, len(runs))
	for name, args := range runs {
		assert.True(t, list[name], name)
		flags, ending := args[:len(args)-1], args[len(args)-1]
		folder := t.TempDir()
		aFile := filepath.Join(folder, "file")
		require.NoError(t, os.WriteFile(aFile, []byte("kept"), 0o644))
		require.NoError(t, os.Mkdir(filepath.Join(folder, "a folder"+ending), 0o755))
		for path, says := range map[string]string{
			filepath.Join(folder, "no", "x"+ending):          "there is no folder " + filepath.Join(folder, "no"),
			filepath.Join(folder, "no", "where", "x"+ending): "there is no folder " + filepath.Join(folder, "no", "where"),
			filepath.Join(aFile, "x"+ending):                 aFile + " is a file, not a folder",
			filepath.Join(aFile, "deeper", "x"+ending):       "there is no folder " + filepath.Join(aFile, "deeper"),
			filepath.Join(folder, "a folder"+ending):         "is a folder; want the name of a file",
		} {
			for _, more := range [][]string{nil, {"--json"}} {
				r := s.run(andMore(andMore(flags, path), more...)...)
				assert.Equal(t, statusBadInput, r.status, "%s: %s", name, r.stderr)
				assert.Contains(t, r.stderr, "--"+strings.SplitN(name, "--", 2)[1]+" "+path+": ", name)
				assert.Contains(t, r.stderr, says, name)
				assert.Equal(t, 1, strings.Count(r.stderr, "\n"), "%s: %s", name, r.stderr)
				assert.Empty(t, r.stdout, name)
			}
		}
		assert.ElementsMatch(t, []string{"file", "a folder" + ending}, filesIn(t, folder), name)
		assert.Equal(t, "kept", content(t, aFile))
		r := s.run(andMore(flags, filepath.Join(folder, "x"+ending))...)
		assert.Equal(t, statusDone, r.status, "%s: %s", name, r.stderr)
		assert.FileExists(t, filepath.Join(folder, "x"+ending), name)
	}
	r := s.run("logbook", "backup", filepath.Join(t.TempDir(), "no", "x.db"))
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "there is no folder")
}

// The folder is looked at before the input is.
func TestNoFolderIsFoundBeforeTheWork(t *testing.T) {
	nowhere := filepath.Join(t.TempDir(), "no", "x")
	for _, args := range [][]string{
		{"calibrate", "missing.csv", "--plot", nowhere + ".svg"}, {"compare", "missing.csv", "--plot", nowhere + ".svg"},
		{"drift", "missing.csv", "--plot", nowhere + ".svg"}, {"drift", "missing.csv", "--calendar", nowhere + ".ics"},
		{"correct", "missing.csv", "--plot", nowhere + ".svg"}, {"correct", "missing.csv", "--daily", nowhere + ".csv"},
	} {
		r := invoke(args...)
		assert.Equal(t, statusBadInput, r.status)
		assert.Contains(t, r.stderr, "there is no folder", "%v", args)
	}
}

// A folder that cannot be looked at is not one that is missing: here its name is
// longer than any can be.
func TestAFolderThatCannotBeLookedAt(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("names have other limits")
	}
	r := invoke("calibrate", "--point", "1=2", "--point", "3=4", "--plot", filepath.Join(t.TempDir(), strings.Repeat("x", 5000), "x.svg"))
	assert.Equal(t, statusCouldNot, r.status, r.stderr)
	assert.NotContains(t, r.stderr, "there is no")
}
