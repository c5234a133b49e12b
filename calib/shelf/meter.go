package shelf

import (
	"errors"
	"fmt"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
)

// ErrUnit is wrapped by the error about a figure in a unit a meter does not have.
var ErrUnit = errors.New("another unit")

// Display is how a conductivity meter on record shows what it measures. It is
// an error for a meter of something else, or one whose compensation is not on
// record.
func Display(m logbook.Meter) (tempcomp.Display, error) {
	if m.Quantity != "ec" {
		return tempcomp.Display{}, fmt.Errorf("meter %s measures %s and shows no conductivity", m.Name, m.Quantity)
	}
	if m.Compensation == "" {
		return tempcomp.Display{}, fmt.Errorf("the compensation of meter %s is not on record; add it with: meter add %s … --compensation … --correct", m.Name, m.Name)
	}
	var d tempcomp.Display
	var err error
	if d.Scale, err = scale(m); err != nil {
		return d, fmt.Errorf("meter %s: %w", m.Name, err)
	}
	alpha, refTempC := 0.0, float64(tempcomp.NaturalWaterRefTempC)
	if m.Alpha != nil {
		alpha = *m.Alpha
	}
	if m.RefTempC != nil {
		refTempC = *m.RefTempC
	}
	if d.Rule, err = tempcomp.ParseRule(m.Compensation, alpha, refTempC); err != nil {
		return d, fmt.Errorf("meter %s: %w", m.Name, err)
	}
	return d, nil
}

func scale(m logbook.Meter) (tempcomp.Scale, error) {
	factor := 0.0
	if m.PPMFactor != nil {
		factor = *m.PPMFactor
	}
	return tempcomp.ParseScale(m.Unit, factor)
}

// FigureKinds are the kinds of quantity a figure of a meter can be typed in; a
// number without a unit is in the meter's own.
func FigureKinds() []quantity.Kind {
	return []quantity.Kind{quantity.Conductivity, quantity.Display, quantity.Temperature, quantity.Fraction, quantity.MassConcentration}
}

// Figure gives a quantity (a step, an end of the range, a tolerance) in the
// unit of a meter's readings. A unit that the meter does not have is an error
// that wraps [ErrUnit].
func Figure(m logbook.Meter, q quantity.Quantity) (float64, error) {
	fault := fmt.Errorf("%s for a meter of %s that shows %s: %w; want a figure in %s", q, m.Quantity, UnitText(m), ErrUnit, UnitText(m))
	switch {
	case m.Quantity == "ec" && (q.Kind == quantity.Conductivity || q.Kind == quantity.Display):
		s, err := scale(m)
		if err != nil {
			return 0, err
		}
		if q.Kind == quantity.Conductivity {
			return s.Factor * q.Value, nil
		}
		if s.Unit != tempcomp.PPMUnit || s.Factor != q.Factor {
			return 0, fault
		}
		return q.Value, nil
	case m.Quantity == "temperature" && q.Kind == quantity.Temperature,
		m.Quantity == "oxygen" && q.Kind == quantity.MassConcentration:
		return q.Value, nil
	case m.Quantity == "humidity" && q.Kind == quantity.Fraction:
		const percent = 100
		return percent * q.Value, nil
	}
	return 0, fault
}

func unitName(m logbook.Meter) string {
	if m.Unit == "" {
		return "a number without a unit"
	}
	return m.Unit
}
