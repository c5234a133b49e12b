package tempcomp_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
)

// Potassium chloride, 0.01 mol/kg, at 18 C has 1219.93 uS/cm (Pratt and
// others 2001). A pen with 2 %/C and a 0.5 ppm scale should show 709 ppm there,
// though the same bottle is 704 ppm at 25 C.
func ExampleDisplay_Show() {
	rule, err := tempcomp.NewLinear(0.02, 25)
	if err != nil {
		fmt.Println(err)
		return
	}
	scale, err := tempcomp.PPM(0.5)
	if err != nil {
		fmt.Println(err)
		return
	}
	pen := tempcomp.Display{Rule: rule, Scale: scale}
	shown, err := pen.Show(uncert.Exact(1219.93), uncert.Exact(18))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v: %.0f ppm\n", pen, shown.Nominal())
	back, err := pen.Recover(shown, uncert.Exact(18))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("behind it: %.2f uS/cm at 18 C\n", back.Nominal())
	// Output:
	// linear, 2 %/C to 25 C, shown in ppm (0.5 ppm per uS/cm): 709 ppm
	// behind it: 1219.93 uS/cm at 18 C
}
