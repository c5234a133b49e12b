package scenario

import (
	"time"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// What is true of the bottles and nobody knows.
const (
	stockOff          = 0.003  // the stock is stronger than its weighings say
	evaporatedPerDay  = 0.0001 // share of a bottle's content, through the cap
	trueWaterEC       = 9.0    // uS/cm at 25 C; the person believes WaterEC
	benchThermometerC = 0.1    // the thermometer shows so much too much
)

// evaporated is the share of a bottle's content that is gone.
func evaporated(at time.Time) float64 { return evaporatedPerDay * days(Made, at) }

// conductivity is what a bottle truly conducts, in uS/cm, where the thermometer
// shows shownC.
func (b Bottle) conductivity(at time.Time, shownC float64) (kappa, tempC uncert.Value, err error) {
	water := uncert.Exact(trueWaterEC)
	strength := quantity.Quantity{Kind: quantity.MassConcentration, Value: b.Made.Now.MgL.Nominal() * (1 + stockOff) / (1 - evaporated(at))}
	ref, err := solutions.NewSaltReference(solutions.NaCl, strength, uncert.Exact(strength.Value), &water)
	if err != nil {
		return kappa, tempC, err
	}
	tempC = uncert.Exact(shownC - benchThermometerC)
	kappa, err = ref.Conductivity(tempC)
	return kappa, tempC, err
}

// shows is what a perfect meter with this display shows in the bottle.
func (b Bottle) shows(d tempcomp.Display, at time.Time, shownC float64) (float64, error) {
	kappa, tempC, err := b.conductivity(at, shownC)
	if err != nil {
		return 0, err
	}
	v, err := d.Show(kappa, tempC)
	return v.Nominal(), err
}
