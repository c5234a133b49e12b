package reports

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// ReferenceMaker is one kind of reference with what a person said about it. It
// makes the result for one temperature ([NewReference]) or a table along it
// ([NewReferenceTable]).
type ReferenceMaker struct {
	inputs   []ReferenceInput
	at       func(values ...uncert.Value) (evaluation, error)
	along    axis
	warnings []string
}

// evaluation is a reference at one temperature. What is nil belongs to
// conductivity alone.
type evaluation struct {
	point         solutions.Point
	ec25, display *uncert.Value
	displayUnit   string
	meter         string // the meter's display in words
	pressureKPa   *float64
	year          int
	salt          *solutions.SaltReference
}

// axis is what a table of this reference runs along: an input, its range, and
// the rows that are printed unless others are asked for.
type axis struct {
	input    int // index into inputs; -1 for a reference that has no table
	name     string
	unit     string
	kind     quantity.Kind // 0 where the rows are fixed
	what     string        // whose range limits is, for messages
	limits   solutions.Range
	from, to float64
	step     float64
	whyNot   string
}

// temperatureAxis runs along an input that is a temperature within limits.
func temperatureAxis(input int, what string, limits solutions.Range) axis {
	return axis{
		input: input, name: "temperature", unit: "C", kind: quantity.Temperature,
		what: what, limits: limits, from: 5, to: 35, step: 1,
	}
}

// evaluate runs the reference on its inputs.
func (m ReferenceMaker) evaluate(read func(ReferenceInput) (uncert.Value, error)) (evaluation, error) {
	values := make([]uncert.Value, len(m.inputs))
	for i, in := range m.inputs {
		v, err := read(in)
		if err != nil {
			return evaluation{}, err
		}
		values[i] = v
	}
	return m.at(values...)
}

// SaltBottle is what a person says about a bottle of salt solution.
type SaltBottle struct {
	Salt     solutions.Salt
	Strength quantity.Quantity
	Input    ReferenceInput  // of the strength; its Value is set from Strength
	Temp     ReferenceInput  // in C
	Water    *ReferenceInput // conductivity of the water at 25 C in uS/cm; nil if unknown
	Display  tempcomp.Display
}

// StateStrength states the uncertainty of the strength: a fraction of it, or a
// figure in its own unit, up to half of it ([solutions.URelativeRange]). Any
// other unit is an error. A bare 0 is exact whatever its kind.
func (b *SaltBottle) StateStrength(u quantity.Quantity) error {
	size := u.Value
	switch {
	case u.Kind == quantity.Fraction:
		size = u.Value * b.Strength.Value
	case size != 0 && (u.Kind != b.Strength.Kind || u.Factor != b.Strength.Factor):
		return fmt.Errorf("the uncertainty %s has another unit than the strength %s; want a percentage such as 1%%, or the unit of the strength", u, b.Strength)
	}
	if most := solutions.URelativeRange; !most.Contains(100 * size / b.Strength.Value) {
		return fmt.Errorf("the uncertainty %s is more than half of the strength %s; want %s of it", u, b.Strength, most)
	}
	b.Input.U = Known(size)
	return nil
}

// Reference is the bottle as a reference, with what is stated of it.
func (b SaltBottle) Reference() (solutions.SaltReference, error) {
	b.Input.Value = b.Strength.Value
	strength, err := b.Input.uncertain()
	if err != nil {
		return solutions.SaltReference{}, err
	}
	var water *uncert.Value
	if b.Water != nil {
		v, err := b.Water.uncertain()
		if err != nil {
			return solutions.SaltReference{}, err
		}
		water = &v
	}
	return solutions.NewSaltReference(b.Salt, b.Strength, strength, water)
}

// ForSalt is a conductivity reference.
func ForSalt(b SaltBottle) ReferenceMaker {
	b.Input.Value = b.Strength.Value
	m := ReferenceMaker{inputs: []ReferenceInput{b.Input, b.Temp}, along: temperatureAxis(1, b.Salt.Formula+" with this compensation", saltTemps(b.Display))}
	if b.Water != nil {
		m.inputs = append(m.inputs, *b.Water)
	}
	m.at = func(v ...uncert.Value) (evaluation, error) {
		var water *uncert.Value
		if len(v) > 2 {
			water = &v[2]
		}
		bottle, err := solutions.NewSaltReference(b.Salt, b.Strength, v[0], water)
		if err != nil {
			return evaluation{}, err
		}
		return conductivity(bottle, b.Display, v[1])
	}
	return m
}

// saltTemps is the temperatures at which both the salt's model and the meter's
// compensation hold.
func saltTemps(d tempcomp.Display) solutions.Range {
	if d.Rule == nil {
		return solutions.ModelTempRange // Show then says what is missing
	}
	return solutions.ModelTempRange.Within(d.Rule.TempRange())
}

