package paired_test

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/drift/paired"
)

// Two probes in one tub, logged four times on two days. The dry row and the
// splash move nothing.
func ExampleRead() {
	log := `time,left,right
2026-03-01 06:00,1515,1500
2026-03-01 12:00,12,1500
2026-03-01 18:00,1525,1510
2026-03-02 06:00,1530,1500
2026-03-02 12:00,2100,1500
2026-03-02 18:00,1530,1500
`
	l, err := paired.Read(strings.NewReader(log), "tub.csv", paired.Spec{A: "left", B: "right", Relative: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range l.Days {
		fmt.Printf("%s: %d rows, left - right = %+.1f %%\n", d.Start.Format("2006-01-02"), d.N, 100*d.Difference)
	}
	// Output:
	// 2026-03-01: 2 rows, left - right = +1.0 %
	// 2026-03-02: 3 rows, left - right = +2.0 %
}
