package quantity_test

import (
	"errors"
	"fmt"

	"github.com/brinemark/brinemark/calib/quantity"
)

// A person copies the strength of a bottle from three labels.
func Example() {
	for _, label := range []string{"1.413 mS/cm", "0.1413S/m", "1413 µS/cm"} {
		q, err := quantity.Parse(label, quantity.Strengths()...)
		fmt.Println(q, err)
	}
	_, err := quantity.Parse("600ppm", quantity.Strengths()...)
	fmt.Println(errors.Is(err, quantity.ErrBarePPM))
	// Output:
	// 1413uS/cm <nil>
	// 1413uS/cm <nil>
	// 1413uS/cm <nil>
	// true
}

func ExampleParse_wrongUnit() {
	_, err := quantity.Parse("77F", quantity.Temperature)
	fmt.Println(err)
	_, err = quantity.Parse("250mL", quantity.Mass)
	fmt.Println(err)
	_, err = quantity.Parse("0,01mol/kg", quantity.Molality)
	fmt.Println(err)
	// Output:
	// "77F" is in degrees Fahrenheit; write 25C (as a difference, 42.778C)
	// "250mL" is a volume; want a mass such as 250g
	// "0,01mol/kg" has a comma; write a decimal point, 0.01mol/kg
}

func ExampleParseTolerance() {
	relative, _ := quantity.ParseTolerance("2%")
	absolute, _ := quantity.ParseTolerance("0.1")
	fmt.Println(relative.At(1413), absolute.At(7.01))
	// Output: 28.26 0.1
}
