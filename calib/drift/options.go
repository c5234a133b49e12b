package drift

import (
	"fmt"
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// Options are what is asked beside the entries.
type Options struct {
	Kind      check.Kind          // "" is EC
	Tolerance *quantity.Tolerance // nil: no verdict and no due date
	Now       time.Time           // days are counted in its zone
	Risk      float64             // of being outside tolerance that is accepted; 0 is DefaultRisk
	// Resolution is the step of the display in the unit of the readings; 0
	// where it is not known.
	Resolution float64
	// Logged says that the entries are the days of a log of two probes in one
	// liquid, with the second in the place of the reference (package paired).
	Logged bool
}

// DefaultRisk is the risk accepted unless another is asked for: the same 5 %
// at which package conformity's default rule stops saying pass.
const DefaultRisk = 0.05

// grace is how much later than Now an entry may be: Now may be a day, and
// clocks and zones differ.
const grace = 24 * time.Hour

func (o Options) complete() (Options, error) {
	if o.Kind == "" {
		o.Kind = check.EC
	}
	if o.Risk == 0 {
		o.Risk = DefaultRisk
	}
	switch {
	case !(o.Risk > 0 && o.Risk < 1):
		return o, fmt.Errorf("%w: a risk of %v; want one above 0 and below 1", ErrOptions, o.Risk)
	case o.Now.IsZero():
		return o, fmt.Errorf("%w: no time was given as now", ErrOptions)
	case o.Resolution < 0 || math.IsInf(o.Resolution, 0) || math.IsNaN(o.Resolution):
		return o, fmt.Errorf("%w: a resolution of %v; want 0 or more", ErrOptions, o.Resolution)
	case o.Tolerance != nil && !(o.Tolerance.Value > 0 && !math.IsInf(o.Tolerance.Value, 0)):
		return o, fmt.Errorf("%w: a tolerance of %v; want one above 0", ErrOptions, o.Tolerance.Value)
	}
	return o, nil
}

// limit is the largest error allowed at a reference, in the unit of the report.
func (o Options) limit(ref float64) float64 {
	at := o.Tolerance.At(ref)
	if o.Kind == check.EC {
		return math.Abs(at / ref)
	}
	return math.Abs(at)
}
