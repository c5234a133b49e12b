package shelf_test

import (
	"fmt"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/uncert"
)

// A bottle of 600 mg/L, half a year old, has lost 5 g of its 500 g of water.
// What should a pen that shows ppm display in it, in a cool room?
func Example() {
	strength, err := uncert.New(600, 6, uncert.Source{ID: "strength:A", Label: "strength"})
	if err != nil {
		panic(err)
	}
	factor, alpha, ref, full, empty, u := 0.5, 0.02, 25.0, 552.3, 52.3, 0.05
	bottle := logbook.Bottle{Name: "A", Salt: "NaCl", StrengthUnit: "mg/L", Strength: logbook.Keep(strength), FullG: &full, EmptyG: &empty, UWeighingG: &u}
	pen := logbook.Meter{Name: "P1", Quantity: "ec", Unit: "ppm", PPMFactor: &factor, Compensation: "linear", Alpha: &alpha, RefTempC: &ref}

	now, loss, _, err := shelf.Weigh(bottle, shelf.Weighing{At: time.Date(2026, 9, 1, 0, 0, 0, 0, time.UTC), MassG: 547.3})
	if err != nil {
		panic(err)
	}
	fmt.Printf("lost %.2f g, %.1f %% stronger\n", loss.MassG.Nominal(), 100*(loss.Gain.Nominal()-1))
	temp, err := uncert.New(18, 0.2, uncert.Source{ID: "thermometer", Label: "thermometer"})
	if err != nil {
		panic(err)
	}
	for _, b := range []logbook.Bottle{bottle, now} {
		shown, err := shelf.On(b, pen, temp)
		if err != nil {
			panic(err)
		}
		fmt.Printf("%.0f ppm, u %.0f ppm\n", shown.Nominal(), shown.U())
	}
	// Output:
	// lost 5.01 g, 1.0 % stronger
	// 608 ppm, u 6 ppm
	// 614 ppm, u 6 ppm
}
