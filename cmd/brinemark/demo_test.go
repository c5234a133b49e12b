package main

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDemoRunsTheWholeJob(t *testing.T) {
	home := t.TempDir()
	for _, name := range []string{"HOME", "XDG_DATA_HOME", "APPDATA", "LOCALAPPDATA"} {
		t.Setenv(name, home)
	}
	dir := filepath.Join(t.TempDir(), "new", "demo")
	r := invoke("demo", dir)
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Empty(t, r.stderr, "what a step notes stands with the step")
	for _, want := range []string{"$ brinemark recipe --salt NaCl", "$ brinemark recipe made", "$ brinemark reference", "$ brinemark calibrate old-pen.csv", "$ brinemark compare both-pens.csv", "Type next", "cd " + dir} {
		assert.Contains(t, r.stdout, want)
	}
	assert.NotContains(t, r.stdout, filepath.Join(dir, "old-pen.csv"), "commands are shown as they are typed in the folder")

	left, err := os.ReadDir(home)
	require.NoError(t, err)
	assert.Empty(t, left, "nothing of the person's own is touched")

	// Verdicts that follow from the invented faults: the old pen reads an
	// eighth low, the new one is right, and the difference is real.
	assert.Equal(t, "fail", demoResult(t, dir, "4-calibrate-old-pen")["verdict"])
	assert.Equal(t, "pass", demoResult(t, dir, "5-calibrate-new-pen")["verdict"])
	pairs := demoResult(t, dir, "6-compare")["pairs"].([]any)
	require.Len(t, pairs, 1)
	assert.Equal(t, "disagree", pairs[0].(map[string]any)["verdict"])
	electrode := demoResult(t, dir, "7-calibrate-ph-pen")["electrode"].(map[string]any)
	assert.InDelta(t, 88, electrode["slope_percent"], 1)
	assert.InDelta(t, 6.8, electrode["zero_point_pH"], 0.05)
}

func demoResult(t *testing.T, dir, name string) map[string]any {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, "results", name+".json"))
	require.NoError(t, err)
	var out map[string]any
	require.NoError(t, json.Unmarshal(text, &out))
	return out
}

// Every command that the demonstration shows can be typed in its folder, and
// prints there what stands in results.
func TestDemoCommandsCanBeTyped(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	r := invoke("demo", dir, "--json")
	require.Equal(t, statusDone, r.status, r.stderr)
	var result struct {
		Files []string
		Steps []struct {
			Command  string
			TextFile string `json:"text_file"`
		}
		Warnings []string
	}
	require.NoError(t, json.Unmarshal([]byte(r.stdout), &result))
	require.NotNil(t, result.Warnings)
	require.Greater(t, len(result.Steps), 5)
	t.Chdir(dir)
	for _, file := range result.Files {
		assert.FileExists(t, filepath.FromSlash(file))
	}
	for _, s := range result.Steps {
		words := shellWords(t, s.Command)
		require.Equal(t, "brinemark", words[0])
		again := invoke(words[1:]...)
		require.Equal(t, statusDone, again.status, again.stderr)
		text, err := os.ReadFile(filepath.FromSlash(s.TextFile))
		require.NoError(t, err)
		assert.Equal(t, string(text), again.stdout+again.stderr, s.Command)
	}
}

func TestDemoRefusesAFolderThatIsNotEmpty(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	require.NoError(t, os.MkdirAll(dir, 0o755))
	mine := filepath.Join(dir, "mine.txt")
	require.NoError(t, os.WriteFile(mine, []byte("mine"), 0o600))
	require.NoError(t, os.WriteFile(dir+"-2", nil, 0o600))
	r := invoke("demo", dir)
	assert.Equal(t, statusBadInput, r.status)
	assert.Empty(t, r.stdout)
	assert.Contains(t, r.stderr, "brinemark demo "+dir+"-3", "says what to type instead")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 1, "nothing is written")

	r = invoke("demo", mine)
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "is a file")
	assert.Equal(t, statusBadInput, invoke("demo").status)
	assert.Equal(t, statusCouldNot, invoke("demo", filepath.Join(mine, "below")).status, "a folder that cannot be made")

	r = invoke("demo", "")
	assert.Equal(t, statusBadInput, r.status)

	spaced := filepath.Join(t.TempDir(), "my demo")
	require.NoError(t, os.MkdirAll(filepath.Join(spaced, "mine"), 0o755))
	assert.Contains(t, invoke("demo", spaced).stderr, "brinemark demo '"+spaced+"-2'", "a name with a space is quoted")

	empty := filepath.Join(t.TempDir(), "empty")
	require.NoError(t, os.Mkdir(empty, 0o755))
	assert.Equal(t, statusDone, invoke("demo", empty).status, "an empty folder will do")
}

// failing refuses everything written to it.
type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestDemoThatFailsLeavesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	var stderr strings.Builder
	status := run([]string{"brinemark", "demo", dir}, strings.NewReader(""), failing{}, &stderr)
	assert.Equal(t, statusCouldNot, status)
	assert.NoDirExists(t, dir, "the same command can be tried again")
	assert.Equal(t, statusDone, invoke("demo", dir).status)
}

func TestDemoInAFolderNamedLikeAFlag(t *testing.T) {
	t.Chdir(t.TempDir())
	r := invoke("demo", "--", "-x")
	assert.Equal(t, statusDone, r.status, r.stderr)
	assert.FileExists(t, filepath.Join("-x", "README.txt"))
}
