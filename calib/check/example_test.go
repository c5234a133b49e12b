package check_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// A pen read three bottles made from one stock. The stock is known to 0.5 %, each bottle to 2 uS/cm
// beside that, each reading to 2 uS/cm. Is the pen within 2 %?
func Example() {
	u := func(v float64) *float64 { return &v }
	rows := []check.Row{
		{Ref: 706, Reading: 710, URef: u(2), UReading: u(2), RefSource: "stock", URefShared: u(3.5)},
		{Ref: 1413, Reading: 1421, URef: u(2), UReading: u(2), RefSource: "stock", URefShared: u(7.1)},
		{Ref: 2767, Reading: 2780, URef: u(2), UReading: u(2), RefSource: "stock", URefShared: u(13.8)},
	}
	r, err := check.Run(rows, check.Options{Tolerance: &quantity.Tolerance{Value: 0.02, Relative: true}, At: []float64{1000}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: corrected = %.1f + %.4f x reading\n", r.Fit.Method, r.Fit.Intercept, r.Fit.Slope)
	fmt.Printf("1000 means %.0f, from %.0f to %.0f\n", r.At[0].Corrected, r.At[0].Low, r.At[0].High)
	fmt.Printf("%s (probability %.2f)\n", r.Verdict, r.PWithin)
	fmt.Println(r.Advice[0])
	// Output:
	// errors-in-both: corrected = -1.4 + 0.9958 x reading
	// 1000 means 994, from 984 to 1005
	// pass (probability 0.99)
	// within tolerance at every reference (probability 98.8 %): leave it as it is
}
