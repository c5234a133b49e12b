package plan

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// Ranges of what may be said of the water; those of its conductivity are
// [solutions.WaterECRange] and [solutions.UWaterECRange].
var (
	WaterTempRange = solutions.Range{Quantity: "temperature of the water", Unit: "C", Low: 0, High: 40}
	UTempRange     = solutions.UTempRange
)

// What is taken where a person says nothing. Common practice, no source.
const (
	defaultTempC  = 20
	defaultUTempC = 3
)

// WaterSpec is what a person says of the water. nil means that nothing was
// said, 0 is a stated zero.
type WaterSpec struct {
	// ID is the identity of this water. Empty stands for "water".
	ID string
	// EC25 is the water's own conductivity at 25 C in uS/cm and UEC25 its
	// standard uncertainty. Without EC25 the water's share is unknown and
	// left out of every value.
	EC25, UEC25 *float64
	// TempC is the temperature of water and air when weighing (default
	// 20 C), and UTempC its standard uncertainty (default, with the default
	// temperature, 3 C).
	TempC, UTempC *float64
}

// Water is the water with what is known of it.
type Water struct {
	ID    string
	EC25  uncert.Value // uS/cm; 0 with an unstated source where unknown
	Known bool         // whether EC25 was given
	TempC uncert.Value
	// Assumptions and Warnings are in words for the person at the bench.
	Assumptions, Warnings []string
}

// NewWater checks what a person says of the water and completes it. Errors:
// figures outside their ranges, an uncertainty without its value.
func NewWater(spec WaterSpec) (Water, error) {
	w := Water{ID: spec.ID}
	if w.ID == "" {
		w.ID = "water"
	}
	if err := w.setEC(spec); err != nil {
		return Water{}, err
	}
	if err := w.setTemp(spec); err != nil {
		return Water{}, err
	}
	return w, nil
}

func (w *Water) setEC(spec WaterSpec) error {
	s := uncert.Source{ID: kindWaterEC.id(w.ID), Label: "water's own conductivity"}
	if spec.EC25 == nil {
		if spec.UEC25 != nil {
			return fmt.Errorf("water: an uncertainty of %s uS/cm was given without the conductivity it belongs to; give both", figure(*spec.UEC25))
		}
		w.EC25 = uncert.Unstated(0, s)
		w.Warnings = append(w.Warnings, "the water's own conductivity was not given: it is unknown and left out; demineralised water has 1 to 10 uS/cm (common practice), to be added to every value here")
		return nil
	}
	if err := solutions.WaterECRange.Check("water", *spec.EC25); err != nil {
		return err
	}
	w.Known = true
	if warning := solutions.WaterWarning(*spec.EC25); warning != "" {
		w.Warnings = append(w.Warnings, warning)
	}
	if spec.UEC25 == nil {
		w.EC25 = uncert.Unstated(*spec.EC25, s)
		w.Warnings = append(w.Warnings, "the uncertainty of the water's conductivity was not given: it is unknown, not zero, and is missing from every u; it is usually measured with the very pen in doubt, so a tenth of it is a fair guess (common practice)")
		return nil
	}
	if err := solutions.UWaterECRange.Check("water", *spec.UEC25); err != nil {
		return err
	}
	var err error
	if w.EC25, err = uncert.New(*spec.EC25, *spec.UEC25, s); err != nil {
		return fmt.Errorf("water: %w", err)
	}
	if *spec.EC25 > 0 {
		w.Assumptions = append(w.Assumptions, "the water's conductivity is usually measured with the very pen in doubt: let its uncertainty cover that")
	}
	return nil
}

func (w *Water) setTemp(spec WaterSpec) error {
	s := uncert.Source{ID: kindWaterTemp.id(w.ID), Label: "temperature"}
	if spec.TempC == nil {
		if spec.UTempC != nil {
			return fmt.Errorf("water: an uncertainty of %s C was given without the temperature it belongs to; give both", figure(*spec.UTempC))
		}
		w.Assumptions = append(w.Assumptions, "water and room at 20 C with u 3 C (not given; by mass it hardly matters)")
		var err error
		w.TempC, err = uncert.New(defaultTempC, defaultUTempC, s)
		return err
	}
	if err := WaterTempRange.Check("water", *spec.TempC); err != nil {
		return err
	}
	if spec.UTempC == nil {
		w.TempC = uncert.Unstated(*spec.TempC, s)
		return nil
	}
	if err := UTempRange.Check("water", *spec.UTempC); err != nil {
		return err
	}
	var err error
	w.TempC, err = uncert.New(*spec.TempC, *spec.UTempC, s)
	return err
}

// buoyancyTempC is the temperature for the buoyancy of what is weighed. There a
// thermometer that is wrong by 10 C is wrong by 3e-6 of a mass, so that an
// uncertainty nobody stated is taken as that and nothing is left out; for
// water that is poured it would matter, see [Water.TempC].
func (w Water) buoyancyTempC() (uncert.Value, error) {
	unstated := w.TempC.Unstated()
	if len(unstated) == 0 {
		return w.TempC, nil
	}
	return uncert.New(w.TempC.Nominal(), 10, unstated[0])
}
