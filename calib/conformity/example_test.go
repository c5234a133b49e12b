package conformity_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/conformity"
)

// Two bottles of one stock: the pen reads 6 and 16 uS/cm high, the stock is known to 0.5 % and each
// reading to 4 uS/cm. Is the pen within 2 %?
func Example() {
	j := conformity.Joint{
		Value:  []float64{6, 16},
		Own:    []float64{4, 4},
		Shared: [][]float64{{3.5, 7.1}},
		Limits: []conformity.Limits{conformity.Around(14.1), conformity.Around(28.3)},
	}
	p, err := j.Probability()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.3f: %s\n", p, conformity.Default.Decide(p))
	// Output: 0.891: undecided
}
