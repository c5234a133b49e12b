package logbook

import (
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/stretchr/testify/require"
)

// The record of ten years of weekly checks on 100 meters: 52,000 checks with
// 300,000 readings.
const (
	benchMeters   = 100
	benchChecks   = 520
	benchReadings = 300_000
)

// decade makes that record, in a folder of the benchmark.
func decade(b *testing.B) string {
	b.Helper()
	path := filepath.Join(b.TempDir(), "logbook.db")
	book, err := Create(path, options)
	require.NoError(b, err)
	defer book.Close()
	r := rand.New(rand.NewPCG(52, 100))
	rows, readings, checks := []Record{}, 0, 0
	for m := range benchMeters {
		rows = append(rows, aMeter(nth(m)))
	}
	for week := range benchChecks {
		for m := range benchMeters {
			checks++
			n := benchReadings*checks/(benchMeters*benchChecks) - readings
			readings += n
			c := aCalibration(nth(m), noon.AddDate(0, 0, 7*week).Add(time.Duration(m)*time.Minute), r, n)
			if m%benchEvery == 0 {
				inKeptBottles(c)
			}
			rows = append(rows, c)
		}
		if len(rows) > 5000 {
			require.NoError(b, book.Save(rows...))
			rows = nil
		}
	}
	require.NoError(b, book.Save(rows...))
	var n int
	require.NoError(b, book.db.QueryRow("SELECT count(*) FROM reading").Scan(&n))
	require.Equal(b, benchReadings, n)
	info, err := os.Stat(path)
	require.NoError(b, err)
	b.Logf("%d checks, %d readings, %.0f MB", benchMeters*benchChecks, n, float64(info.Size())/1e6)
	return path
}

// benchEvery is which of the meters are read in bottles on record, so that each
// reading carries a dozen named sources, and each check a result as long as
// calibrate prints it. P50 is one of them; all of them would need 800 MB.
const benchEvery = 10

func inKeptBottles(c *Calibration) {
	for i := range c.Readings {
		c.Readings[i].RefParts = nil
		for n := range 12 {
			c.Readings[i].RefParts = append(c.Readings[i].RefParts, uncert.Contribution{
				Source: uncert.Source{ID: fmt.Sprintf("weighing:stock:5.02g in 145.1g of 2026-03-01/%d", n), Label: "ions of the water among the salt's"},
				Size:   1 / (3 + float64(i+n)), Stated: true,
			})
		}
	}
	c.Result = json.RawMessage(`{"points":[` + strings.Repeat(`{"ref":0.3333333333333333,"reading":0.3333333333333333},`, 110) + `{}]}`)
}

// mostForHistory is what opening that record and listing one meter's history
// may take.
const mostForHistory = 100 * time.Millisecond

func BenchmarkDecade(b *testing.B) {
	path := decade(b)
	b.Run("OpenAndListOneMeter", func(b *testing.B) {
		best := time.Hour
		for b.Loop() {
			begun := time.Now()
			book, err := Open(path, options)
			require.NoError(b, err)
			list, err := book.History("P50", Current)
			require.NoError(b, err)
			require.Len(b, list, benchChecks)
			_, err = book.Events("P50", Current)
			require.NoError(b, err)
			require.NoError(b, book.Close())
			best = min(best, time.Since(begun))
		}
		if best > mostForHistory {
			b.Errorf("at best %v; want %v or less", best, mostForHistory)
		}
	})
	b.Run("OpenAndShowOneMeter", func(b *testing.B) {
		for b.Loop() {
			book, err := Open(path, options)
			require.NoError(b, err)
			_, err = book.Meter("P50")
			require.NoError(b, err)
			require.NoError(b, book.Close())
		}
	})
	book, err := Open(path, options)
	require.NoError(b, err)
	defer book.Close()
	r := rand.New(rand.NewPCG(1, 1))
	b.Run("SaveOneCheck", func(b *testing.B) {
		for b.Loop() {
			require.NoError(b, book.Save(aCalibration("P50", noon.AddDate(20, 0, 0), r, 6)))
		}
	})
	if os.Getenv("BRINEMARK_SOAK") == "" {
		return // the rest reads the whole record
	}
	b.Run("Check", func(b *testing.B) {
		for b.Loop() {
			h, err := book.Check()
			require.NoError(b, err)
			require.Empty(b, h.Problems)
		}
	})
	b.Run("Export", func(b *testing.B) {
		for b.Loop() {
			require.NoError(b, book.Export(io.Discard))
		}
	})
	b.Run("Backup", func(b *testing.B) {
		i := 0
		for b.Loop() {
			i++
			require.NoError(b, book.Backup(filepath.Join(b.TempDir(), fmt.Sprint(i))))
		}
	})
}
