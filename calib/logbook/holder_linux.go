package logbook

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"strconv"
	"strings"
	"syscall"
)

// writeLock is the byte of the -shm file that a writer locks: SQLite file
// format, "WAL-Index", lock WAL_WRITE_LOCK at offset 120.
const writeLock = 120

// holder says which process holds the record for writing. The kernel knows:
// /proc/locks lists every advisory lock with its process and file. (Asking with
// fcntl would need a descriptor, and closing that would drop our own locks.)
func holder(path string) string {
	const nobody = "another program"
	locks, err := os.ReadFile("/proc/locks")
	if err != nil {
		return nobody
	}
	for _, side := range []struct {
		suffix string
		first  int64
	}{{"-shm", writeLock}, {"", pendingByte}} {
		info, err := os.Stat(path + side.suffix)
		if err != nil {
			continue
		}
		stat, ok := info.Sys().(*syscall.Stat_t)
		if !ok {
			continue
		}
		if pid, found := lockedBy(locks, stat.Ino, side.first); found {
			return process(pid)
		}
	}
	return nobody
}

// pendingByte is the first byte a writer locks in the database file itself.
const pendingByte = 0x40000000

// lockedBy finds the process with a write lock that covers a byte of the file.
// A line reads "1: POSIX  ADVISORY  WRITE 4242 fe:01:131 120 120".
func lockedBy(locks []byte, inode uint64, at int64) (pid int, found bool) {
	lines := bufio.NewScanner(bytes.NewReader(locks))
	for lines.Scan() {
		f := strings.Fields(lines.Text())
		if len(f) != 8 || f[3] != "WRITE" {
			continue
		}
		place := strings.Split(f[5], ":")
		if len(place) != 3 || place[2] != strconv.FormatUint(inode, 10) {
			continue
		}
		first, errFirst := strconv.ParseInt(f[6], 10, 64)
		last, errLast := strconv.ParseInt(f[7], 10, 64)
		if f[7] == "EOF" {
			last, errLast = 1<<62, nil
		}
		pid, errPid := strconv.Atoi(f[4])
		if errFirst != nil || errLast != nil || errPid != nil || first > at || at > last || pid <= 0 {
			continue
		}
		return pid, true
	}
	return 0, false
}

// process names a process by its number and what it was started with.
func process(pid int) string {
	line, err := os.ReadFile(fmt.Sprintf("/proc/%d/cmdline", pid))
	words := strings.ReplaceAll(strings.TrimRight(string(line), "\x00"), "\x00", " ")
	if err != nil || words == "" {
		return fmt.Sprintf("process %d", pid)
	}
	const most = 80
	if r := []rune(words); len(r) > most {
		words = string(r[:most]) + "…"
	}
	return fmt.Sprintf("process %d (%s)", pid, words)
}
