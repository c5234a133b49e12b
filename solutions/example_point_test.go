package solutions_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// A borax buffer in a cool cellar: the thermometer is good to 0.5 C.
func ExampleBuffer_At() {
	borax, err := solutions.BufferByName("borax")
	if err != nil {
		fmt.Println(err)
		return
	}
	cellar, err := uncert.New(14, 0.5, uncert.Source{ID: solutions.TemperatureID, Label: "thermometer"})
	if err != nil {
		fmt.Println(err)
		return
	}
	point, err := borax.At(cellar)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("pH %.3f, u %.3f\n", point.Value.Nominal(), point.Value.U())
	for _, share := range point.Value.Budget() {
		fmt.Printf("%s: %.0f %%\n", share.Source.Label, 100*share.Fraction)
	}
	_, err = borax.PH(70)
	fmt.Println(err)
	// Output:
	// pH 9.287, u 0.006
	// thermometer: 77 %
	// published pH of the buffer: 23 %
	// buffer borax: temperature 70 C is outside its range, 0 to 50 C; if that was degrees Fahrenheit, give it as 21.1C
}
