package main

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shortLog and what it becomes by a line of slope 1.1 and ten days of a drift of
// 1 % in 30 days. By hand: 9 - 2·600·0.024 + 600²·0.0001 + (660·1.1·0.01/3)² is
// 4.696².
const (
	shortLog       = "time,ec\n2026-03-11T00:00:00Z,600\n2026-03-11T00:01:00Z,610\n"
	shortCorrected = "time,ec,ec_corrected,ec_u,ec_flag\n2026-03-11T00:00:00Z,600,660.0000000,4.696,\n2026-03-11T00:01:00Z,610,671.0000000,4.794,\n"
)

// byTenPercent are arguments for a line of slope 1.1.
func byTenPercent(t *testing.T) []string {
	t.Helper()
	return []string{"--calibration", "ec=" + aCalibration(t, "ec.json", "ec", "2026-03-01", "as-found", 0, 1.1), "--drift", "ec=1%"}
}

func packed(t *testing.T, text string) string {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	_, err := io.WriteString(w, text)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return b.String()
}

func unpackedText(t *testing.T, path string) string {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	r, err := gzip.NewReader(f)
	require.NoError(t, err)
	text, err := io.ReadAll(r)
	require.NoError(t, err)
	return string(text)
}

func content(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(text)
}

// From a file or standard input, to a file or standard output, packed where a
// name says so: always the same log.
func TestCorrectInAndOut(t *testing.T) {
	args := append([]string{"correct"}, byTenPercent(t)...)
	folder := t.TempDir()
	at := func(name string) string { return filepath.Join(folder, name) }
	require.NoError(t, os.WriteFile(at("log.csv"), []byte(shortLog), 0o640))
	require.NoError(t, os.WriteFile(at("log.csv.gz"), []byte(packed(t, shortLog)), 0o644))

	r := invoke(append(args, at("log.csv"))...)
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Equal(t, shortCorrected, r.stdout)
	assert.Contains(t, r.stderr, "the tub was at", "the summary does not disturb the log")
	assert.Equal(t, shortCorrected, invokeWith(shortLog, append(args, "-")...).stdout)
	assert.Equal(t, shortCorrected, invokeWith(shortLog, append(args, "-", "--out", "-")...).stdout)
	assert.Equal(t, shortCorrected, invoke(append(args, at("log.csv.gz"))...).stdout)

	r = invoke(append(args, at("log.csv"), "--out", at("out.csv"))...)
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Empty(t, r.stdout)
	assert.Equal(t, shortCorrected, content(t, at("out.csv")))
	require.Equal(t, statusDone, invoke(append(args, at("log.csv.gz"), "--out", at("out.csv.gz"))...).status)
	assert.Equal(t, shortCorrected, unpackedText(t, at("out.csv.gz")))

	// The log's own name: it is replaced when the new one is complete, keeps its
	// rights, and is not corrected twice.
	require.Equal(t, statusDone, invoke(append(args, at("log.csv"), "--out", at("log.csv"))...).status)
	assert.Equal(t, shortCorrected, content(t, at("log.csv")))
	info, err := os.Stat(at("log.csv"))
	require.NoError(t, err)
	if runtime.GOOS != "windows" { // which knows no such rights
		assert.EqualValues(t, 0o640, info.Mode().Perm())
	}
	r = invoke(append(args, at("log.csv"), "--out", at("log.csv"))...)
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "ec_corrected")
	assert.Equal(t, shortCorrected, content(t, at("log.csv")))
	assert.Equal(t, []string{"log.csv", "log.csv.gz", "out.csv", "out.csv.gz"}, filesIn(t, folder), "nothing else is left")
}

func filesIn(t *testing.T, folder string) []string {
	t.Helper()
	list, err := os.ReadDir(folder)
	require.NoError(t, err)
	var out []string
	for _, entry := range list {
		out = append(out, entry.Name())
	}
	return out
}

