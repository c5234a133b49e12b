package agree_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// Two pens in four bottles, in uS/cm; the bottles are worth 0.6 %.
func Example() {
	var rows []agree.Reading
	for i, bottle := range []struct{ ref, pen, other float64 }{
		{600, 603, 551}, {1000, 997, 916}, {1413, 1420, 1296}, {2000, 2004, 1842},
	} {
		ref, own, reading := bottle.ref, 0.006*bottle.ref, 0.004*bottle.ref
		sample := fmt.Sprintf("bottle %d", i+1)
		rows = append(rows,
			agree.Reading{Meter: "P1", Sample: sample, Value: bottle.pen, UValue: &reading, Ref: &ref, URef: &own},
			agree.Reading{Meter: "P2", Sample: sample, Value: bottle.other, UValue: &reading, Ref: &ref, URef: &own})
	}
	set, err := agree.NewSet(rows)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := agree.Compare(set, check.EC, quantity.Tolerance{Value: 0.05, Relative: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	pair := c.Pairs[0]
	ratio, u, _, _ := pair.Ratio()
	fmt.Printf("%s reads %.3f ± %.3f of %s: %s\n", pair.B, ratio, u, pair.A, pair.Verdict)
	for _, m := range c.Meters {
		fmt.Printf("%s against the references: %s, worst error %+.1f %%\n", m.Meter, m.Verdict, 100*m.WorstError)
	}
	// Output:
	// P2 reads 0.916 ± 0.003 of P1: disagree
	// P1 against the references: pass, worst error +0.5 %
	// P2 against the references: fail, worst error -8.4 %
}
