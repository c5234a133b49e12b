package drift_test

import (
	"fmt"
	"time"

	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/quantity"
)

// A pen is checked once a month in fresh bottles of 1413 uS/cm. It gains half
// a per cent a month; in December the wrong bottle was read.
func ExampleRun() {
	ref, uRef, uReading := 1413.0, 6.0, 4.0
	var entries []drift.Entry
	for month, reading := range []float64{1411, 1421, 1425, 1436, 1440, 1449, 2760, 1463} {
		entries = append(entries, drift.Entry{
			Time: time.Date(2025, time.Month(6+month), 1, 9, 0, 0, 0, time.UTC),
			Ref:  &ref, Reading: &reading, URef: &uRef, UReading: &uReading,
		})
	}
	tolerance, err := quantity.ParseTolerance("5%")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := drift.Run(entries, drift.Options{Tolerance: &tolerance, Now: time.Date(2026, 1, 10, 12, 0, 0, 0, time.UTC)})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("error now %.1f %%, rate %.2f %% per 30 days, %s\n", 100*r.Error.Value, 100*r.Rate.Value, r.Verdict)
	fmt.Println("next check", r.NextCheck.Format("2006-01-02"))
	for _, a := range r.Alarms {
		fmt.Println(a.Time.Format("2006-01-02"), a.Kind)
	}
	// Output:
	// error now 3.7 %, rate 0.49 % per 30 days, pass
	// next check 2026-01-31
	// 2025-11-01 cusum
	// 2025-11-01 ewma
	// 2025-12-01 bad-check
}