// When a log cannot be read to its end, nothing appears under the final name,
// and what was there before stays.
func TestCorrectLeavesNoHalfFile(t *testing.T) {
	args := append([]string{"correct"}, byTenPercent(t)...)
	whole := packed(t, shortLog+strings.Repeat("2026-03-12T00:00:00Z,601\n", 200000))
	for name, c := range map[string]struct{ log, text, want string }{
		"ragged":       {"log.csv", shortLog + strings.Repeat("2026-03-12T00:00:00Z,601\n", 100000) + "2026-03-12T00:00:00Z,601,7\n", "row 100004"},
		"cut":          {"log.csv", strings.TrimSuffix(shortLog, ",610\n"), "row 3"},
		"binary":       {"log.csv", "time,ec\n\x00\x01\x02", "binary"},
		"empty":        {"log.csv", "", "empty"},
		"header":       {"log.csv", "time,tds\n1,2\n", "column ec"},
		"cut gzip":     {"log.csv.gz", packed(t, shortLog)[:40], "end in the middle"},
		"no gzip":      {"log.csv.gz", shortLog, "gzip"},
		"damaged gzip": {"log.csv.gz", whole[:len(whole)-3] + "xyz", "packed data"},
	} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			log, out := filepath.Join(folder, c.log), filepath.Join(folder, "out.csv")
			require.NoError(t, os.WriteFile(log, []byte(c.text), 0o644))
			r := invoke(append(args, log, "--out", out)...)
			assert.Equal(t, statusBadInput, r.status, r.stderr)
			assert.Contains(t, r.stderr, c.want)
			assert.Contains(t, r.stderr, c.log)
			assert.Equal(t, 1, strings.Count(r.stderr, "\n"), r.stderr)
			assert.Equal(t, []string{c.log}, filesIn(t, folder))
			require.NoError(t, os.WriteFile(out, []byte("what was here"), 0o644))
			assert.Equal(t, statusBadInput, invoke(append(args, log, "--out", out)...).status)
			assert.Equal(t, "what was here", content(t, out))
		})
	}
}

// Output that cannot be written is status 1 with one line; a reader that went
// away is no fault worth a line.
func TestCorrectOutputThatCannotBeWritten(t *testing.T) {
	args := append([]string{"brinemark", "correct", "-"}, byTenPercent(t)...)
	var stderr bytes.Buffer
	status := run(args, strings.NewReader(shortLog), broken{errors.New("no space left on device")}, &stderr)
	assert.Equal(t, statusCouldNot, status)
	assert.Equal(t, 1, strings.Count(stderr.String(), "\n"), stderr.String())
	assert.Contains(t, stderr.String(), "no space left on device")
}

func TestBinaryCorrectIsQuietOnAClosedPipe(t *testing.T) {
	log := file(t, "log.csv", shortLog+strings.Repeat("2026-03-12T00:00:00Z,601\n", 100000))
	reader, writer, err := os.Pipe()
	require.NoError(t, err)
	command := exec.Command(buildBinary(t), append([]string{"correct", log}, byTenPercent(t)...)...)
	var stderr bytes.Buffer
	command.Stdout, command.Stderr = writer, &stderr
	require.NoError(t, command.Start())
	require.NoError(t, writer.Close())
	head := make([]byte, 20)
	_, err = io.ReadFull(reader, head)
	require.NoError(t, err)
	require.NoError(t, reader.Close())
	var exit *exec.ExitError
	require.ErrorAs(t, command.Wait(), &exit)
	assert.Equal(t, statusCouldNot, exit.ExitCode())
	assert.Empty(t, stderr.String())
}

// The built program, through pipes, as a shell would run it.
func TestBinaryCorrects(t *testing.T) {
	command := exec.Command(buildBinary(t), append([]string{"correct", "-", "--time-zone", "UTC"}, byTenPercent(t)...)...)
	command.Stdin = strings.NewReader(shortLog)
	var stdout, stderr bytes.Buffer
	command.Stdout, command.Stderr = &stdout, &stderr
	require.NoError(t, command.Run(), stderr.String())
	assert.Equal(t, shortCorrected, stdout.String())
	assert.Contains(t, stderr.String(), "standard input: 2 rows, 2026-03-11 00:00 to 2026-03-11 00:01")
}
