package logbook

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The locks of a process on a file are dropped when it closes any descriptor of
// that file. A second Book must not do that to the first.
func TestASecondBookLeavesTheLocksOfTheFirst(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	b, err := Create(path, options)
	require.NoError(t, err)
	require.NoError(t, b.Save(aMeter("P1")))
	if !hasLock(t, path) {
		require.NoError(t, b.Close())
		missing(t, "/proc/locks does not show the locks of this process")
	}
	second, err := Open(path, options)
	require.NoError(t, err)
	require.NoError(t, second.Close())
	assert.True(t, hasLock(t, path), "the first Book's lock is still there")
	require.NoError(t, b.Close())
	assert.False(t, hasLock(t, path))
}

// hasLock tells whether this process has a lock on the file, by /proc/locks.
func hasLock(t *testing.T, path string) bool {
	t.Helper()
	info, err := os.Stat(path)
	require.NoError(t, err)
	locks, err := os.ReadFile("/proc/locks")
	require.NoError(t, err)
	line := fmt.Sprintf(`(?m) %d \w+:\w+:%d `, os.Getpid(), info.Sys().(*syscall.Stat_t).Ino)
	return regexp.MustCompile(line).Match(locks)
}

// Lines as the kernel writes them (Documentation/filesystems/proc.rst).
func TestLockedBy(t *testing.T) {
	locks := []byte("1: POSIX  ADVISORY  READ 811 fe:00:42 120 120\n" +
		"1: -> POSIX  ADVISORY  WRITE 999 fe:00:42 120 120\n" +
		"2: FLOCK  ADVISORY  WRITE 812 fe:00:43 0 EOF\n" +
		"3: OFDLCK ADVISORY  WRITE -1 fe:00:42 120 120\n" +
		"4: POSIX  ADVISORY  WRITE 813 fe:00:42 120 127\n" +
		"short line\n")
	for _, c := range []struct {
		inode uint64
		at    int64
		pid   int
	}{{42, 120, 813}, {42, 127, 813}, {42, 128, 0}, {43, 1 << 40, 812}, {44, 120, 0}} {
		pid, found := lockedBy(locks, c.inode, c.at)
		assert.Equal(t, c.pid, pid, "%+v", c)
		assert.Equal(t, c.pid != 0, found)
	}
	assert.Contains(t, process(os.Getpid()), fmt.Sprintf("process %d (", os.Getpid()))
	assert.Equal(t, "process 999999999", process(999999999))
}
