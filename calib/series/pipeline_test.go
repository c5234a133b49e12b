package series

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Wherever in the log a row cannot be read, in the first block or the last, all
// rows above it are written and none below, and the place is told.
func TestFaultAnywhere(t *testing.T) {
	plan := inventedPlan(t)
	const rows = 400
	good := strings.SplitAfter(string(inventedLog(rows)), "\n")
	whole, _, err := engine(strings.Join(good, ""), plan, 1000)
	require.NoError(t, err)
	wholeLines := strings.SplitAfter(whole, "\n")
	for _, wrong := range []int{1, 2, 17, 200, rows - 1, rows} {
		lines := append([]string(nil), good...)
		lines[wrong] = "2026-03-05T08:00:00Z,1\n"
		for _, size := range []int{1, 100, 1000, 1 << 20} {
			out, summary, err := engine(strings.Join(lines, ""), plan, size)
			var place *readings.Error
			require.ErrorAs(t, err, &place)
			assert.Equal(t, wrong+1, place.Row)
			assert.ErrorIs(t, err, readings.ErrRagged)
			assert.Equal(t, strings.Join(wholeLines[:wrong], ""), out, "row %d, blocks of %d bytes", wrong, size)
			assert.Equal(t, int64(wrong-1), summary.Rows)
		}
	}
}

// A reader that fails: what was read before is written, then its error is told,
// whichever it is. That of gzip for a file that was cut off is no end of file.
func TestReaderFails(t *testing.T) {
	plan := inventedPlan(t)
	text := string(inventedLog(3000))
	whole, _, err := engine(text, plan, 1000)
	require.NoError(t, err)
	for _, cause := range []error{errors.New("the disk is gone"), io.ErrUnexpectedEOF} {
		for _, n := range []int{0, 10, 16, 1000, 100000} {
			var out bytes.Buffer
			_, err := correct(io.MultiReader(strings.NewReader(text[:n]), iotest.ErrReader(cause)), &out, "log.csv", plan, sizes{block: 5000, blocks: 4})
			assert.Equal(t, cause, err)
			assert.True(t, strings.HasPrefix(whole, out.String()))
			if n == 100000 {
				assert.Greater(t, out.Len(), n, "the rows before")
			}
		}
	}
}

// A writer that fails: its error, soon, and nothing left running.
func TestWriterFails(t *testing.T) {
	full := errors.New("the disk is full")
	for _, most := range []int{0, 30, 1000, 100000} {
		before := runtime.NumGoroutine()
		in := &endlessLog{rows: inventedLog(1000)}
		_, err := correct(in, &limited{most: most, err: full}, "log.csv", inventedPlan(t), sizes{block: 5000, blocks: 4})
		assert.Equal(t, full, err, "after %d bytes", most)
		settled(t, before)
	}
}

// A writer that blocks while a fault is found further down: the fault waits for
// its turn, and is told.
func TestFaultWhileTheWriterIsBlocked(t *testing.T) {
	before := runtime.NumGoroutine()
	log := append(inventedLog(3000), "noon,1,2,3\n"...)
	gate := make(chan struct{})
	done := make(chan error)
	var out gated
	out.gate = gate
	go func() {
		_, err := correct(bytes.NewReader(log), &out, "log.csv", inventedPlan(t), sizes{block: 5000, blocks: 4})
		done <- err
	}()
	gate <- struct{}{} // the header
	gate <- struct{}{} // one block; the reader runs on until no block is free
	select {
	case err := <-done:
		t.Fatalf("ended with %v while there was more to write", err)
	default:
	}
	close(gate)
	err := <-done
	assert.ErrorIs(t, err, readings.ErrNotATime)
	assert.Equal(t, 3001, strings.Count(out.String(), "\n"))
	settled(t, before)
}

// settled waits for goroutines that are about to end.
func settled(t *testing.T, before int) {
	t.Helper()
	for range 1000 {
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(time.Millisecond)
	}
	t.Fatal("goroutines are left running")
}

type limited struct {
	most int
	err  error
}

func (l *limited) Write(b []byte) (int, error) {
	if l.most -= len(b); l.most < 0 {
		return 0, l.err
	}
	return len(b), nil
}

type gated struct {
	bytes.Buffer
	gate chan struct{}
}

func (g *gated) Write(b []byte) (int, error) {
	<-g.gate
	return g.Buffer.Write(b)
}

// endlessLog repeats a log's rows for ever, its header once.
type endlessLog struct {
	rows []byte
	at   int
}

func (e *endlessLog) Read(buf []byte) (int, error) {
	n := copy(buf, e.rows[e.at:])
	if e.at += n; e.at == len(e.rows) {
		e.at = bytes.IndexByte(e.rows, '\n') + 1
	}
	return n, nil
}

