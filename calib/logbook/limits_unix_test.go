//go:build unix

package logbook

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// beCramped saves under a limit on the size of files until it is refused, and
// once more with the limit gone.
func beCramped(path string, arguments []string) error {
	most, err := strconv.ParseUint(arguments[0], 10, 64)
	if err != nil {
		return err
	}
	signal.Ignore(syscall.SIGXFSZ) // a write beyond the limit is an error then
	var limit syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	limit.Cur = most
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	b, err := Open(path, Options{Now: time.Now})
	if err != nil {
		return err
	}
	r := rand.New(rand.NewPCG(most, 0))
	for range 10000 {
		c := aCalibration("P1", noon, r, 20)
		if err := b.Save(c); err != nil {
			fmt.Println("refused", err)
			break
		}
		text, err := line(c)
		if err != nil {
			return err
		}
		fmt.Printf("saved %s\n", text)
	}
	limit.Cur = limit.Max
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	if err := b.Save(&Event{Meter: "P1", Time: noon, Event: "note", Note: "there is room again"}); err != nil {
		return err
	}
	return b.Close()
}

// A disk without room, by a limit on the size of files: a save is refused in
// plain words, what was acknowledged is there, and saving goes on when there is
// room again.
func TestDiskFull(t *testing.T) {
	for _, most := range []int{210_000, 400_000, 1_000_000} {
		path := filepath.Join(t.TempDir(), "logbook.db")
		b, err := Create(path, options)
		require.NoError(t, err)
		fill(t, b)
		require.NoError(t, b.Close())
		info, err := os.Stat(path)
		require.NoError(t, err)
		require.Less(t, info.Size(), int64(most))
		lines := start(t, "cramped", path, strconv.Itoa(most)).finish()
		saved, _ := acknowledged(lines)
		require.NotEmpty(t, saved)
		last := lines[len(lines)-1]
		assert.True(t, strings.HasPrefix(last, "refused "), last)
		assert.Contains(t, last, "no room on the disk: or a limit on the size of files")
		verify(t, path, saved)
		b, err = Open(path, options)
		require.NoError(t, err)
		assert.Contains(t, exported(t, b), "there is room again")
		require.NoError(t, b.Close())
	}
}

// beCrampedReader reads where no byte more can be written.
func beCrampedReader(path string, arguments []string) error {
	signal.Ignore(syscall.SIGXFSZ)
	var limit syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	limit.Cur = 100
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	return beReader(path, arguments)
}

// A record on a full disk can be read, again and again: an export or a backup to
// another disk is what is wanted then. Saving says why not.
func TestAFullDiskCanBeRead(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	b, err := Create(path, options)
	require.NoError(t, err)
	fill(t, b)
	require.NoError(t, b.Close())
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	for range 2 {
		lines := start(t, "cramped reader", path).finish()
		require.Len(t, lines, 2)
		assert.Equal(t, "records 14 []", lines[0])
		assert.Contains(t, lines[1], "no room on the disk")
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, before, after)
	}
}

// beNobody is the command of a child that permissions bind, also where the
// tests run as root. A copy of the test binary is where everybody may run it.
func beNobody(t *testing.T, arguments ...string) *exec.Cmd {
	t.Helper()
	if os.Getuid() != 0 {
		return exec.Command(os.Args[0], arguments...)
	}
	binary, err := os.ReadFile(os.Args[0])
	require.NoError(t, err)
	folder, err := os.MkdirTemp("", "brinemark-nobody")
	require.NoError(t, err)
	t.Cleanup(func() { os.RemoveAll(folder) })
	require.NoError(t, os.Chmod(folder, 0o755))
	program := filepath.Join(folder, "logbook.test")
	require.NoError(t, os.WriteFile(program, binary, 0o755))
	const nobody = 65534
	command := exec.Command(program, arguments...)
	command.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	command.Dir = folder
	return command
}

// A record in a folder that cannot be written can be read; saving says why not.
func TestReadOnlyFolder(t *testing.T) {
	folder, err := os.MkdirTemp("", "brinemark-read-only")
	require.NoError(t, err)
	t.Cleanup(func() {
		os.Chmod(folder, 0o755)
		os.RemoveAll(folder)
	})
	path := filepath.Join(folder, "logbook.db")
	b, err := Create(path, options)
	require.NoError(t, err)
	fill(t, b)
	before := exported(t, b)
	require.NoError(t, b.Close())
	bytes, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.Chmod(path, 0o444))
	require.NoError(t, os.Chmod(folder, 0o555))

	lines := startCommand(t, beNobody(t, path, filepath.Join(folder, "new", "logbook.db")), "reader").finish()
	require.Len(t, lines, 3)
	assert.Equal(t, "records 14 []", lines[0])
	assert.Contains(t, lines[1], path+": open: the record cannot be written: the file or its folder")
	assert.Contains(t, lines[2], "create: the record's folder cannot be made: mkdir "+filepath.Join(folder, "new")+": permission denied")
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, bytes, after)
	rest, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, rest, 1, "nothing is left beside it")

	// The folder of somebody else who has the record open: its log is there.
	require.NoError(t, os.Chmod(folder, 0o755))
	b, err = Open(path, options)
	require.NoError(t, err)
	defer b.Close()
	assert.Equal(t, before, exported(t, b))
}

func init() { roles["cramped"], roles["cramped reader"] = beCramped, beCrampedReader }

// A pipe, and a device without an end, are refused at once.
func TestPipesAndDevicesAreNoRecord(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	for _, path := range []string{pipe, "/dev/null", "/dev/zero"} {
		done := make(chan error, 2)
		go func() {
			for _, open := range []func(string, Options) (*Book, error){Open, Create} {
				_, err := open(path, options)
				done <- err
			}
		}()
		for range 2 {
			select {
			case err := <-done:
				var not *NotARecordError
				require.ErrorAs(t, err, &not, path)
			case <-time.After(10 * time.Second):
				require.Fail(t, "waits for the other end of "+path)
			}
		}
	}
}
