package shelf

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// SourceID begins the identity of the error that bottles of one source share.
const SourceID = "source:"

// StrengthDoubt is what a person says of the uncertainty of a strength:
// standard uncertainties in its unit; nil where nothing was said.
type StrengthDoubt struct {
	Own *float64
	// Source is what the bottle was made from, and Shared what all bottles of
	// that source share fully.
	Source string
	Shared *float64
}

// SetStrength makes a bottle one of a salt solution. The name of the bottle
// must be set: the error of its strength belongs to it. Errors as for
// [solutions.NewSaltReference].
func SetStrength(b *logbook.Bottle, salt solutions.Salt, strength quantity.Quantity, d StrengthDoubt) error {
	own := uncert.Source{ID: solutions.StrengthID + ":" + b.Name, Label: "strength of " + b.Name}
	v := uncert.Unstated(strength.Value, own)
	var err error
	if d.Own != nil {
		if v, err = uncert.New(strength.Value, *d.Own, own); err != nil {
			return err
		}
	}
	if d.Shared != nil {
		if v, err = v.With(*d.Shared, uncert.Source{ID: SourceID + d.Source, Label: d.Source}); err != nil {
			return err
		}
	}
	if _, err := solutions.NewSaltReference(salt, strength, v, nil); err != nil {
		return err
	}
	b.Salt, b.Strength = salt.Formula, logbook.Keep(v)
	for unit, kind := range strengthKinds {
		if kind == strength.Kind {
			b.StrengthUnit = unit
		}
	}
	if strength.Kind == quantity.Display {
		factor := strength.Factor
		b.PPMFactor = &factor
	}
	return nil
}

// UncertaintyOf gives the uncertainty of a strength, stated as a fraction of it
// or in its own unit, in the base unit of the strength. Another unit is an
// error that wraps [ErrUnit].
func UncertaintyOf(strength, u quantity.Quantity) (float64, error) {
	switch {
	case u.Kind == quantity.Fraction:
		return u.Value * strength.Value, nil
	case u.Value == 0, u.Kind == strength.Kind && u.Factor == strength.Factor:
		return u.Value, nil
	}
	return 0, fmt.Errorf("%s of a strength of %s: %w; want a percentage such as 1%%, or the unit of the strength", u, strength, ErrUnit)
}

// SetWater puts the water's own conductivity (uS/cm at 25 C) and its standard
// uncertainty on a bottle; nil where nobody knows.
func SetWater(b *logbook.Bottle, ec25, u *float64) error {
	if ec25 == nil {
		return nil
	}
	s := uncert.Source{ID: "water-ec:" + b.Name, Label: "water's own conductivity"}
	v := uncert.Unstated(*ec25, s)
	if u != nil {
		var err error
		if v, err = uncert.New(*ec25, *u, s); err != nil {
			return err
		}
	}
	if err := solutions.WaterECRange.Check("water", *ec25); err != nil {
		return err
	}
	b.WaterEC25 = logbook.Keep(v)
	return nil
}

// SetBuffer makes a bottle one of a pH buffer. One mixed at home, of which some
// must not be, has an error of its own from that.
func SetBuffer(b *logbook.Bottle, buffer solutions.Buffer, homeMixed bool) error {
	b.Buffer = buffer.Name
	if !homeMixed {
		return nil
	}
	if reason := buffer.Making.NotAtHome; reason != "" {
		return fmt.Errorf("buffer %s is not to be mixed at home: %s", buffer.Name, reason)
	}
	v, err := uncert.New(0, solutions.HomeMixedBufferU, uncert.Source{ID: "home-mixed:" + b.Name, Label: "mixing at home"})
	if err != nil {
		return err
	}
	b.Deviation = logbook.Keep(v)
	return nil
}
