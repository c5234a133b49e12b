package solutions

import "math"

// modelUncertainty declares the relative standard uncertainty of a salt's
// model as independent parts:
//
//	u² = base² + (dilute·d)² + (warm·q²)² + (strong·s)²
//
// with q = (t−25)/25, d rising smoothly from 0 above 0.01 mol/kg to 1 at
// 0.0005 mol/kg and s from 0 below 0.1 to 1 at 1 mol/kg.
type modelUncertainty struct {
	base, dilute, warm, strong float64
}

func (u modelUncertainty) at(molality, t float64) float64 {
	q := (t - 25) / 25
	lg := math.Log10(molality)
	d := smoothStep((-2 - lg) / 1.3)
	s := smoothStep(lg + 1)
	return math.Sqrt(sq(u.base) + sq(u.dilute*d) + sq(u.warm*q*q) + sq(u.strong*s))
}

// smoothStep rises from 0 at x <= 0 to 1 at x >= 1 with level ends.
func smoothStep(x float64) float64 {
	x = max(0, min(1, x))
	return x * x * (3 - 2*x)
}

func sq(x float64) float64 { return x * x }

// ConductivityU returns the relative standard uncertainty (k = 1) of
// [Conductivity]: what the model and the tables behind it leave open, not what
// an inexact molality or temperature adds. Errors as for [Conductivity].
func ConductivityU(s Salt, molality, tempC float64) (float64, error) {
	if err := s.checkModel(molality, tempC); err != nil {
		return 0, err
	}
	return s.conductance.u.at(molality, tempC), nil
}
