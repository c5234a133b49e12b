package tempcomp

import "github.com/brinemark/brinemark/solutions"

// NaturalWaterRefTempC is the only reference temperature of [NaturalWater], in
// C.
const NaturalWaterRefTempC = 25

// NaturalWater is the non-linear compensation of ISO 7888:1985 (EN 27888:1993)
// to 25 C, F(t) = 1 / f25(t), for 0 to 35.9 C. The factors were measured on
// waters of about 60 to 1000 uS/cm rich in calcium and bicarbonate.
type NaturalWater struct{}

// TempRange returns [solutions.NaturalWaterRange].
func (NaturalWater) TempRange() solutions.Range { return solutions.NaturalWaterRange }

// Factor returns 1 / f25(t). Temperatures outside
// [solutions.NaturalWaterRange] are errors.
func (NaturalWater) Factor(tempC float64) (float64, error) {
	f25, err := solutions.NaturalWaterFactor(tempC)
	if err != nil {
		return 0, err
	}
	return 1 / f25, nil
}

// Slope returns dF/dt.
func (NaturalWater) Slope(tempC float64) (float64, error) {
	f25, err := solutions.NaturalWaterFactor(tempC)
	if err != nil {
		return 0, err
	}
	slope, err := solutions.NaturalWaterSlope(tempC)
	return -slope / (f25 * f25), err
}

// Name returns "natural-water".
func (NaturalWater) Name() string { return NaturalWaterName }

// Caution says what the rule was made for.
func (NaturalWater) Caution() string {
	return "natural-water compensation (ISO 7888) was made for waters of about 60 to 1000 uS/cm rich in calcium and bicarbonate: a salt reference away from 25 C shows another number, which is not an error of the meter"
}

// String returns the rule in words.
func (NaturalWater) String() string { return "natural water (ISO 7888) to 25 C" }
