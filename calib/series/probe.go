package series

import (
	"fmt"
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/series/watch"
)

// Probe is a column of a log and what is known of the meter that wrote it.
type Probe struct {
	Column   string
	Timeline *Timeline
	// Low and High are the readings that the meter can show; NaN where nobody
	// said. At High a display stands still, and the truth may be above.
	Low, High float64
	// URead is the standard uncertainty of one reading, in its unit; 0 leaves it
	// out.
	URead float64
	// UTemp is the standard uncertainty of the logged temperature, in C.
	UTemp      float64
	Conversion Conversion
	// StaleAfter is how long after the last calibration a value can be believed;
	// 0 for ever.
	StaleAfter time.Duration
	// Dry tells how to find a probe out of the liquid; nil where that has no
	// meaning.
	Dry *watch.DryLimits
}

func (p *Probe) check() error {
	if p.Timeline == nil || len(p.Timeline.pieces) == 0 {
		return fmt.Errorf("column %s: %w", p.Column, ErrNoCalibration)
	}
	if err := p.Conversion.check(); err != nil {
		return fmt.Errorf("column %s: %w", p.Column, err)
	}
	for name, u := range map[string]float64{"reading": p.URead, "temperature": p.UTemp} {
		if !(u >= 0) || math.IsInf(u, 0) {
			return fmt.Errorf("column %s: the uncertainty of a %s is %v; want 0 or more", p.Column, name, u)
		}
	}
	if p.Low > p.High {
		return fmt.Errorf("column %s: the meter shows from %v to %v; want the lower end first", p.Column, p.Low, p.High)
	}
	if p.StaleAfter < 0 {
		return fmt.Errorf("column %s: calibrations last %v; want a time above 0", p.Column, p.StaleAfter)
	}
	return nil
}
