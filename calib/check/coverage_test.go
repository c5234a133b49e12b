package check

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/line"
)

var update = flag.Bool("update", false, "write the golden files anew")

// repeated is one setting of bottles read several times: a bottle's label errs by own, the same in all
// its readings; a reading by read. Both are in the unit of the references, which stand from 200 to
// 1000.
type repeated struct {
	method           line.Method
	bottles, repeats int
	own, read        float64
	stated           bool    // both are told
	step             float64 // of the display, told; readings are rounded to it
	offset           float64 // of the meter
	unnamed          bool    // no bottle is named
	none             string  // why no interval is given
	violated         string  // why the intervals may be too narrow: shown, not held to 95 %
	conservative     string  // why they may be too wide
}

func repeatedBenches() []repeated {
	return []repeated{
		{method: line.MethodGain, bottles: 2, repeats: 3, own: 5, read: 1},
		{method: line.MethodGain, bottles: 5, repeats: 3, own: 5, read: 1},
		{method: line.MethodTwoPoint, bottles: 2, repeats: 3, own: 5, read: 1, offset: 15, none: "two bottles, nothing stated: no interval"},
		{method: line.MethodOrdinary, bottles: 2, repeats: 3, own: 5, read: 1, offset: 15, none: "two bottles, nothing stated: no interval"},
		{method: line.MethodOrdinary, bottles: 3, repeats: 3, own: 5, read: 1, offset: 15},
		{method: line.MethodOrdinary, bottles: 5, repeats: 2, own: 5, read: 5, offset: 15},
		{method: line.MethodOrdinary, bottles: 5, repeats: 10, own: 5, read: 1, offset: 15},
		{method: line.MethodTwoPoint, bottles: 2, repeats: 3, own: 5, read: 2, offset: 15, stated: true},
		{method: line.MethodErrorsInBoth, bottles: 3, repeats: 3, own: 5, read: 2, offset: 15, stated: true},
		{method: line.MethodErrorsInBoth, bottles: 5, repeats: 5, own: 5, read: 2, offset: 15, stated: true},
		{method: line.MethodOrdinary, bottles: 5, repeats: 1, own: 0.2, step: 10, offset: 15, conservative: "the step of the display, told"},
		{method: line.MethodOrdinary, bottles: 2, repeats: 3, own: 5, read: 1, offset: 15, unnamed: true, violated: "repeats without a bottle's name: warned of"},
	}
}

// day draws one bench day and tells whether the interval held the truth, inside and at the end of
// the references; ok is false where there is no interval.
func (b repeated) day(t *testing.T, rng *rand.Rand) (held [2]bool, ok bool) {
	var rows []Row
	for i := range b.bottles {
		label := 200 + 800*float64(i)/float64(b.bottles-1)
		truth := label + b.own*rng.NormFloat64()
		for range b.repeats {
			row := Row{Ref: label, Reading: (truth-b.offset)/1.04 + b.read*rng.NormFloat64()}
			if b.step > 0 {
				// The places of a display's steps fall anywhere beside the references.
				row.Reading = b.step * math.Round(row.Reading/b.step)
			}
			if !b.unnamed {
				row.Bottle = string(rune('A' + i))
			}
			if b.stated {
				row.URef, row.UReading = pointer(b.own), pointer(b.read)
			}
			rows = append(rows, row)
		}
	}
	at := [2]float64{450, 1000}
	o := Options{Method: b.method, Resolution: b.step}
	for _, truth := range at {
		o.At = append(o.At, (truth-b.offset)/1.04)
	}
	r, err := Run(rows, o)
	require.NoError(t, err)
	if r.Fit.Basis == line.NoBasis {
		return held, false
	}
	for k, truth := range at {
		held[k] = r.At[k].Low <= truth && truth <= r.At[k].High
	}
	return held, true
}

// Repeats through the whole procedure: nominal 95 % intervals cover 95 % of the truths however often
// a bottle is read, or are not given. The table is the golden file that the contributor's guide
// carries.
func TestCoverageOfRepeats(t *testing.T) {
	if testing.Short() {
		t.Skip("a simulation of thousands of bench days")
	}
	const days = 2500
	band := 4 * math.Sqrt(0.95*0.05/days) // four standard errors
	var table strings.Builder
	table.WriteString("| fit | bottles | readings of each | uncertainties | bottle | reading | inside | at the end | |\n")
	table.WriteString("| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n")
	rng := rand.New(rand.NewPCG(20260302, 95))
	for _, b := range repeatedBenches() {
		var count [2]int
		given := 0
		for range days {
			held, ok := b.day(t, rng)
			if !ok {
				continue
			}
			given++
			for k, h := range held {
				if h {
					count[k]++
				}
			}
		}
		cells := []string{"-", "-"}
		switch {
		case b.none != "":
			require.Zero(t, given, "%+v", b)
		default:
			require.Equal(t, days, given, "%+v", b)
			for k, c := range count {
				coverage := float64(c) / days
				cells[k] = fmt.Sprintf("%.1f %%", 100*coverage)
				switch {
				case b.violated != "":
					require.Less(t, coverage, 0.94, "%+v: the table should show what goes wrong", b)
				case b.conservative != "":
					require.Greater(t, coverage, 0.95-band, "%+v", b)
				default:
					require.InDelta(t, 0.95, coverage, band, "%+v", b)
				}
			}
		}
		known := "unknown"
		if b.stated {
			known = "known"
		}
		fmt.Fprintf(&table, "| %s | %d | %d | %s | %.2g | %.2g | %s | %s |\n", b.method, b.bottles, b.repeats, known,
			b.own, b.read, strings.Join(cells, " | "), b.none+b.violated+b.conservative)
	}
	golden := filepath.Join("..", "..", "testdata", "golden", "coverage-repeats.md")
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(table.String()), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), table.String(), "regenerate with -update and look at the change")
}
