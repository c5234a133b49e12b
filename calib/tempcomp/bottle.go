package tempcomp

import (
	"errors"
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// Bottle is a liquid whose conductivity is known at every temperature, up to a
// common factor: that a bottle is somewhat stronger than its label plays no
// part in how a meter compensates. Make one with [NewBottle] or [SaltBottle].
type Bottle struct {
	kappa  func(tempC float64) (float64, error)
	shapeU func(tempC float64) (float64, error)
	shape  uncert.Source
	// strength is the bottle's over its label: 1, with its sources.
	strength uncert.Value
}

// NewBottle describes a liquid. kappa returns its conductivity in uS/cm
// (uncompensated) at a temperature in C. shapeU returns the relative standard
// uncertainty of kappa(t)/kappa(25 C), which is 0 at 25 C. Its error is taken
// as one source, shape, that has the opposite sign on the other side of 25 C:
// of all smooth errors, those bend the coefficient most.
func NewBottle(kappa, shapeU func(tempC float64) (float64, error), shape uncert.Source) (Bottle, error) {
	if kappa == nil || shapeU == nil || shape.ID == "" {
		return Bottle{}, errors.New("a bottle needs its conductivity by temperature, the uncertainty of that, and the name of its source")
	}
	return Bottle{kappa: kappa, shapeU: shapeU, shape: shape,
		strength: uncert.Unstated(1, uncert.Source{ID: solutions.StrengthID, Label: "strength"})}, nil
}

// ReferenceBottle is a bottle that is described as a reference, so that how
// well its strength is known is known too: [Examine] then tells the meter's
// gain from the bottle's. Errors as for [SaltBottle].
func ReferenceBottle(r solutions.SaltReference) (Bottle, error) {
	var water float64
	if r.Water != nil {
		water = r.Water.Nominal()
	}
	b, err := SaltBottle(r.Salt, r.Molality.Nominal(), water)
	if err != nil {
		return Bottle{}, err
	}
	ec25, err := r.EC25()
	if err != nil {
		return Bottle{}, err
	}
	b.strength = ec25.Scale(1 / ec25.Nominal())
	return b, nil
}

// SaltBottle is a bottle of salt in water: molality in mol/kg, waterEC25 the
// water's own conductivity in uS/cm at 25 C (0 to leave it out). The shape's
// uncertainty is that of the salt model ([solutions.ConductivityRatioU]) and
// that of the water. Errors as for [solutions.Conductivity] and
// [solutions.WaterConductivity] at 25 C.
func SaltBottle(s solutions.Salt, molality, waterEC25 float64) (Bottle, error) {
	parts := func(tempC float64) (salt float64, water uncert.Value, err error) {
		if salt, err = solutions.Conductivity(s, molality, tempC); err != nil {
			return 0, water, err
		}
		water, err = solutions.WaterConductivity(uncert.Exact(waterEC25), uncert.Exact(tempC))
		return salt, water, err
	}
	kappa := func(tempC float64) (float64, error) {
		salt, water, err := parts(tempC)
		return salt + water.Nominal(), err
	}
	if _, err := kappa(25); err != nil {
		return Bottle{}, err
	}
	shapeU := func(tempC float64) (float64, error) {
		salt, water, err := parts(tempC)
		if err != nil {
			return 0, err
		}
		u, err := solutions.ConductivityRatioU(s, molality, tempC)
		if err != nil {
			return 0, err
		}
		return math.Hypot(u*salt, water.U()) / (salt + water.Nominal()), nil
	}
	return NewBottle(kappa, shapeU, uncert.Source{
		ID: "temperature shape:" + s.Formula, Label: fmt.Sprintf("how the conductivity of %s follows temperature", s.Formula),
	})
}

// at returns ln κ, its derivative by temperature and the signed relative
// uncertainty of its shape.
func (b Bottle) at(tempC float64) (ln, slope, shapeU float64, err error) {
	ln, err = b.ln(tempC)
	if err != nil {
		return 0, 0, 0, err
	}
	const h = 0.01
	up, errUp := b.ln(tempC + h)
	down, errDown := b.ln(tempC - h)
	switch {
	case errUp == nil && errDown == nil:
		slope = (up - down) / (2 * h)
	case errUp == nil:
		slope = (up - ln) / h
	case errDown == nil:
		slope = (ln - down) / h
	default:
		return 0, 0, 0, errUp
	}
	shapeU, err = b.shapeU(tempC)
	if err == nil && !(shapeU >= 0 && shapeU < 1) {
		err = fmt.Errorf("relative uncertainty of the bottle's conductivity at %g C is %g; want 0 to 1", tempC, shapeU)
	}
	return ln, slope, math.Copysign(shapeU, tempC-25), err
}

func (b Bottle) ln(tempC float64) (float64, error) {
	k, err := b.kappa(tempC)
	if err != nil {
		return 0, err
	}
	if !(k > 0) || math.IsInf(k, 1) {
		return 0, fmt.Errorf("conductivity of the bottle at %g C is %g uS/cm; want above 0: %w", tempC, k, ErrOutOfRange)
	}
	return math.Log(k), nil
}
