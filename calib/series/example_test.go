package series_test

import (
	"fmt"
	"log"
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/series"
)

// A pen was found right on the first of March, and 6 % low on the last day of
// the month. Half way it was 3 % low.
func Example() {
	march := func(day int) time.Time { return time.Date(2026, 3, day, 12, 0, 0, 0, time.UTC) }
	timeline, err := series.NewTimeline([]series.Calibration{
		{Time: march(1), State: series.AsLeft, Line: series.Exact(0, 1.00, 0, 1500), Name: "1 March"},
		{Time: march(31), State: series.AsFound, Line: series.Exact(0, 1.06, 0, 1500), Name: "31 March"},
	}, nil, series.Growth{Rate: 0.06, Relative: true})
	if err != nil {
		log.Fatal(err)
	}
	pen, err := series.NewCorrector(&series.Probe{Column: "ec", Timeline: timeline, Low: 0, High: 2000})
	if err != nil {
		log.Fatal(err)
	}
	for _, at := range []time.Time{march(1), march(16), march(31), march(61)} {
		value, u, _ := pen.At(at.UnixNano(), 1000, math.NaN())
		fmt.Printf("%s  %.0f ± %.0f\n", at.Format(time.DateOnly), value, u)
	}
	// Output:
	// 2026-03-01  1000 ± 0
	// 2026-03-16  1030 ± 1
	// 2026-03-31  1060 ± 0
	// 2026-04-30  1060 ± 67
}
