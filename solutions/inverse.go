package solutions

import (
	"fmt"
	"math"
)

// MolalityFor returns the molality, mol/kg of water, whose [Conductivity] at
// 25 C is kappa25 (uS/cm, of the salt alone). Errors as for [MolalityAt].
func MolalityFor(s Salt, kappa25 float64) (float64, error) { return MolalityAt(s, kappa25, 25) }

// MolalityAt returns the molality, mol/kg of water, whose [Conductivity] at
// tempC (in C) is kappa (uS/cm, of the salt alone), to about 1e-14 of its
// value. It returns a [*RangeError] where no molality of the model has that
// conductivity (the error carries the limits at that temperature), or tempC is
// outside [ModelTempRange].
func MolalityAt(s Salt, kappa, tempC float64) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	if !ModelTempRange.Contains(tempC) {
		return 0, ModelTempRange.Check("conductivity of "+s.Formula, tempC)
	}
	lo, hi := ModelMolalityRange.Low, ModelMolalityRange.High
	if limits := (Range{Low: s.conductivity(lo, tempC), High: s.conductivity(hi, tempC)}); !limits.Contains(kappa) {
		limits.Quantity, limits.Unit = "conductivity", "uS/cm"
		return 0, limits.rounded().Check(fmt.Sprintf("%s solution at %g C", s.Formula, tempC), kappa)
	}
	// Conductivity is close to a power of molality: Newton steps in the
	// logarithms, kept inside a bracket, need about four rounds.
	m := min(hi, max(lo, kappa/s.conductivity(lo, tempC)*lo))
	for range 60 {
		f := s.conductivity(m, tempC)
		switch {
		case f < kappa:
			lo = m
		case f > kappa:
			hi = m
		default:
			return m, nil
		}
		next := m * math.Exp(-math.Log(f/kappa)*f/(m*s.molalitySlope(m, tempC)))
		if math.Abs(next-m) <= 1e-13*m {
			break // the step after this one would be far below rounding
		}
		if !(next >= lo && next <= hi) {
			next = math.Sqrt(lo * hi)
		}
		m = next
	}
	return m, nil
}

// ConductivityRange returns the conductivities, uS/cm, that the model spans at
// tempC (in C), for messages and for planning. Outside [ModelTempRange] it
// returns a [*RangeError].
func ConductivityRange(s Salt, tempC float64) (Range, error) {
	if err := s.check(); err != nil {
		return Range{}, err
	}
	if err := ModelTempRange.Check("conductivity of "+s.Formula, tempC); err != nil {
		return Range{}, err
	}
	return Range{
		Quantity: "conductivity", Unit: "uS/cm",
		Low:  s.conductivity(ModelMolalityRange.Low, tempC),
		High: s.conductivity(ModelMolalityRange.High, tempC),
	}, nil
}

// rounded gives limits that were computed, not declared, in four digits for a
// message, inside the exact ones.
func (r Range) rounded() Range {
	r.Low, r.High = roundTo4(r.Low, math.Ceil), roundTo4(r.High, math.Floor)
	return r
}

func roundTo4(x float64, round func(float64) float64) float64 {
	if x == 0 {
		return 0
	}
	step := math.Pow(10, 3-math.Floor(math.Log10(math.Abs(x))))
	return round(x*step) / step
}
