package plan

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/solutions"
)

// TargetMolality returns the molality, mol per kg of water, of the pure salt
// that a target asks for. A concentration is of pure salt. A conductivity or a
// display value is what the whole bottle has at 25 C, so the water's own, where
// it is known, is subtracted first. Errors: a target above the solubility at
// the water's temperature, outside the conductivity model, or not above the
// water's own conductivity.
func TargetMolality(salt solutions.Salt, q quantity.Quantity, water Water) (float64, error) {
	m, err := targetMolality(salt, q, water)
	if err != nil {
		return 0, fmt.Errorf("target %s: %w", q.Text, err)
	}
	saturated, err := solutions.Solubility(salt, water.TempC.Nominal())
	if err != nil {
		return 0, fmt.Errorf("target %s: %w", q.Text, err)
	}
	if m > saturated {
		return 0, fmt.Errorf("target %s is %s mol/kg, above the solubility of %s, %s mol/kg at %s C; want a weaker target: %w",
			q.Text, figure(m), salt.Formula, figure(saturated), figure(water.TempC.Nominal()), solutions.ErrOutOfRange)
	}
	if err := solutions.ModelMolalityRange.Check("conductivity of "+salt.Formula, m); err != nil {
		return 0, fmt.Errorf("target %s: %w", q.Text, err)
	}
	return m, nil
}

func targetMolality(salt solutions.Salt, q quantity.Quantity, water Water) (float64, error) {
	total := q.Value
	switch q.Kind {
	case quantity.Display:
		if err := quantity.CheckFactor(q.Factor); err != nil {
			return 0, err
		}
		total /= q.Factor
	case quantity.Conductivity:
	default:
		m, err := solutions.Molality(salt, q)
		if err != nil {
			return 0, fmt.Errorf("%w%s", err, saturationHint(salt, water))
		}
		return m, nil
	}
	own := water.EC25.Nominal()
	if total <= own {
		return 0, fmt.Errorf("%s uS/cm in all is not above the water's own %s uS/cm; want a stronger target or purer water", figure(total), figure(own))
	}
	m, err := solutions.MolalityFor(salt, total-own)
	if err != nil && own > 0 {
		return 0, fmt.Errorf("%s uS/cm in all leave %s uS/cm for the salt beside the water's own %s uS/cm: %w", figure(total), figure(total-own), figure(own), err)
	}
	return m, err
}

// saturationHint names the strength of a saturated solution, for a target that
// the tables refuse.
func saturationHint(salt solutions.Salt, water Water) string {
	t := water.TempC.Nominal()
	m, err := solutions.Solubility(salt, t)
	if err != nil {
		return ""
	}
	s, err := solutions.StrengthOf(salt, m)
	if err != nil {
		return ""
	}
	return fmt.Sprintf("; a saturated solution has %s mg/L at %s C", figure(s.MgL), figure(t))
}
