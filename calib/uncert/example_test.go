package uncert_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Two bottles are weighed from one jar of salt. The jar's purity is known to
// 0.5 %; each weighing to 1 %. The ratio of the bottles does not depend on the
// jar at all.
func Example() {
	purity := uncert.Must(uncert.New(0.99, 0.005, uncert.Source{ID: "jar 1", Label: "purity of jar 1"}))
	first := uncert.Must(uncert.New(1.00, 0.01, uncert.Source{ID: "weighing 1", Label: "first weighing"})).Mul(purity)
	second := uncert.Must(uncert.New(2.00, 0.02, uncert.Source{ID: "weighing 2", Label: "second weighing"})).Mul(purity)

	ratio, err := second.Div(first)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range second.Budget() {
		fmt.Printf("%-16s %4.1f %% of the variance\n", s.Source.Label, 100*s.Fraction)
	}
	fmt.Printf("second bottle %.3f g, u = %.3f g\n", second.Nominal(), second.U())
	fmt.Printf("ratio %.3f, u = %.3f, from the jar %.3f\n", ratio.Nominal(), ratio.U(), ratio.Part("jar 1"))
	// Output:
	// second weighing  79.7 % of the variance
	// purity of jar 1  20.3 % of the variance
	// second bottle 1.980 g, u = 0.022 g
	// ratio 2.000, u = 0.028, from the jar 0.000
}