func conductivity(bottle solutions.SaltReference, display tempcomp.Display, tempC uncert.Value) (evaluation, error) {
	kappa, err := bottle.Conductivity(tempC)
	if err != nil {
		return evaluation{}, err
	}
	ec25, err := bottle.EC25()
	if err != nil {
		return evaluation{}, err
	}
	shown, err := display.Show(kappa, tempC)
	if err != nil {
		return evaluation{}, err
	}
	litre, err := solutions.StrengthRange(bottle.Salt, quantity.Quantity{Kind: quantity.MassConcentration})
	if err != nil {
		return evaluation{}, err
	}
	t := tempC.Nominal()
	point := solutions.Point{
		Quantity: "conductivity", Name: fmt.Sprintf("%s, %s", bottle.Salt.Formula, bottle.Strength), TempC: &t,
		Value: kappa, Unit: "uS/cm", Source: bottle.Source(),
		Ranges: []solutions.Range{saltTemps(display), solutions.ModelMolalityRange, litre},
		Notes:  bottle.Notes(), Making: bottle.Making(display.Rule.Name() != tempcomp.NoneName),
	}
	if bottle.Water == nil {
		point.Warnings = append(point.Warnings, fmt.Sprintf("the water's own conductivity is not given (--water-ec) and is left out: each 1 uS/cm of it would add %s", Percent(1/ec25.Nominal(), 2)))
	} else if warning := solutions.WaterWarning(bottle.Water.Nominal()); warning != "" {
		point.Warnings = append(point.Warnings, warning)
	}
	if caution := display.Rule.Caution(); caution != "" {
		point.Notes = append(point.Notes, caution)
	}
	return evaluation{
		point: point, ec25: &ec25, display: &shown,
		displayUnit: display.Scale.Unit, meter: display.String(), salt: &bottle,
	}, nil
}

// ForBuffer is a pH reference; temp is in C.
func ForBuffer(b solutions.Buffer, temp ReferenceInput) ReferenceMaker {
	return ReferenceMaker{
		inputs: []ReferenceInput{temp}, along: temperatureAxis(0, "buffer "+b.Name, b.Range),
		at: func(v ...uncert.Value) (evaluation, error) { return only(b.At(v[0])) },
	}
}

// ForSaturated is a humidity reference; temp and gradient (sensor minus salt)
// are in C.
func ForSaturated(s solutions.SaturatedSalt, temp, gradient ReferenceInput) ReferenceMaker {
	return ReferenceMaker{
		inputs: []ReferenceInput{temp, gradient}, along: temperatureAxis(0, "saturated "+s.Formula, s.Range),
		at: func(v ...uncert.Value) (evaluation, error) { return only(s.At(v[0], v[1])) },
	}
}

// ForIce is the ice point.
func ForIce() ReferenceMaker {
	return ReferenceMaker{
		along: axis{input: -1, whyNot: "the ice point is one temperature"},
		at:    func(...uncert.Value) (evaluation, error) { return only(solutions.IcePoint(), nil) },
	}
}

// ForBoiling is the boiling point; pressure is in kPa.
func ForBoiling(pressure ReferenceInput) ReferenceMaker {
	return ReferenceMaker{
		inputs: []ReferenceInput{pressure},
		along: axis{
			input: 0, name: "pressure", unit: "kPa", kind: quantity.Pressure,
			what: "boiling point", limits: solutions.BoilingPressureRange, from: 70, to: 106, step: 2,
		},
		at: func(v ...uncert.Value) (evaluation, error) {
			e, err := only(solutions.BoilingPoint(v[0]))
			return e.under(v[0]), err
		},
	}
}

// ForOxygen is air-saturated water; temp is in C, pressure in kPa and ec25 in
// uS/cm at 25 C (exact 0 for fresh water). assumed says that nobody gave the
// pressure.
func ForOxygen(temp, pressure, ec25 ReferenceInput, assumed bool) ReferenceMaker {
	m := ReferenceMaker{
		inputs: []ReferenceInput{temp, pressure, ec25}, along: temperatureAxis(0, "oxygen in air-saturated water", solutions.OxygenTempRange),
		at: func(v ...uncert.Value) (evaluation, error) {
			e, err := only(solutions.Oxygen(v[0], v[1], v[2]))
			return e.under(v[1]), err
		},
	}
	if assumed {
		m.warnings = append(m.warnings, "neither --pressure nor --altitude is given: 101.325 kPa, the mean at sea level, is assumed; the value falls by about 3.5 % for each 300 m of altitude")
	}
	return m
}

// ForFreshAir is outdoor air in a year.
func ForFreshAir(year int, site solutions.Site) ReferenceMaker {
	r := solutions.FreshAirRange
	return ReferenceMaker{
		inputs: []ReferenceInput{{Value: float64(year), U: Known(0), Source: uncert.Source{ID: "year", Label: "year"}}},
		along:  axis{input: 0, name: "year", what: "outdoor air", limits: r, from: r.Low, to: r.High, step: 1},
		at: func(v ...uncert.Value) (evaluation, error) {
			e, err := only(solutions.FreshAir(int(v[0].Nominal()), site))
			e.year = int(v[0].Nominal())
			return e, err
		},
	}
}

func only(p solutions.Point, err error) (evaluation, error) { return evaluation{point: p}, err }

// under notes the air pressure of an evaluation.
func (e evaluation) under(pressure uncert.Value) evaluation {
	kPa := pressure.Nominal()
	e.pressureKPa = &kPa
	return e
}
