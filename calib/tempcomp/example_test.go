package tempcomp_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
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

// One bottle of 0.01 mol/kg potassium chloride, warmed on the bench. The pen
// claims 2 %/C; it uses less.
func ExampleEstimateLinear() {
	bottle, err := tempcomp.SaltBottle(solutions.KCl, 0.01, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	var readings []tempcomp.Reading
	for _, r := range []struct{ shown, temp float64 }{{1390, 12}, {1403, 18}, {1411, 24}, {1412, 31}} {
		shown, err := uncert.New(r.shown, 3, uncert.Source{ID: fmt.Sprintf("reading at %g C", r.temp), Label: "display"})
		if err != nil {
			fmt.Println(err)
			return
		}
		readings = append(readings, tempcomp.Reading{Shown: shown, TempC: uncert.Exact(r.temp)})
	}
	c, err := tempcomp.EstimateLinear(bottle, readings, tempcomp.EstimateOptions{RefTempC: 25, Scale: tempcomp.MicroSiemens()})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("alpha %.2f %%/C to 25 C, 95 %% interval %.2f to %.2f\n", 100*c.Alpha.Value, 100**c.Alpha.Low, 100**c.Alpha.High)
	at20, err := c.AlphaAt(20)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("the same meter, said of 20 C: %.2f %%/C\n", 100*at20.Value)
	// Output:
	// alpha 1.82 %/C to 25 C, 95 % interval 1.80 to 1.85
	// the same meter, said of 20 C: 2.01 %/C
}

// A bottle of table salt on the bench: what does the pen do with temperature?
func ExampleExamine() {
	strength, err := quantity.Parse("600mg/L")
	if err != nil {
		fmt.Println(err)
		return
	}
	known, err := uncert.New(600, 4, uncert.Source{ID: solutions.StrengthID, Label: "strength"})
	if err != nil {
		fmt.Println(err)
		return
	}
	reference, err := solutions.NewSaltReference(solutions.NaCl, strength, known, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	bottle, err := tempcomp.ReferenceBottle(reference)
	if err != nil {
		fmt.Println(err)
		return
	}
	// A pen that shows the same bottle at four temperatures, with a display in
	// steps of 1 uS/cm and a thermometer good to 0.2 C.
	thermometer := 0.2
	readings, err := tempcomp.Observed([]tempcomp.Observation{
		{Reading: 1198, TempC: 10.2}, {Reading: 1199, TempC: 17.5}, {Reading: 1206, TempC: 24.1}, {Reading: 1217, TempC: 31.0},
	}, &thermometer)
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := tempcomp.Examine(bottle, readings, tempcomp.ExamineOptions{RefTempC: 25, Scale: tempcomp.MicroSiemens(), Resolution: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s, %.2f %%/C to 25 C, 95 %% interval %.2f to %.2f\n", e.Rule, 100*e.Alpha.Value, 100**e.Alpha.Low, 100**e.Alpha.High)
	// Output:
	// linear, 1.91 %/C to 25 C, 95 % interval 1.88 to 1.93
}
