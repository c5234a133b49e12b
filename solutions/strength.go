package solutions

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/quantity"
)

// StrengthTempC is the temperature, C, to which strengths per volume and
// conductivities refer: mg/L, mol/L and uS/cm of a solution at 25 C.
const StrengthTempC = 25.0

// Strength is one solution in every unit people use, of pure salt.
type Strength struct {
	MolKg float64 // molality, mol per kg of water
	MgKg  float64 // mg per kg of solution
	MgL   float64 // mg per L of solution at 25 C
	MolL  float64 // mol per L of solution at 25 C
	// EC25 is the conductivity of the salt alone at 25 C, uS/cm; nil where the
	// solution is outside the conductivity model, as a stock solution is.
	EC25 *float64
}

// StrengthOf returns a solution of the given molality (mol/kg of water) in all
// units. It returns a [*RangeError] for a molality whose mass fraction is
// outside [MassFractionRange]. Zero is allowed: plain water.
func StrengthOf(s Salt, molality float64) (Strength, error) {
	w, err := MassFraction(s, molality)
	if err != nil {
		return Strength{}, err
	}
	rho := s.density.at(w, StrengthTempC)
	out := Strength{MolKg: molality, MgKg: w * 1e6, MgL: w * rho * 1e3, MolL: w * rho / s.MolarMass}
	if ModelMolalityRange.Contains(molality) {
		ec25 := s.conductivity(molality, StrengthTempC)
		out.EC25 = &ec25
	}
	return out, nil
}

// Molality returns the molality, mol/kg of water, of a strength that a person
// wrote in any of the units of [quantity.Strengths]: mol/kg; mg/kg of solution;
// mg/L or mol/L of solution at 25 C; uS/cm of the salt alone at 25 C; ppm on a
// display with a factor. A quantity of another kind is an error that names the
// kinds that would do; a strength that the density or the conductivity model
// does not reach is a [*RangeError].
func Molality(s Salt, q quantity.Quantity) (float64, error) {
	switch q.Kind {
	case quantity.Molality:
		if _, err := MassFraction(s, q.Value); err != nil {
			return 0, err
		}
		return q.Value, nil
	case quantity.MassRatio:
		return MolalityFromMassFraction(s, q.Value/1e6)
	case quantity.MassConcentration:
		return MolalityFromMassConcentration(s, q.Value)
	case quantity.AmountConcentration:
		return MolalityFromAmountConcentration(s, q.Value)
	case quantity.Conductivity:
		return MolalityFor(s, q.Value)
	case quantity.Display:
		return MolalityFromDisplay(s, q.Value, q.Factor)
	}
	return 0, notAStrength(q)
}

// StrengthRange returns the strengths that the conductivity model covers
// ([ModelMolalityRange]), in the unit that q was typed in. A quantity that is no
// strength is an error, and so is a factor outside [quantity.CheckFactor].
func StrengthRange(s Salt, q quantity.Quantity) (Range, error) {
	if err := s.check(); err != nil {
		return Range{}, err
	}
	if q.Kind == quantity.Display {
		if err := quantity.CheckFactor(q.Factor); err != nil {
			return Range{}, err
		}
	}
	unit, perBase := q.TypedUnit()
	out := Range{Quantity: q.Kind.String(), Unit: unit}
	for molality, into := range map[float64]*float64{ModelMolalityRange.Low: &out.Low, ModelMolalityRange.High: &out.High} {
		limit, err := StrengthOf(s, molality)
		if err != nil {
			return Range{}, err
		}
		inBase, err := limit.in(q)
		if err != nil {
			return Range{}, err
		}
		*into = inBase * perBase
	}
	return out, nil
}

// in is the strength as a quantity of q's kind, in the base unit.
func (s Strength) in(q quantity.Quantity) (float64, error) {
	switch q.Kind {
	case quantity.Molality:
		return s.MolKg, nil
	case quantity.MassRatio:
		return s.MgKg, nil
	case quantity.MassConcentration:
		return s.MgL, nil
	case quantity.AmountConcentration:
		return s.MolL, nil
	case quantity.Conductivity:
		return *s.EC25, nil // the molality is inside the model
	case quantity.Display:
		return *s.EC25 * q.Factor, nil
	}
	return 0, notAStrength(q)
}

