package solutions

import "math"

// modelUncertainty declares the relative standard uncertainty of a salt's
// model as independent parts,
//
//	u² = base² + (dilute·d)² + (temp·q²)² + (strong·s)² + (strongTemp·s·q)² + (between·4s(1−s)·q)²
//
// with q = (t−25)/25; d rises smoothly from 0 at 0.01 to 1 at 0.0005 mol/kg
// and below; s rises smoothly from 0 at 0.1 to 1 at 1 mol/kg and above.
type modelUncertainty struct {
	base       float64 // where the tables are best, and of the tables themselves
	dilute     float64 // added where the limiting law takes over
	temp       float64 // added at 0 and 50 C
	strong     float64 // added at 1 mol/kg
	strongTemp float64 // added at 1 mol/kg and 0 or 50 C
	between    float64 // added at 0.3 mol/kg and 0 or 50 C, between tabulated strengths
}

func (u modelUncertainty) at(molality, t float64) float64 {
	q := (t - 25) / 25
	lg := math.Log10(molality)
	d := smoothStep((-2 - lg) / 1.3)
	s := smoothStep(lg + 1)
	return math.Sqrt(sq(u.base) + sq(u.dilute*d) + sq(u.temp*q*q) +
		sq(u.strong*s) + sq(u.strongTemp*s*q) + sq(u.between*4*s*(1-s)*q))
}

// smoothStep rises from 0 at x <= 0 to 1 at x >= 1 with level ends.
func smoothStep(x float64) float64 {
	x = max(0, min(1, x))
	return x * x * (3 - 2*x)
}

func sq(x float64) float64 { return x * x }

// ratioFloor is the relative standard uncertainty of κ(t)/κ(25 C) that is left
// where the parts of the model cancel: the model follows the shape of the
// primary table to 0.03 % (KCl 0.01 mol/kg between 0 and 25 C; Pratt et al.
// 2001). It comes in over ratioFloorC degrees from 25 C.
const (
	ratioFloor  = 0.0003
	ratioFloorC = 3
)

// ratio is the relative standard uncertainty of κ(t)/κ(25 C): what u grows by
// away from 25 C, since the rest is in both, and the floor.
func (u modelUncertainty) ratio(molality, t float64) float64 {
	grown := math.Max(0, sq(u.at(molality, t))-sq(u.at(molality, StrengthTempC)))
	return math.Sqrt(grown + sq(ratioFloor*smoothStep(math.Abs(t-StrengthTempC)/ratioFloorC)))
}

// ConductivityU returns the relative standard uncertainty (k = 1) of
// [Conductivity]: what the model and the tables behind it leave open, not what
// an inexact molality or temperature adds. About:
//
//	            25 C, to 0.1   25 C, 1 mol/kg   5 or 45 C   0 or 50 C, 1 mol/kg
//	KCl         0.05 %         0.05 %           0.05 %      0.06 %
//	NaCl        0.10 %         0.15 %           0.25 %      0.56 %
//
// and 0.1 % for KCl below 0.001 mol/kg. Why, stands beside the figures in
// coefficients.go. Errors as for [Conductivity].
func ConductivityU(s Salt, molality, tempC float64) (float64, error) {
	if err := s.checkModel(molality, tempC); err != nil {
		return 0, err
	}
	return s.conductance.u.at(molality, tempC), nil
}

// ConductivityRatioU returns the relative standard uncertainty (k = 1) of
// κ(t)/κ(25 C) of one solution, for a bottle whose conductivity at 25 C is known
// and is wanted at another temperature. It is 0 at 25 C, and 0.03 % or more from
// 3 C away. Errors as for [Conductivity].
func ConductivityRatioU(s Salt, molality, tempC float64) (float64, error) {
	if err := s.checkModel(molality, tempC); err != nil {
		return 0, err
	}
	return s.conductance.u.ratio(molality, tempC), nil
}
