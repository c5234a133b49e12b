package series

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/tempcomp"
)

// Conversion is what a corrected conductivity is turned into: from the
// display's unit into another, and from the compensation that the meter does
// into one that is wanted. The zero Conversion leaves it as it is.
type Conversion struct {
	Factor float64 // what is wanted for each unit of the display; 0 stands for 1
	// Does is the compensation of the meter, Wanted the one of the result; both
	// nil for none to change. See [tempcomp.None] for a meter without any.
	Does, Wanted tempcomp.Rule
}

// NeedsTemperature tells whether the temperature of the liquid is needed.
func (c Conversion) NeedsTemperature() bool {
	return c.Does != nil && c.Wanted != nil && c.Does != c.Wanted
}

func (c Conversion) check() error {
	switch {
	case c.Factor != 0 && !(c.Factor > 0 && !math.IsInf(c.Factor, 0)):
		return fmt.Errorf("a factor of %v converts nothing; want one above 0", c.Factor)
	case (c.Does == nil) != (c.Wanted == nil):
		return fmt.Errorf("a compensation can be changed only from one rule to another, and one is missing")
	}
	return nil
}

// compiled is a Conversion ready for millions of rows.
type compiled struct {
	factor     float64
	needs      bool
	straight   bool // both rules are linear, or none
	alpha, ref [2]float64
	rules      [2]tempcomp.Rule
	low, high  float64 // temperatures that both rules take
}

func (c Conversion) compile() compiled {
	k := compiled{factor: c.Factor, needs: c.NeedsTemperature()}
	if k.factor == 0 {
		k.factor = 1
	}
	if !k.needs {
		return k
	}
	k.rules = [2]tempcomp.Rule{c.Does, c.Wanted}
	k.straight = true
	k.low, k.high = math.Inf(-1), math.Inf(1)
	for i, r := range k.rules {
		limits := r.TempRange()
		k.low, k.high = max(k.low, limits.Low), min(k.high, limits.High)
		switch r := r.(type) {
		case tempcomp.Linear:
			k.alpha[i], k.ref[i] = r.Alpha, r.RefTempC
		case tempcomp.None:
		default:
			k.straight = false
		}
	}
	return k
}

// at returns what a value is multiplied by at a temperature, and the change of
// that with a degree. ok is false for a temperature outside the rules' ranges.
func (k *compiled) at(tempC float64) (ratio, slope float64, ok bool) {
	if !k.needs {
		return k.factor, 0, true
	}
	if !(tempC >= k.low && tempC <= k.high) {
		return math.NaN(), math.NaN(), false
	}
	var f, s [2]float64
	if k.straight {
		f = [2]float64{1 + k.alpha[0]*(tempC-k.ref[0]), 1 + k.alpha[1]*(tempC-k.ref[1])}
		s = k.alpha
	} else {
		for i, r := range k.rules {
			var err error
			if f[i], err = r.Factor(tempC); err != nil {
				return math.NaN(), math.NaN(), false
			}
			if s[i], err = r.Slope(tempC); err != nil {
				return math.NaN(), math.NaN(), false
			}
		}
	}
	part := k.factor / f[1]
	ratio = part * f[0]
	return ratio, part*s[0] - ratio*s[1]/f[1], true
}
