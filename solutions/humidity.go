package solutions

import (
	"strings"

	"github.com/brinemark/brinemark/calib/uncert"
)

// SaturatedSalt is a salt whose saturated solution, kept with undissolved
// crystals in a small closed box, holds the air over it at a fixed relative
// humidity:
//
//	RH(t) = A0 + A1 t + A2 t² + A3 t³   (%RH, t in C)
//
// L. Greenspan, J. Res. NBS 81A (1977) 89-96, Table 1.
type SaturatedSalt struct {
	Formula string // such as "NaCl"
	Name    string // in words
	Range   Range  // temperatures the equation covers
	Making  Making

	coefficients []float64
	stated       []knot // Greenspan's stated uncertainty U in %RH by temperature in C
	belowC       float64
	belowText    string // a warning for temperatures under belowC
}

// GradientID identifies the difference in temperature between sensor and salt.
const GradientID = "gradient"

// TypicalGradientC is the standard uncertainty, in C, of the difference in
// temperature between a sensor and the salt in the same closed box when both
// have rested for hours. Common practice, no source.
const TypicalGradientC = 0.1

const sourceGreenspan = "L. Greenspan, J. Res. NBS 81A (1977) 89-96; stated U taken as k = 2"

// SaturatedSalts returns all salts by rising humidity.
func SaturatedSalts() []SaturatedSalt {
	out := make([]SaturatedSalt, len(saturatedSalts))
	copy(out, saturatedSalts)
	return out
}

// SaturatedSaltByFormula finds a salt; upper and lower case are the same. The
// error is an [*UnknownNameError] that lists the formulae.
func SaturatedSaltByFormula(formula string) (SaturatedSalt, error) {
	var known []string
	for _, s := range saturatedSalts {
		if strings.EqualFold(s.Formula, strings.TrimSpace(formula)) {
			return s, nil
		}
		known = append(known, s.Formula)
	}
	return SaturatedSalt{}, &UnknownNameError{Kind: "saturated salt", Name: formula, Known: known}
}

// RelativeHumidity returns the relative humidity in %RH over the saturated
// solution at tempC (in C). Outside the salt's range it returns a
// [*RangeError].
func (s SaturatedSalt) RelativeHumidity(tempC float64) (float64, error) {
	if err := s.Range.Check("saturated "+s.Formula, tempC); err != nil {
		return 0, err
	}
	return polynomial(s.coefficients, tempC), nil
}

// At returns the reference point at a temperature in C. gradientC is the
// temperature of the sensor minus that of the salt in C, normally 0 with the
// uncertainty [TypicalGradientC] and the source [GradientID]: a sensor warmer
// than the salt reads low by d ln p_s/dt, about 6 % of the reading per degree,
// which is the largest error at home. Errors as for [SaturatedSalt.RelativeHumidity].
func (s SaturatedSalt) At(tempC, gradientC uncert.Value) (Point, error) {
	t := tempC.Nominal()
	if err := s.Range.Check("saturated "+s.Formula, t); err != nil {
		return Point{}, err
	}
	value, err := uncert.Apply(func(x ...float64) (float64, error) {
		rh, err := s.RelativeHumidity(x[0])
		return rh * (1 - x[1]*saturationSlope(t)), err
	}, tempC, gradientC)
	if err != nil {
		return Point{}, err
	}
	value, err = value.With(at(s.stated, t)/2, uncert.Source{ID: "humidity:" + s.Formula, Label: "published humidity over the salt"})
	if err != nil {
		return Point{}, err
	}
	p := Point{
		Quantity: "humidity", Name: "air over saturated " + s.Formula + " (" + s.Name + ")", TempC: &t,
		Value: value, Unit: "%RH", Source: sourceGreenspan,
		Ranges: []Range{s.Range},
		Notes: []string{
			"a sensor warmer than the salt reads low by about 6 % of the reading per degree: that is the gradient in u",
			"careless preparation can cost more than 5 %RH (Carotenuto, Dell'Isola, Int. J. Thermophys. 17 (1996) 1423)",
		},
		Making: s.Making,
	}
	if t < s.belowC {
		p.Warnings = append(p.Warnings, s.belowText)
	}
	return p, nil
}
