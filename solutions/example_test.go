package solutions_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// A bottle holds 0.6 g of table salt in 1 kg of water and stands at 18 C. What
// is its conductivity, and what would it be at 25 C?
func Example() {
	molality := uncert.Must(uncert.New(0.6/solutions.NaCl.MolarMass, 5e-5, uncert.Source{ID: "weighing", Label: "salt mass"}))
	for _, tempC := range []float64{18, 25} {
		temp := uncert.Must(uncert.New(tempC, 0.3, uncert.Source{ID: "thermometer", Label: "thermometer"}))
		kappa, err := solutions.ConductivityValue(solutions.NaCl, molality, temp)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%.0f C: %.0f uS/cm, standard uncertainty %.0f, mostly %s\n",
			tempC, kappa.Nominal(), kappa.U(), kappa.Budget()[0].Source.Label)
	}
	// Output:
	// 18 C: 1042 uS/cm, standard uncertainty 9, mostly thermometer
	// 25 C: 1211 uS/cm, standard uncertainty 9, mostly thermometer
}

// Which strength gives the 1413 uS/cm of the shops, with either salt?
func ExampleMolalityFor() {
	for _, s := range solutions.Salts() {
		m, err := solutions.MolalityFor(s, 1413)
		if err != nil {
			fmt.Println(err)
			return
		}
		st, err := solutions.StrengthOf(s, m)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: %.6f mol/kg, %.1f mg/L\n", s, m, st.MgL)
	}
	_, err := solutions.MolalityFor(solutions.NaCl, 1.413e6)
	fmt.Println(err)
	// Output:
	// NaCl: 0.012034 mol/kg, 701.1 mg/L
	// KCl: 0.010037 mol/kg, 745.8 mg/L
	// NaCl solution at 25 C: conductivity 1413000 uS/cm is outside its range, 6.271 to 91140 uS/cm
}
