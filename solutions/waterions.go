package solutions

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
)

// WaterECRange is the conductivities at 25 C that the water of a reference may
// have: from none to hard tap water.
var WaterECRange = Range{Quantity: "conductivity of the water at 25 C", Unit: "uS/cm", Low: 0, High: 2000}

// PlainWaterEC is where water stops being demineralised, in uS/cm at 25 C.
// Common practice, no source.
const PlainWaterEC = 50

// WaterIonsID identifies what the ions of the water do among those of the salt.
const WaterIonsID = "water-ions"

// WaterIonsLabel says it in words.
const WaterIonsLabel = "ions of the water among the salt's"

// WaterWarning says what is wrong with water of this conductivity (uS/cm at
// 25 C) for a reference; "" where it is demineralised.
func WaterWarning(ec25 float64) string {
	if ec25 <= PlainWaterEC {
		return ""
	}
	return fmt.Sprintf("water of %s uS/cm is not demineralised: what is in it is unknown, and its ions and the salt's do not simply add; use demineralised water", shortened(ec25))
}

// WaterIonsExcess returns by how much the plain sum of a salt's conductivity and
// the water's exceeds what both conduct together, uS/cm at tempC (C), if the
// ions of the water are like the salt's:
//
//	κ(m) + κ(m_w) − κ(m + m_w),  κ25(m_w) = ec25
//
// Ions hinder one another, so the more there are the less each conducts, and
// the sum is too high. What the ions of a water are is rarely known; this
// excess is taken as a standard uncertainty of the sum. ec25 is the water's
// conductivity at 25 C in uS/cm. Errors as for [Conductivity], and a
// [*RangeError] for a water outside [WaterECRange].
func WaterIonsExcess(s Salt, molality, ec25, tempC float64) (float64, error) {
	if err := s.checkModel(molality, tempC); err != nil {
		return 0, err
	}
	if err := WaterECRange.Check("water", ec25); err != nil {
		return 0, err
	}
	if ec25 == 0 {
		return 0, nil
	}
	// Conductivity is so nearly proportional to molality up to the end of
	// WaterECRange that each round leaves a tenth of the error or less. Below
	// the model's range the limiting law alone carries it.
	m := ModelMolalityRange.Low
	for range 20 {
		step := ec25 / s.conductivity(m, StrengthTempC)
		m *= step
		if math.Abs(step-1) < 1e-12 {
			break
		}
	}
	sum := s.conductivity(molality, tempC) + s.conductivity(m, tempC)
	return math.Max(0, sum-s.conductivity(molality+m, tempC)), nil
}

// AddWater returns the conductivity (uS/cm at tempC) of a salt's solution,
// salt, with that of the water it was made with, water, added to it: the plain
// sum, and [WaterIonsExcess] as a source of uncertainty named source. Errors as
// for [WaterIonsExcess].
func AddWater(s Salt, molality, ec25, tempC float64, salt, water uncert.Value, source uncert.Source) (uncert.Value, error) {
	excess, err := WaterIonsExcess(s, molality, ec25, tempC)
	if err != nil {
		return uncert.Value{}, err
	}
	return salt.Add(water).With(excess, source)
}