func notAStrength(q quantity.Quantity) error {
	return fmt.Errorf("%s is a %s, not the strength of a solution; want one such as 1413uS/cm, 600mg/L, 600mg/kg, 0.01mol/kg, 0.01mol/L or 600ppm@0.5", q, q.Kind)
}

// MassFraction returns g of salt per g of solution for a molality (mol/kg of
// water). It returns a [*RangeError] outside [MassFractionRange], and for a
// negative or non-finite molality.
func MassFraction(s Salt, molality float64) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	limits := Range{
		Quantity: "molality", Unit: "mol/kg",
		Low: 0, High: s.molalityOf(s.density.fraction.High),
	}
	if !limits.Contains(molality) {
		return 0, limits.rounded().Check(s.Formula+" solution", molality)
	}
	return s.massFraction(molality), nil
}

// MolalityFromMassFraction returns mol of salt per kg of water for w, g of
// salt per g of solution. Outside [MassFractionRange] it returns a
// [*RangeError].
func MolalityFromMassFraction(s Salt, w float64) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	if !s.density.fraction.Contains(w) {
		return 0, s.density.fraction.Check(s.Formula+" solution", w)
	}
	return s.molalityOf(w), nil
}

// MolalityFromMassConcentration returns mol of salt per kg of water for mgL,
// mg of salt per L of solution at 25 C. It returns a [*RangeError] for a
// concentration whose mass fraction is outside [MassFractionRange].
func MolalityFromMassConcentration(s Salt, mgL float64) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	w, err := s.massFractionFromMassConcentration(mgL)
	if err != nil {
		return 0, err
	}
	return s.molalityOf(w), nil
}

// MolalityFromAmountConcentration returns mol of salt per kg of water for
// molL, mol of salt per L of solution at 25 C. Errors as for
// [MolalityFromMassConcentration].
func MolalityFromAmountConcentration(s Salt, molL float64) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	limits := s.massConcentrationLimits()
	limits.Quantity, limits.Unit = "amount concentration", "mol/L"
	limits.High /= 1e3 * s.MolarMass
	if !limits.Contains(molL) {
		return 0, limits.rounded().Check(s.Formula+" solution", molL)
	}
	return MolalityFromMassConcentration(s, min(molL*s.MolarMass*1e3, s.massConcentrationLimits().High))
}

// MolalityFromDisplay returns mol of salt per kg of water for a display value
// of a meter that multiplies uS/cm at 25 C by factor (ppm per uS/cm). The
// errors are those of [quantity.CheckFactor] and [MolalityFor].
func MolalityFromDisplay(s Salt, ppm, factor float64) (float64, error) {
	if err := quantity.CheckFactor(factor); err != nil {
		return 0, err
	}
	m, err := MolalityFor(s, ppm/factor)
	if err != nil {
		return 0, fmt.Errorf("%gppm@%g is %g uS/cm: %w", ppm, factor, ppm/factor, err)
	}
	return m, nil
}

func (s Salt) massConcentrationLimits() Range {
	w := s.density.fraction.High
	return Range{Quantity: "mass concentration", Unit: "mg/L", Low: 0, High: 1e3 * w * s.density.at(w, StrengthTempC)}
}

// massFractionFromMassConcentration solves w ρ(w) = mgL. Density changes
// little with w, so each round of w ← mgL/ρ(w) shrinks the error fivefold or
// better.
func (s Salt) massFractionFromMassConcentration(mgL float64) (float64, error) {
	limits := s.massConcentrationLimits()
	if !limits.Contains(mgL) {
		return 0, limits.rounded().Check(s.Formula+" solution", mgL)
	}
	w := mgL / 1e6
	for range 60 {
		next := mgL / (1e3 * s.density.at(w, StrengthTempC))
		if next == w {
			break
		}
		w = next
	}
	return min(w, s.density.fraction.High), nil
}

// massFraction and molalityOf convert without checking the range.
func (s Salt) massFraction(molality float64) float64 {
	g := molality * s.MolarMass // g of salt per kg of water
	return g / (1000 + g)
}

func (s Salt) molalityOf(w float64) float64 { return 1000 * w / ((1 - w) * s.MolarMass) }
