package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mostMemory is what the program may take for a log of any length, in KiB.
const mostMemory = 32 << 10

// The most memory that the program ever has, while it corrects a log that is much
// larger. BRINEMARK_SOAK makes it a log of 100 million rows.
func TestBinaryCorrectsInLittleMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("corrects a million rows")
	}
	rows := 1_000_000
	if os.Getenv("BRINEMARK_SOAK") != "" {
		rows = 100_000_000
	}
	logs := map[string]func(at time.Time, i int, to []byte) []byte{
		"csv": func(at time.Time, i int, to []byte) []byte {
			return fmt.Appendf(at.AppendFormat(to, time.RFC3339), ",%d.5,%d.25,6.%02d\n", 1100+i%200, 18+i%5, i%100)
		},
		"csv of empty lines": func(at time.Time, i int, to []byte) []byte {
			if i%10000 == 0 {
				to = fmt.Appendf(at.AppendFormat(to, time.RFC3339), ",%d.5,18,6", 1100+i%200)
			}
			return append(to, '\n')
		},
		"json": func(at time.Time, i int, to []byte) []byte {
			to = append(at.AppendFormat(append(to, `{"time":"`...), time.RFC3339), '"')
			return fmt.Appendf(to, ",\"ec\":%d.5,\"temp\":%d.25,\"ph\":6.%02d}\n", 1100+i%200, 18+i%5, i%100)
		},
	}
	args := []string{"correct", "-", "--time-zone", "UTC", "--temp", "temp", "--compensation", "ec=none", "--u-reading", "ec=1",
		"--events", filepath.Join(t.TempDir(), "events.csv"), "--daily", filepath.Join(t.TempDir(), "daily.csv"),
		"--plot", filepath.Join(t.TempDir(), "log.svg")}
	for i := range 12 {
		day := fmt.Sprintf("2026-%02d-01", 1+i)
		args = append(args, "--calibration", "ec="+aCalibration(t, day+"ec.json", "ec", day, "as-found", float64(i), 1.05),
			"--calibration", "ph="+aCalibration(t, day+"ph.json", "ph", day, "as-found", 0.01*float64(i), 1))
	}
	for name, row := range logs {
		t.Run(name, func(t *testing.T) {
			n := rows
			if name == "json" {
				n = rows / 10 // objects are read much more slowly
			}
			command := exec.Command(buildBinary(t), args...)
			command.Stdin = inventedRows(name, n, row)
			counted := &lineCounter{}
			var stderr bytes.Buffer
			command.Stdout, command.Stderr = counted, &stderr
			require.NoError(t, command.Start())
			stop, most := make(chan struct{}), make(chan int)
			go func() { most <- watchMemory(command.Process.Pid, stop) }()
			err := command.Wait()
			close(stop)
			used := <-most
			require.NoError(t, err, stderr.String())
			assert.GreaterOrEqual(t, counted.lines, n, "all rows come out")
			assert.Greater(t, used, 1000, "the memory is known")
			assert.Less(t, used, mostMemory, "KiB of memory at most")
			t.Logf("%d rows: %d KiB", n, used)
		})
	}
}

// A rig of many probes, each with a drift of its own to be found out first.
func TestBinaryFindsManyDriftsInLittleMemory(t *testing.T) {
	header, row := "time", "2026-03-11T00:00:00Z"
	args := []string{"correct", "-"}
	for i := range 12 {
		column := fmt.Sprintf("ec%d", i)
		header, row = header+","+column, row+",600"
		for k, day := range []string{"2026-02-01", "2026-03-01"} {
			args = append(args, "--calibration", column+"="+aCalibration(t, day+column+".json", "ec", day, "as-found", 0, 1+0.05*float64(k)))
		}
	}
	command := exec.Command(buildBinary(t), args...)
	stdin, err := command.StdinPipe()
	require.NoError(t, err)
	var stderr bytes.Buffer
	command.Stderr = &stderr
	stdout, err := command.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, command.Start())
	stop, most := make(chan struct{}), make(chan int)
	go func() { most <- watchMemory(command.Process.Pid, stop) }()
	_, err = io.WriteString(stdin, header+"\n"+row+"\n")
	require.NoError(t, err)
	require.NoError(t, stdin.Close())
	_, err = io.ReadAll(stdout)
	require.NoError(t, err)
	require.NoError(t, command.Wait(), stderr.String())
	close(stop)
	used := <-most
	assert.Equal(t, 12, strings.Count(stderr.String(), "from its own checks"))
	assert.Greater(t, used, 1000, "the memory is known")
	assert.Less(t, used, mostMemory, "KiB of memory at most")
}

// watchMemory looks at the most memory a process has had so far, again and again.
func watchMemory(pid int, stop chan struct{}) (most int) {
	for {
		status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
		if _, rest, ok := strings.Cut(string(status), "VmHWM:"); err == nil && ok {
			if n, err := strconv.Atoi(strings.Fields(rest)[0]); err == nil {
				most = max(most, n)
			}
		}
		select {
		case <-stop:
			return most
		case <-time.After(5 * time.Millisecond):
		}
	}
}

// inventedRows is a log of so many rows, one every ten seconds, made while it is read.
func inventedRows(name string, n int, row func(time.Time, int, []byte) []byte) io.Reader {
	r, w := io.Pipe()
	go func() {
		var buf []byte
		if strings.HasPrefix(name, "csv") {
			buf = append(buf, "time,ec,temp,ph\n"...)
		}
		at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
		for i := range n {
			buf = row(at, i, buf)
			at = at.Add(10 * time.Second)
			if len(buf) > 64<<10 || i == n-1 {
				if _, err := w.Write(buf); err != nil {
					return
				}
				buf = buf[:0]
			}
		}
		w.Close()
	}()
	return r
}

type lineCounter struct{ lines int }

func (l *lineCounter) Write(b []byte) (int, error) {
	l.lines += bytes.Count(b, []byte{'\n'})
	return len(b), nil
}
