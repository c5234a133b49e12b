package line_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/line"
)

// A pen read three bottles. What is true when it shows 1000 uS/cm, and what should it show in a
// bottle of 1413 uS/cm?
func Example() {
	f, err := line.Ordinary(line.Points{
		X: []float64{690, 1380, 2710}, // what the pen showed
		Y: []float64{706, 1413, 2767}, // what was in the bottles
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	at, err := f.At(1000, line.Level)
	if err != nil {
		fmt.Println(err)
		return
	}
	inverse, err := f.Inverse(1413, line.Seen{}, line.Level)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("corrected = %.2f + %.4f x reading\n", f.Intercept, f.Slope)
	fmt.Printf("at 1000: %.0f, 95 %% between %.0f and %.0f (%s, %d degree of freedom)\n", at.Corrected, at.Low, at.High, f.Basis, f.DoF)
	fmt.Printf("1413 belongs to a reading of %.0f (%s)\n", inverse.Reading, inverse.Shape)
	// Output:
	// corrected = 3.48 + 1.0200 x reading
	// at 1000: 1023, 95 % between 1002 and 1045 (scatter, 1 degree of freedom)
	// 1413 belongs to a reading of 1382 (bounded)
}
