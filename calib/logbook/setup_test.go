package logbook

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/stretchr/testify/require"
)

// noon is the time of every test's clock.
var noon = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

func clock() time.Time { return noon }

var options = Options{Now: clock}

// newBook makes a record in a folder of the test.
func newBook(t testing.TB) *Book {
	t.Helper()
	b, err := Create(filepath.Join(t.TempDir(), "record", "logbook.db"), options)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, b.Close()) })
	return b
}

func known(x float64) *float64 { return &x }

// aMeter is a pen that shows ppm.
func aMeter(name string) *Meter {
	return &Meter{
		Name: name, Quantity: "ec", Unit: "ppm", PPMFactor: known(0.5), Resolution: known(1),
		RangeLow: known(0), RangeHigh: known(2000), Compensation: "linear", Alpha: known(0.02), RefTempC: known(25),
		Tolerance: known(0.02), ToleranceRelative: true, Note: "from the tent; \"old\" <pen> & µ",
	}
}

// aBottle is a solution whose strength has two sources of uncertainty.
func aBottle(name string) *Bottle {
	purity := uncert.Source{ID: "purity:NaCl", Label: "purity"}
	strength := uncert.Must(uncert.Must(uncert.New(0.0103, 0.00005, purity)).With(0.00003, uncert.Source{ID: "weighing:" + name + "/salt", Label: "salt mass"}))
	return &Bottle{
		Name: name, Salt: "NaCl", StrengthUnit: "mol/kg", Strength: Keep(strength),
		WaterEC25: Keep(uncert.Unstated(8, uncert.Source{ID: "water-ec:tap", Label: "water's own conductivity"})),
		Deviation: Keep(uncert.Must(uncert.New(0, 0.002, uncert.Source{ID: "impurities:NaCl", Label: "impurities that conduct"}))),
		MadeOn:    "2026-02-20", BestBefore: "2026-08-20",
		ContentG: known(498.7), FullG: known(552.31), EmptyG: known(53.3), UWeighingG: known(0.05), Weighing: "weighing:" + name + "/full",
		Made: json.RawMessage(`{"salt": "NaCl", "warnings": []}`),
	}
}

// aCalibration has readings with and without everything.
func aCalibration(meter string, at time.Time, r *rand.Rand, n int) *Calibration {
	c := &Calibration{
		Meter: meter, Time: at, State: "as-found", Quantity: "ec", Unit: "ppm",
		Method: "line", N: n, DoF: max(0, n-2), UBasis: "scatter", ReadingLow: 300, ReadingHigh: 300 * float64(n+1), Intercept: 10 * r.NormFloat64(), Slope: 1 + 0.01*r.NormFloat64(),
		UIntercept: known(r.Float64()), USlope: known(r.Float64() / 100), Cov: known(-r.Float64() / 1000), Verdict: "pass",
		Result: json.RawMessage(`{"fit":{"slope":1.0200000000000000177},"warnings":["a <b> & c"]}`),
	}
	for i := range n {
		x := 300 * float64(i+1) * (1 + 0.01*r.NormFloat64())
		reading := Reading{Ref: 300 * float64(i+1), Reading: x}
		if i%2 == 0 {
			reading.URef, reading.RefSource, reading.URefShared = known(r.Float64()), "jar A", known(0)
			reading.UReading, reading.TempC, reading.MV = known(1), known(18+r.Float64()), known(-3.5)
			reading.Bottle, reading.Time = "a bottle of somebody", at.Add(time.Duration(i)*time.Minute)
		}
		c.Readings = append(c.Readings, reading)
	}
	return c
}

// aComparison compares a meter of the record with one that is not on it.
func aComparison(meter string, at time.Time) *Comparison {
	c := &Comparison{Time: at, Quantity: "ec", Tolerance: known(0.05), ToleranceRelative: true, Result: json.RawMessage(`{"pairs":[]}`)}
	for i, sample := range []string{"A", "B"} {
		c.Readings = append(c.Readings,
			Compared{Meter: meter, MeterID: meter, Sample: sample, Replicate: "1", Reading: 300.5 * float64(i+1), UReading: known(1), TempC: known(18)},
			Compared{Meter: "a friend's", Sample: sample, Reading: 310.25 * float64(i+1), Ref: known(305), URef: known(2)})
	}
	return c
}

// fill puts rows of every kind on record, with superseded ones.
func fill(t testing.TB, b *Book) {
	t.Helper()
	r := rand.New(rand.NewPCG(5, 1))
	require.NoError(t, b.Save(aMeter("P1"), aMeter("P2"), aBottle("A"), aBottle("B")))
	retired := aMeter("P2")
	retired.Supersedes, retired.RetiredAt = "P2", noon
	require.NoError(t, b.Save(retired))
	for i := range 5 {
		c := aCalibration("P1", noon.AddDate(0, 0, 7*i), r, 4)
		c.Readings[0].BottleID, c.Readings[0].Bottle = "A", "A"
		c.Readings[0].RefParts = Parts{{Source: uncert.Source{ID: "purity:NaCl", Label: "purity"}, Size: -1.5, Stated: true}, {Source: uncert.Source{ID: "water", Label: "water"}}}
		require.NoError(t, b.Save(c))
		if i == 2 {
			again := aCalibration("P1", c.Time, r, 3)
			again.Supersedes, again.Note = c.ID, "reading 4 was a slip"
			require.NoError(t, b.Save(again))
		}
	}
	require.NoError(t, b.Save(aComparison("P1", noon), &Event{Meter: "P1", Time: noon, Event: "cleaned"},
		&Event{Meter: "P2", Time: noon, Event: "note", Note: "fell into the tub\nand came out"}))
}

// exported is the record as an export.
func exported(t testing.TB, b *Book) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, b.Export(&out))
	return out.String()
}

// sound asserts that a check finds nothing.
func sound(t testing.TB, b *Book) *Health {
	t.Helper()
	h, err := b.Check()
	require.NoError(t, err)
	require.Empty(t, h.Problems)
	return h
}

// missing says that a part of the machine that a test needs is not there. In
// the project's own checks that is a failure.
func missing(t *testing.T, what string) {
	t.Helper()
	if os.Getenv("BRINEMARK_REQUIRE_ALL") != "" {
		require.FailNow(t, "BRINEMARK_REQUIRE_ALL is set: "+what)
	}
	t.Skip(what)
}

func nth(i int) string { return fmt.Sprintf("P%d", i) }
