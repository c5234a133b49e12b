package cause_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/cause"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// Two pens in four bottles, in uS/cm. The second is right in three of them.
func Example() {
	var rows []agree.Reading
	for _, bottle := range []struct{ ref, pen, other float64 }{
		{500, 502, 499}, {1000, 997, 1003}, {2000, 2006, 1991}, {3000, 2990, 2315},
	} {
		ref, own, sample := bottle.ref, 0.006*bottle.ref, fmt.Sprintf("%g", bottle.ref)
		rows = append(rows,
			agree.Reading{Meter: "P1", Sample: sample, Value: bottle.pen, Ref: &ref, URef: &own},
			agree.Reading{Meter: "P2", Sample: sample, Value: bottle.other, Ref: &ref, URef: &own})
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
	x := cause.Explain(set, c, cause.Options{})
	fmt.Println(x.Causes[0].Text)
	fmt.Println("trust:", x.Trust)
	// Output:
	// P2 does not follow above about 2300: the top of its range; use it below 2300, dilute what is stronger, or switch its range.
	// trust: P1
}
