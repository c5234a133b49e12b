package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is no file is written into: a pipe gets the picture and stays a pipe, and
// a device that takes nothing is status 1 with nothing shown and nothing saved.
func TestPlotIntoWhatIsNoFile(t *testing.T) {
	for name, args := range charted(t) {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			pipe := filepath.Join(folder, "pipe.svg")
			require.NoError(t, syscall.Mkfifo(pipe, 0o600))
			got := make(chan string, 1)
			go func() {
				text, err := os.ReadFile(pipe)
				assert.NoError(t, err)
				got <- string(text)
			}()
			r := invoke(andMore(args, "--time-zone", "UTC", "--plot", pipe)...)
			require.Equal(t, statusDone, r.status, r.stderr)
			assert.True(t, strings.HasSuffix(<-got, "</svg>\n"))
			info, err := os.Lstat(pipe)
			require.NoError(t, err)
			assert.NotZero(t, info.Mode()&os.ModeNamedPipe)

			full := filepath.Join(folder, "full.svg")
			require.NoError(t, os.Symlink("/dev/full", full))
			args := andMore(args, "--plot", full)
			if strings.HasPrefix(name, "correct") {
				args = append(args, "--json", "--out", filepath.Join(folder, "out.csv"))
			}
			r = invoke(args...)
			assert.Equal(t, statusCouldNot, r.status, r.stderr)
			assert.Empty(t, r.stdout)
			assert.Contains(t, r.stderr, "no space left")
		})
	}
}

// The chart takes the place of a file with its rights, through a link as well.
func TestPlotKeepsRightsAndLinks(t *testing.T) {
	chart := file(t, "chart.svg", "old")
	require.NoError(t, os.Chmod(chart, 0o600))
	link := filepath.Join(t.TempDir(), "link.svg")
	require.NoError(t, os.Symlink(chart, link))
	r := invoke("calibrate", "--point", "1=2", "--point", "3=4", "--plot", link)
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.True(t, strings.HasPrefix(content(t, chart), "<?xml"))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink)
	info, err = os.Stat(chart)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
}

// The built program: charts in files, and refusals.
func TestBinaryPlots(t *testing.T) {
	for name, args := range charted(t) {
		folder := t.TempDir()
		chart := filepath.Join(folder, "chart.svg")
		_, errText, status := brinemark(t, andMore(args, "--time-zone", "UTC", "--plot", chart)...)
		require.Equal(t, statusDone, status, "%s: %s", name, errText)
		if name != "drift" {
			golden(t, "charts/"+name+".svg", content(t, chart))
		}
		out, errText, status := brinemark(t, andMore(args, "--plot", filepath.Join(folder, "no", "chart.png"))...)
		assert.Equal(t, statusBadInput, status, errText)
		assert.Empty(t, out)
		assert.Len(t, filesIn(t, folder), 1)
	}
}

// terminal opens a terminal: its two ends.
func terminal(t *testing.T) (ours, theirs *os.File) {
	t.Helper()
	ours, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skipf("there are no terminals here: %v", err)
	}
	t.Cleanup(func() { ours.Close() })
	control := func(request uintptr, value *int32) {
		_, _, failed := syscall.Syscall(syscall.SYS_IOCTL, ours.Fd(), request, uintptr(unsafe.Pointer(value)))
		require.Zero(t, failed)
	}
	var unlock, number int32
	control(syscall.TIOCSPTLCK, &unlock)
	control(syscall.TIOCGPTN, &number)
	theirs, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("there are no terminals here: %v", err)
	}
	t.Cleanup(func() { theirs.Close() })
	return ours, theirs
}

// Where a stream is a screen the chart is drawn there: with the table on
// stdout, with the summary of a log on stderr; and nowhere with --json.
func TestBinaryDrawsOnATerminal(t *testing.T) {
	for name, args := range charted(t) {
		for _, with := range []string{"", "--json"} {
			ours, theirs := terminal(t)
			command := exec.Command(buildBinary(t), andMore(args, "--time-zone", "UTC")...)
			var other bytes.Buffer
			command.Stdout, command.Stderr = theirs, &other
			if strings.HasPrefix(name, "correct") {
				command.Stdout, command.Stderr = &other, theirs
				command.Args = append(command.Args, "--out", filepath.Join(t.TempDir(), "out.csv"))
			}
			if with != "" {
				command.Args = append(command.Args, with)
			}
			screen := make(chan string, 1)
			go func() {
				var text bytes.Buffer
				_, _ = io.Copy(&text, ours) // ends in an error when the other end is closed
				screen <- text.String()
			}()
			require.NoError(t, command.Run(), name)
			require.NoError(t, theirs.Close())
			select {
			case text := <-screen:
				drawn := strings.Contains(text, "Chart") && strings.Contains(text, " |")
				assert.Equal(t, with == "", drawn, "%s %s: %.2000s", name, with, text)
			case <-time.After(20 * time.Second):
				require.Fail(t, "the screen was never closed")
			}
			assert.NotContains(t, other.String(), "Chart")
		}
	}
}
