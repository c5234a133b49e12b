package logbook

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// kills is how many processes are killed: 300, fewer in a short run, and
// BRINEMARK_SOAK times as many where that is set.
func kills(t *testing.T, n int) int {
	t.Helper()
	if testing.Short() {
		n /= 10
	}
	if text := os.Getenv("BRINEMARK_SOAK"); text != "" {
		times, err := strconv.Atoi(text)
		require.NoError(t, err, "BRINEMARK_SOAK is a number")
		n *= times
	}
	return n
}

// A process is killed at a random moment while it saves, 300 times. Every save
// that it acknowledged is on record, reading for reading; of the one it was at,
// all or nothing is; and the record is intact.
func TestKilledWhileSaving(t *testing.T) {
	const perRecord = 25 // kills until a new record is begun: young and older ones
	total := kills(t, 300)
	workers := min(4, 2*runtime.NumCPU())
	for w := range workers {
		t.Run("", func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(300, uint64(w)))
			var path string
			interrupted, n := 0, total/workers
			for i := range n {
				if i%perRecord == 0 {
					path = filepath.Join(t.TempDir(), "logbook.db")
					b, err := Create(path, options)
					require.NoError(t, err)
					require.NoError(t, b.Save(aMeter("P1")))
					require.NoError(t, b.Close())
				}
				c := start(t, "saver", path, strconv.FormatUint(r.Uint64(), 10))
				_, ok := c.line()
				require.True(t, ok, "%s", &c.errors)
				time.Sleep(time.Duration(r.Int64N(int64(25 * time.Millisecond))))
				saved, open := acknowledged(c.kill())
				interrupted += open
				verify(t, path, saved)
			}
			assert.Greater(t, interrupted, n/4, "kills came within saves")
		})
	}
}

// verify asserts that the record is intact and has the rows, to the letter.
func verify(t *testing.T, path string, rows []string) {
	t.Helper()
	b, err := Open(path, options)
	require.NoError(t, err)
	defer func() { require.NoError(t, b.Close()) }()
	sound(t, b)
	all := exported(t, b)
	for _, row := range rows {
		require.Contains(t, all, row+"\n", "an acknowledged save is lost")
	}
}

// An import that is killed leaves all of it or nothing.
func TestKilledWhileImporting(t *testing.T) {
	t.Parallel()
	source := newBook(t)
	rows := []Record{aMeter("P1")}
	r := rand.New(rand.NewPCG(1, 1))
	for range 400 {
		rows = append(rows, aCalibration("P1", noon, r, 6))
	}
	require.NoError(t, source.Save(rows...))
	text := exported(t, source)
	file := filepath.Join(t.TempDir(), "export.jsonl")
	require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	whole, nothing := 0, 0
	for i := range kills(t, 40) {
		path := filepath.Join(t.TempDir(), "logbook.db")
		c := start(t, "importer", path, file)
		_, ok := c.line()
		require.True(t, ok, "%s", &c.errors)
		if i%8 == 0 { // some are let to come to the end
			_, ok = c.line()
			require.True(t, ok, "%s", &c.errors)
		} else {
			time.Sleep(time.Duration(r.Int64N(int64(200 * time.Millisecond))))
		}
		acknowledged := strings.Contains(strings.Join(c.kill(), "\n"), "imported") || i%8 == 0
		b, err := Open(path, options)
		require.NoError(t, err)
		sound(t, b)
		switch got := exported(t, b); got {
		case text:
			whole++
		case "":
			nothing++
			assert.False(t, acknowledged)
		default:
			assert.Fail(t, "a part of an import is on record", "%d of %d bytes", len(got), len(text))
		}
		require.NoError(t, b.Close())
	}
	assert.Positive(t, whole)
	assert.Positive(t, nothing)
}
