//go:build unix

package main

import (
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// cramped is set in a process that may write only small files.
const cramped = "BRINEMARK_TEST_CRAMPED"

// A disk that is full in the middle: status 1, one line, nothing under the final
// name, what was there before untouched, and no remains.
func TestCorrectOnAFullDisk(t *testing.T) {
	if words := os.Getenv(cramped); words != "" {
		signal.Ignore(syscall.SIGXFSZ) // a write beyond the limit is an error then
		limit := syscall.Rlimit{Cur: 8192, Max: 8192}
		require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit))
		os.Exit(run(strings.Split(words, "\n"), os.Stdin, os.Stdout, os.Stderr))
	}
	log := file(t, "log.csv", shortLog+strings.Repeat("2026-03-12T00:00:00Z,601\n", 50000))
	noise := make([]byte, 0, 1<<20) // which packing does not make small
	for i := range 50000 {
		noise = append(noise, "2026-03-12T00:00:00Z,"...)
		noise = append(noise, byte('1'+i*7919%9), byte('0'+i*i%10), byte('0'+i*i*i/7%10), '\n')
	}
	varied := file(t, "varied.csv", shortLog+string(noise))
	for name, c := range map[string]struct{ log, out string }{"plain": {log, "out.csv"}, "packed": {varied, "out.csv.gz"}} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			out := filepath.Join(folder, c.out)
			words := append([]string{"brinemark", "correct", c.log, "--out", out}, byTenPercent(t)...)
			again := func() string {
				command := exec.Command(os.Args[0], "-test.run=^TestCorrectOnAFullDisk$")
				command.Env = append(os.Environ(), cramped+"="+strings.Join(words, "\n"))
				text, err := command.CombinedOutput()
				var exit *exec.ExitError
				require.ErrorAs(t, err, &exit, string(text))
				assert.Equal(t, statusCouldNot, exit.ExitCode(), string(text))
				return string(text)
			}
			text := again()
			assert.Equal(t, 1, strings.Count(text, "\n"), text)
			assert.Contains(t, text, "file too large")
			assert.Empty(t, filesIn(t, folder))
			require.NoError(t, os.WriteFile(out, []byte("what was here"), 0o644))
			again()
			assert.Equal(t, "what was here", content(t, out))
			assert.Len(t, filesIn(t, folder), 1)
		})
	}
}

// A device is written into, and not replaced by a file.
func TestCorrectIntoADevice(t *testing.T) {
	folder := t.TempDir()
	pipe := filepath.Join(folder, "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	got := make(chan string)
	go func() {
		text, _ := os.ReadFile(pipe)
		got <- string(text)
	}()
	r := invoke(append([]string{"correct", file(t, "log.csv", shortLog), "--out", pipe}, byTenPercent(t)...)...)
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Equal(t, shortCorrected, <-got)
	assert.Equal(t, []string{"pipe"}, filesIn(t, folder))

	// A link is followed, so that it stays one.
	real, link := filepath.Join(folder, "real.csv"), filepath.Join(folder, "link.csv")
	require.NoError(t, os.WriteFile(real, nil, 0o600))
	require.NoError(t, os.Symlink(real, link))
	require.Equal(t, statusDone, invoke(append([]string{"correct", file(t, "log.csv", shortLog), "--out", link}, byTenPercent(t)...)...).status)
	assert.Equal(t, shortCorrected, content(t, real))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink)
}
