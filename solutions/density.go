package solutions

import "math"

// WaterDensityRange is where the CIPM formula for water holds.
var WaterDensityRange = Range{Quantity: "temperature", Unit: "C", Low: 0, High: 40}

// UWaterDensity is the standard uncertainty of [WaterDensity] for clean water
// of unknown air content and isotopic composition, kg/m3: the formula's own
// 0.0004 and half of what saturation with air changes, 0.0046.
const UWaterDensity = 0.003

// WaterDensity returns the density of air-free water at 101.325 kPa, kg/m3, at
// tempC (in C, ITS-90), by the CIPM formula:
//
//	ρ = a5 [1 − (t+a1)²(t+a2) / (a3 (t+a4))]
//
// M. Tanaka, G. Girard, R. Davis, A. Peuto, N. Bignell, Metrologia 38 (2001)
// 301. Outside [WaterDensityRange] it returns a [*RangeError].
func WaterDensity(tempC float64) (float64, error) {
	if err := WaterDensityRange.Check("density of water (CIPM 2001)", tempC); err != nil {
		return 0, err
	}
	const (
		a1 = -3.983035
		a2 = 301.797
		a3 = 522528.9
		a4 = 69.34881
		a5 = 999.97495
	)
	t := tempC
	return a5 * (1 - (t+a1)*(t+a1)*(t+a2)/(a3*(t+a4))), nil
}

// apparentDensity holds the parameters of a salt's apparent density.
type apparentDensity struct {
	c        [5]float64
	fraction Range // mass fractions that the parameters were fitted to
	fitted   Range // temperatures that the parameters were fitted to
}

// Parameters of Laliberte and Cooper, J. Chem. Eng. Data 49 (2004) 1141, with
// the values of Laliberte, J. Chem. Eng. Data 54 (2009) 1725.
var (
	naclDensity = apparentDensity{
		c:        [5]float64{-0.00324112223655149, 0.0636354335906616, 1.01371399467365, 0.0145951015210159, 3317.34854426537},
		fraction: Range{Quantity: "mass fraction", Unit: "(g/g)", Low: 0, High: 0.266},
		fitted:   Range{Quantity: "temperature", Unit: "C", Low: 0, High: 140},
	}
	kclDensity = apparentDensity{
		c:        [5]float64{-0.855928945959145, 6.04073571306402, 2.81787416217166, 0.0253924645877338, 2681.61723465886},
		fraction: Range{Quantity: "mass fraction", Unit: "(g/g)", Low: 0, High: 0.264},
		fitted:   Range{Quantity: "temperature", Unit: "C", Low: 5, High: 125},
	}
)

// SolutionDensityRange is where [SolutionDensity] may be asked for. The KCl
// parameters were fitted from 5 C; below that the formula is extrapolated and
// [SolutionDensityU] says so.
var SolutionDensityRange = Range{Quantity: "temperature", Unit: "C", Low: 0, High: 60}

// MassFractionRange returns the mass fractions, g of salt per g of solution,
// for which [SolutionDensity] holds.
func MassFractionRange(s Salt) (Range, error) {
	if err := s.check(); err != nil {
		return Range{}, err
	}
	return s.density.fraction, nil
}

// SolutionDensity returns the density, kg/m3, of a solution with massFraction
// of salt (g per g of solution) at tempC (in C) and normal pressure:
//
//	1/ρ = (1−w)/ρ_w + w/ρ_app
//	ρ_app = (c0 w + c1) exp(10⁻⁶ (t+c4)²) / (w + c2 + c3 t)
//
// M. Laliberte, W.E. Cooper, J. Chem. Eng. Data 49 (2004) 1141, with that
// paper's own ρ_w, so that the parameters mean what they were fitted to. See
// [SolutionDensityU] for the uncertainty. Outside [SolutionDensityRange] or
// [MassFractionRange] it returns a [*RangeError].
func SolutionDensity(s Salt, massFraction, tempC float64) (float64, error) {
	if err := s.checkDensity(massFraction, tempC); err != nil {
		return 0, err
	}
	return s.density.at(massFraction, tempC), nil
}

// SolutionDensityU returns the standard uncertainty of [SolutionDensity],
// kg/m3. Against the handbook tables (International Critical Tables; Pitzer,
// Peiper, Busey, J. Phys. Chem. Ref. Data 13 (1984) 1) the formula is up to
// 0.25 low from 20 C up, and in the cold low by up to 0.4 (10 C) and 1.0 (0 C) at a mass
// fraction of 0.08; both vanish with the salt. Where the KCl parameters are
// extrapolated below 5 C there is up to 0.2 more. Errors as for
// [SolutionDensity].
func SolutionDensityU(s Salt, massFraction, tempC float64) (float64, error) {
	if err := s.checkDensity(massFraction, tempC); err != nil {
		return 0, err
	}
	w := massFraction
	formula := 0.15 * w / (w + 0.002)
	cold := 0.9 * w / (w + 0.03) * max(0, 20-tempC) / 20
	beyond := 0.2 * w / (w + 0.002) * max(0, s.density.fitted.Low-tempC) / 5
	return math.Sqrt(sq(formula) + sq(cold) + sq(beyond) + sq(UWaterDensity)), nil
}

func (s Salt) checkDensity(massFraction, tempC float64) error {
	if err := s.check(); err != nil {
		return err
	}
	if !s.density.fraction.Contains(massFraction) {
		return s.density.fraction.Check("density of "+s.Formula+" solution", massFraction)
	}
	if !SolutionDensityRange.Contains(tempC) {
		return SolutionDensityRange.Check("density of "+s.Formula+" solution", tempC)
	}
	return nil
}

// at evaluates the formula without checking the range.
func (d *apparentDensity) at(w, t float64) float64 {
	rhoW := (((((-2.8054253e-10*t+1.0556302e-7)*t-4.6170461e-5)*t-0.0079870401)*t+16.945176)*t + 999.83952) / (1 + 0.01687985*t)
	rhoApp := (d.c[0]*w + d.c[1]) * math.Exp(1e-6*(t+d.c[4])*(t+d.c[4])) / (w + d.c[2] + d.c[3]*t)
	return 1 / ((1-w)/rhoW + w/rhoApp)
}
