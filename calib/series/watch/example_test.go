package watch_test

import (
	"fmt"
	"time"

	"github.com/brinemark/brinemark/calib/series/watch"
)

// A tub runs low at the fourth row; the probe drips for two minutes, hangs in
// air, and is wet again after the refill. That the fall itself was out of the liquid
// is known three rows later.
func ExampleDry() {
	dry, err := watch.NewDry(watch.UsualDryLimits(4)) // up to 4 uS/cm in air
	if err != nil {
		fmt.Println(err)
		return
	}
	for minute, ec := range []float64{1480, 1478, 1481, 420, 90, 6, 3, 2, 1390, 1402} {
		is, back := dry.Next(int64(minute)*int64(time.Minute), ec)
		fmt.Printf("%4.0f dry: %v", ec, is)
		if back > 0 {
			fmt.Printf(", and the %d rows before", back)
		}
		fmt.Println()
	}
	// Output:
	// 1480 dry: false
	// 1478 dry: false
	// 1481 dry: false
	//  420 dry: false
	//   90 dry: false
	//    6 dry: false
	//    3 dry: false
	//    2 dry: true, and the 4 rows before
	// 1390 dry: false
	// 1402 dry: false
}

// Somebody turns the trimmer of a pen at ten o'clock and tells nobody: the
// conductivity steps from one row to the next, and pH does not.
func ExampleEvents() {
	columns := []watch.Column{{Conductivity: true, Least: 0.03, Relative: true}, {Least: 0.08}}
	events, err := watch.NewEvents(columns, func(e watch.Event) {
		fmt.Printf("%s in column %d at %s: from %.0f to %.0f\n", e.Kind, e.Column, e.To.Format("15:04"), e.Before, e.After)
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	begin := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	for minute := range 120 {
		ec := 1500.0
		if minute >= 60 {
			ec = 1650
		}
		events.Row(begin.Add(time.Duration(minute)*time.Minute).UnixNano(), 20,
			[]watch.Seen{{Reading: ec, Value: ec}, {Reading: 6, Value: 6}})
	}
	events.Finish()
	// Output: jump in column 0 at 10:00: from 1500 to 1650
}
