package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestReportRefuses(t *testing.T) {
	s := aBench(t)
	folder := t.TempDir()
	for _, c := range []struct {
		want string
		args []string
	}{
		{"needs --meter ID, or --all", nil},
		{"--all or --meter, not both", []string{"--all", "--meter", "blue"}},
		{"needs --meter ID", []string{"--meter", ""}},
		{"the nearest is tent pen", []string{"--meter", "tend pen"}},
		{"want html, markdown, text, json", []string{"--meter", "blue", "--format", "pdf"}},
		{"no format goes by the ending \".pdf\"", []string{"--meter", "blue", "--out", filepath.Join(folder, "a.pdf")}},
		{"there is no folder", []string{"--meter", "blue", "--out", filepath.Join(folder, "no", "a.html")}},
		{"is a folder", []string{"--meter", "blue", "--format", "html", "--out", folder}},
		{"want the name of a file", []string{"--meter", "blue", "--out", ""}},
		{"--out " + filepath.Join(folder, "no", "a.html") + ": there is no folder " + filepath.Join(folder, "no"), []string{"--all", "--out", filepath.Join(folder, "no", "a.html")}},
		{"the page of meter blue", []string{"--all", "--out", filepath.Join(folder, "Meter-BLUE.html")}},
		{"--now", []string{"--meter", "blue", "--now", "yesterday"}},
	} {
		r := s.run(append([]string{"report"}, c.args...)...)
		assert.Equal(t, statusBadInput, r.status, "%v: %s", c.args, r.stderr)
		assert.Contains(t, r.stderr, c.want, "%v", c.args)
		assert.Empty(t, r.stdout)
		assert.Equal(t, 1, strings.Count(r.stderr, "\n"))
	}
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Empty(t, left)
}

// The index names files that are there, whatever the meters are called, and the
// files have the names it says.
func TestReportOfAllWritesWhatItLinks(t *testing.T) {
	s := aBench(t)
	for _, name := range []string{"..", "CON", "a b", "a-b", "שלום", "مقياس", "*", "%2e%2e", "index", "#x?y"} {
		s.ok("meter", "add", name, "--quantity", "ph")
	}
	for _, ending := range []string{".html", ".md", ".txt", ".json"} {
		folder := t.TempDir()
		s.ok("report", "--all", "--out", filepath.Join(folder, "index"+ending))
		files, err := os.ReadDir(folder)
		require.NoError(t, err)
		assert.Len(t, files, 17, "an index and sixteen meters")
		text, err := os.ReadFile(filepath.Join(folder, "index"+ending))
		require.NoError(t, err)
		for _, f := range files {
			assert.Regexp(t, `^(index|meter-[A-Za-z0-9_-]+)\`+ending+`$`, f.Name())
			if ending != ".txt" && !strings.HasPrefix(f.Name(), "index") {
				assert.Contains(t, string(text), f.Name())
			}
		}
	}
	all := s.json("report", "--all", "--out", filepath.Join(t.TempDir(), "index.html"))
	assert.Len(t, all["meters"], 16)
	first := all["meters"].([]any)[0].(map[string]any)
	assert.Equal(t, "undecided", first["state"], "the most urgent first")
	assert.Regexp(t, `^meter-script-[0-9a-f]{8}\.html$`, first["file"])
	last := all["meters"].([]any)[15].(map[string]any)
	assert.Equal(t, "gone", last["meter"], "what is out of use comes last")
}

// A report that cannot be finished leaves the old one.
func TestReportKeepsWhatWasThere(t *testing.T) {
	s := aBench(t)
	path := filepath.Join(t.TempDir(), "a.html")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o640))
	assert.Equal(t, statusBadInput, s.run("report", "--meter", "nobody", "--out", path).status)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "old", string(text))
	s.ok("report", "--meter", "blue", "--out", path)
	text, err = os.ReadFile(path)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(text), "<!DOCTYPE html>") && strings.HasSuffix(string(text), "</html>\n"))
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm(), "the rights of the file stay")
	left, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, left, 1)
}
