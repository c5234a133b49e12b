package logbook_test

import (
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
)

// A pen is put on record, checked, found wrong and corrected; nothing is lost.
func Example() {
	folder, err := os.MkdirTemp("", "example")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(folder)
	now := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	book, err := logbook.Create(filepath.Join(folder, "logbook.db"), logbook.Options{Now: func() time.Time { return now }})
	if err != nil {
		panic(err)
	}
	defer book.Close()

	pen := &logbook.Meter{Name: "tent pen", Quantity: "ec", Unit: "uS/cm"}
	check := &logbook.Calibration{
		Meter: "tent pen", Time: now, State: "as-found", Quantity: "ec", Unit: "uS/cm",
		Method: "gain", N: 1, Intercept: 0, Slope: 1.0236, UBasis: "none", ReadingLow: 1380, ReadingHigh: 1380,
		Readings: []logbook.Reading{{Ref: 1413, Reading: 1380}},
		Result:   []byte(`{"warnings":[]}`),
	}
	if err := book.Save(pen, check); err != nil {
		panic(err)
	}
	again := *check
	again.ID, again.RecordedAt, again.Supersedes = "", time.Time{}, check.ID
	again.Readings = []logbook.Reading{{Ref: 1413, Reading: 1390}}
	again.Slope, again.Note = 1.0165, "misread the display"
	if err := book.Save(&again); err != nil {
		panic(err)
	}

	for _, scope := range []logbook.Scope{logbook.Current, logbook.All} {
		list, err := book.Calibrations("tent pen", scope)
		if err != nil {
			panic(err)
		}
		for _, c := range list {
			fmt.Printf("%s: read %g, slope %g %q\n", c.Time.Format(time.DateOnly), c.Readings[0].Reading, c.Slope, c.Note)
		}
		fmt.Println("--")
	}
	_, err = book.Meter("tent pne")
	fmt.Println(err)
	// Output:
	// 2026-03-01: read 1390, slope 1.0165 "misread the display"
	// --
	// 2026-03-01: read 1380, slope 1.0236 ""
	// 2026-03-01: read 1390, slope 1.0165 "misread the display"
	// --
	// meter "tent pne" is not on record; the nearest is tent pen
}
