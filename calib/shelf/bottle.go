package shelf

import (
	"errors"
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// ErrQuantity is wrapped by the error about a bottle that is no reference for a
// meter: a pH buffer for a conductivity meter, say.
var ErrQuantity = errors.New("a reference of another quantity")

// strengthKinds are the units a strength on record can have.
var strengthKinds = map[string]quantity.Kind{
	"uS/cm": quantity.Conductivity, "mg/L": quantity.MassConcentration, "mg/kg": quantity.MassRatio,
	"mol/kg": quantity.Molality, "mol/L": quantity.AmountConcentration, "ppm": quantity.Display,
}

// Quantity is what a bottle is a reference of: "ec" or "ph".
func Quantity(b logbook.Bottle) string {
	if b.Buffer != "" {
		return "ph"
	}
	return "ec"
}

// Unit is the unit of [True]: "uS/cm" or "pH".
func Unit(b logbook.Bottle) string {
	if b.Buffer != "" {
		return "pH"
	}
	return "uS/cm"
}

// Strength is the strength on record as a quantity.
func Strength(b logbook.Bottle) (quantity.Quantity, error) {
	kind, ok := strengthKinds[b.StrengthUnit]
	if !ok || b.Strength == nil {
		return quantity.Quantity{}, fmt.Errorf("bottle %s has no strength on record", b.Name)
	}
	q := quantity.Quantity{Value: b.Strength.Value, Kind: kind}
	if b.PPMFactor != nil {
		q.Factor = *b.PPMFactor
	}
	q.Text = q.String()
	return q, nil
}

// solution is a bottle of salt solution without its water and impurities.
func solution(b logbook.Bottle) (solutions.SaltReference, error) {
	salt, err := solutions.SaltByFormula(b.Salt)
	if err != nil {
		return solutions.SaltReference{}, err
	}
	strength, err := Strength(b)
	if err != nil {
		return solutions.SaltReference{}, err
	}
	u, err := b.Strength.Uncertain()
	if err != nil {
		return solutions.SaltReference{}, err
	}
	return solutions.NewSaltReference(salt, strength, u, nil)
}

// deviation is how far the content may be from what its name promises.
func deviation(b logbook.Bottle) (uncert.Value, error) {
	if b.Deviation == nil {
		return uncert.Exact(0), nil
	}
	return b.Deviation.Uncertain()
}

// True is what a bottle truly has at a temperature in C: the conductivity in
// uS/cm, uncompensated, or the pH. The temperature carries its own uncertainty
// into it. Errors wrap [solutions.ErrOutOfRange] outside the model's or the
// table's range.
func True(b logbook.Bottle, tempC uncert.Value) (uncert.Value, error) {
	v, err := truth(b, tempC)
	if err != nil {
		return uncert.Value{}, fmt.Errorf("bottle %s: %w", b.Name, err)
	}
	return v, nil
}

func truth(b logbook.Bottle, tempC uncert.Value) (uncert.Value, error) {
	off, err := deviation(b)
	if err != nil {
		return uncert.Value{}, err
	}
	if b.Buffer != "" {
		buffer, err := solutions.BufferByName(b.Buffer)
		if err != nil {
			return uncert.Value{}, err
		}
		point, err := buffer.At(tempC)
		if err != nil {
			return uncert.Value{}, err
		}
		return point.Value.Add(off), nil
	}
	s, err := solution(b)
	if err != nil {
		return uncert.Value{}, err
	}
	salt, err := s.Conductivity(tempC)
	if err != nil {
		return uncert.Value{}, err
	}
	salt = salt.Mul(off.Shift(1))
	if b.WaterEC25 == nil {
		return salt, nil
	}
	ec25, err := b.WaterEC25.Uncertain()
	if err != nil {
		return uncert.Value{}, err
	}
	water, err := solutions.WaterConductivity(ec25, tempC)
	if err != nil {
		return uncert.Value{}, err
	}
	return solutions.AddWater(s.Salt, s.Molality.Nominal(), ec25.Nominal(), tempC.Nominal(), salt, water,
		uncert.Source{ID: ionsID(*b.WaterEC25), Label: solutions.WaterIonsLabel})
}

// waterKind is the first part of the identity of a water's conductivity.
const waterKind = "water-ec:"

// ionsID is the identity of what the ions of a bottle's water do: that of the
// water, as the planner has it. Water whose conductivity is exact has none.
func ionsID(ec25 logbook.Amount) string {
	for _, p := range ec25.Parts {
		if name, ok := strings.CutPrefix(p.Source.ID, waterKind); ok {
			return solutions.WaterIonsID + ":" + name
		}
	}
	return solutions.WaterIonsID
}

// On is what a perfect meter of this kind shows in the bottle at a temperature
// in C: in the unit of its display, after its compensation. Errors as for
// [True] and [Display]; a bottle that is no reference for the meter gives one
// that wraps [ErrQuantity].
func On(b logbook.Bottle, m logbook.Meter, tempC uncert.Value) (uncert.Value, error) {
	if q := Quantity(b); q != m.Quantity {
		return uncert.Value{}, fmt.Errorf("bottle %s is a reference of %s and meter %s measures %s: %w", b.Name, q, m.Name, m.Quantity, ErrQuantity)
	}
	v, err := True(b, tempC)
	if err != nil || b.Buffer != "" {
		return v, err
	}
	d, err := Display(m)
	if err != nil {
		return uncert.Value{}, err
	}
	shown, err := d.Show(v, tempC)
	if err != nil {
		return uncert.Value{}, fmt.Errorf("meter %s in bottle %s: %w", m.Name, b.Name, err)
	}
	return shown, nil
}

// Stated tells whether the bottle's own worth has a stated uncertainty: one
// whose strength was never given any is a figure on a label. What else is left
// out is in [uncert.Value.Unstated] of the value.
func Stated(b logbook.Bottle) bool {
	if b.Buffer != "" {
		return true // of the published table
	}
	if b.Strength == nil {
		return false
	}
	for _, p := range b.Strength.Parts {
		if !p.Stated {
			return false
		}
	}
	return true
}