// One byte at a time, or the end told with the last bytes: the same.
func TestReadersOfAllSorts(t *testing.T) {
	plan := inventedPlan(t)
	text := string(inventedLog(200))
	want, _, err := engine(text, plan, 1<<20)
	require.NoError(t, err)
	for _, wrap := range []func(io.Reader) io.Reader{iotest.OneByteReader, iotest.HalfReader, iotest.DataErrReader} {
		var out bytes.Buffer
		_, err := Correct(wrap(strings.NewReader(text)), &out, "log.csv", plan)
		require.NoError(t, err)
		assert.Equal(t, want, out.String())
	}
}

// lifted is a log of a probe that is lifted out of the tub five times, slowly
// enough that only the end of each fall shows what it was.
func lifted(each int) string {
	var text strings.Builder
	text.WriteString("time,ec,temp\n")
	at, n := firstDay.AddDate(0, 0, 5), 0
	add := func(ec float64) {
		fmt.Fprintf(&text, "%s,%.0f,25\n", at.Format(time.RFC3339), ec)
		if n%7 == 3 {
			text.WriteString("\n")
		}
		n++
		at = at.Add(time.Second)
	}
	for range 5 {
		for range 400 {
			add(1200)
		}
		for i := range each {
			add(900 - 800*float64(i)/float64(each))
		}
		for range 60 {
			add(3)
		}
	}
	return text.String()
}

// flagsOf returns the last column.
func flagsOf(out string) (flags []string) {
	for _, line := range strings.Split(out, "\n")[1:] {
		if line != "" {
			flags = append(flags, line[strings.LastIndex(line, ",")+1:])
		}
	}
	return flags
}

// Falls that end in another block than they began in, over empty lines and many
// small blocks, are flagged to their beginning.
func TestFallsAcrossBlocks(t *testing.T) {
	plan := inventedPlan(t)
	plan.Probes = plan.Probes[:1]
	text := lifted(40)
	ref, ok := newReference(t, text, plan)
	require.True(t, ok)
	var want []string
	dry := int64(0)
	for _, row := range ref.rows {
		want = append(want, row.made[0].flag.String())
		if row.made[0].flag == Dry {
			dry++
		}
	}
	assert.Equal(t, int64(5*(40+60)), dry)
	for _, size := range []int{30, 100, 333, 1 << 20} {
		out, summary, err := engine(text, plan, size)
		require.NoError(t, err)
		require.Equal(t, want, flagsOf(out), "blocks of %d bytes", size)
		assert.Equal(t, dry, summary.Columns[0].Flagged[Dry])
		assert.Equal(t, int64(5), summary.Columns[0].Runs)
	}
}

// With few blocks, rows beyond those held are out before a fall is over. What is
// written is right up to that, and nothing waits for ever.
func TestFallsBeyondWhatIsHeld(t *testing.T) {
	plan := inventedPlan(t)
	plan.Probes = plan.Probes[:1]
	text := lifted(40)
	whole, _, err := engine(text, plan, 1<<20)
	require.NoError(t, err)
	var out bytes.Buffer
	summary, err := correct(strings.NewReader(text), &out, "log.csv", plan, sizes{block: 60, blocks: 4})
	require.NoError(t, err)
	want, got := flagsOf(whole), flagsOf(out.String())
	require.Len(t, got, len(want))
	dry := int64(0)
	for i := range got {
		if got[i] == "dry" {
			dry++
			assert.Equal(t, "dry", want[i])
		}
	}
	assert.Equal(t, dry, summary.Columns[0].Flagged[Dry], "the summary says what was written")
	assert.Less(t, dry, int64(5*100), "not all that led there")
	assert.GreaterOrEqual(t, dry, int64(5*55), "but what can be known in time")
}

// The allocations are those of a run, not of its rows.
func TestRowsAllocateNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("counts allocations over long logs")
	}
	plan := inventedPlan(t)
	allocations := func(rows int) float64 {
		log := inventedLog(rows)
		return testing.AllocsPerRun(3, func() {
			_, err := Correct(bytes.NewReader(log), io.Discard, "log.csv", plan)
			require.NoError(t, err)
		})
	}
	short, long := allocations(40_000), allocations(200_000)
	assert.Less(t, short, 2000.0, "allocations of a run")
	assert.InDelta(t, short, long, 200, "160000 rows more")
}

// A block is corrected and written without any.
func TestBlocksAllocateNothing(t *testing.T) {
	w, block := benchWorker(t)
	j, err := newJudge(inventedPlan(t), 1)
	require.NoError(t, err)
	round := func() {
		w.correct(block)
		j.flag(block)
		j.sum(block)
		w.write(block)
	}
	round()
	assert.Zero(t, testing.AllocsPerRun(20, round))
}
