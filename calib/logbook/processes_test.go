package logbook

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A process that holds the record is named, and nothing is saved.
func TestAHeldRecord(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	b, err := Create(path, Options{Now: clock, Wait: 300 * time.Millisecond})
	require.NoError(t, err)
	defer b.Close()
	require.NoError(t, b.Save(aMeter("P1")))
	c := start(t, "holder", path)
	_, ok := c.line()
	require.True(t, ok, "%s", &c.errors)
	begun := time.Now()
	err = b.Save(aMeter("P2"))
	var busy *BusyError
	require.ErrorAs(t, err, &busy)
	assert.GreaterOrEqual(t, time.Since(begun), 200*time.Millisecond, "it waited")
	assert.ErrorContains(t, err, "waited 300ms, nothing was saved; try again when it is done")
	if locks, err := os.ReadFile("/proc/locks"); err == nil && len(locks) > 0 {
		assert.Contains(t, busy.Holder, fmt.Sprintf("process %d (", c.command.Process.Pid))
	}
	_, err = b.Meters(All)
	require.NoError(t, err, "reading goes on")
	require.NoError(t, b.Backup(path+".backup"), "and so does a backup")
	c.kill()
	require.NoError(t, b.Save(aMeter("P2")), "what it held is free again")
	sound(t, b)
}

// A long read, two processes that write, and backups, all at once: everybody is
// served, nothing is lost, and the read sees one state.
func TestSeveralProcesses(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	b, err := Create(path, options)
	require.NoError(t, err)
	defer b.Close()
	fill(t, b)
	before := exported(t, b)
	const each = 60
	var first, second *child
	var backups []string
	var during strings.Builder
	slow := writerFunc(func(text []byte) (int, error) { // begins both writers, and goes on when they are done
		if first == nil {
			first = start(t, "saver", path, "1", fmt.Sprint(each))
			second = start(t, "saver", path, "2", fmt.Sprint(each))
			for i := range 5 {
				backups = append(backups, filepath.Join(t.TempDir(), fmt.Sprintf("backup%d.db", i)))
				require.NoError(t, b.Backup(backups[i]))
				time.Sleep(20 * time.Millisecond)
			}
			saved, _ := acknowledged(append(first.finish(), second.finish()...))
			require.Len(t, saved, 2*each)
		}
		return during.Write(text)
	})
	require.NoError(t, b.Export(slow))
	assert.Equal(t, before, during.String(), "the long read saw the state in which it began")
	assert.Equal(t, sound(t, b).Records, strings.Count(before, "\n")+2*each)
	rows := 0
	for _, backup := range backups {
		copied, err := Open(backup, options)
		require.NoError(t, err)
		h := sound(t, copied)
		assert.GreaterOrEqual(t, h.Records, rows, "a later backup has no less")
		rows = h.Records
		require.NoError(t, copied.Close())
	}
}

type writerFunc func([]byte) (int, error)

func (f writerFunc) Write(text []byte) (int, error) { return f(text) }

// Goroutines, on one Book and on several of the same file.
func TestSeveralGoroutines(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	shared, err := Create(path, Options{Now: clock, Wait: time.Minute})
	require.NoError(t, err)
	defer shared.Close()
	require.NoError(t, shared.Save(aMeter("P1")))
	const savers, each = 4, 15
	var work sync.WaitGroup
	failed := make(chan error, 100)
	try := func(f func() error) {
		work.Go(func() {
			if err := f(); err != nil {
				failed <- err
			}
		})
	}
	for i := range savers {
		try(func() error {
			b := shared
			if i%2 == 1 {
				var err error
				if b, err = Open(path, Options{Now: clock, Wait: time.Minute}); err != nil {
					return err
				}
				defer b.Close()
			}
			r := rand.New(rand.NewPCG(1, uint64(i)))
			for range each {
				if err := b.Save(aCalibration("P1", noon, r, 4)); err != nil {
					return err
				}
			}
			return nil
		})
	}
	try(func() error {
		for range 10 {
			list, err := shared.Calibrations("P1", Current)
			if err != nil {
				return err
			}
			for _, c := range list {
				if len(c.Readings) != 4 {
					return fmt.Errorf("%s has %d readings", c.ID, len(c.Readings))
				}
			}
		}
		return nil
	})
	try(func() error { return shared.Backup(path + ".backup") })
	work.Wait()
	close(failed)
	for err := range failed {
		assert.NoError(t, err)
	}
	assert.Equal(t, 1+savers*each, sound(t, shared).Records)
}

// Many processes that make the same new record at once make one.
func TestARecordMadeTwiceAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "record", "logbook.db")
	var work sync.WaitGroup
	failed := make(chan error, 8)
	for i := range 8 {
		work.Go(func() {
			b, err := Create(path, Options{Now: clock, Wait: time.Minute})
			if err == nil {
				err = b.Save(aMeter(nth(i)))
			}
			if err == nil {
				err = b.Close()
			}
			failed <- err
		})
	}
	work.Wait()
	close(failed)
	for err := range failed {
		assert.NoError(t, err)
	}
	b, err := Open(path, options)
	require.NoError(t, err)
	defer b.Close()
	assert.Equal(t, 8, sound(t, b).Records)
}
