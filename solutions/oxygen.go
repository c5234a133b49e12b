package solutions

import (
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Ranges of [OxygenSaturation]: Benson and Krause, and for the conductivity
// what their 40 g/kg of salinity come to.
var (
	OxygenTempRange     = Range{Quantity: "temperature", Unit: "C", Low: 0, High: 40}
	OxygenPressureRange = Range{Quantity: "pressure", Unit: "kPa", Low: 0.5 * atmosphereKPa, High: 1.1 * atmosphereKPa}
	OxygenECRange       = Range{Quantity: "conductivity at 25 C", Unit: "uS/cm", Low: 0, High: 59000}
)

// StandardPressureKPa is the standard atmosphere in kPa, the pressure that
// tables of oxygen are printed for.
const StandardPressureKPa = atmosphereKPa

const atmosphereKPa = 101.325

// Relative standard uncertainties of an oxygen reference.
const (
	oxygenEquationU = 0.002 // the equation; its authors claim about 0.1 % (from memory)
	oxygenSaltU     = 0.30  // of the salinity correction: it was measured on sea salt. Recommendation, no source
)

// OxygenSaturation returns the oxygen in water in equilibrium with moist air,
// in mg/L, at tempC (C), an air pressure in kPa and the water's conductivity
// at 25 C in uS/cm (0 for fresh water):
//
//	DO = DO0(t) · Fs(t, EC) · Fp(t, p)
//	ln DO0 = A0 + A1/T + A2/T² + A3/T³ + A4/T⁴
//	Fs = exp(−S (0.017674 − 10.754/T + 2140.7/T²)),  S = 5.572e-4 EC + 2.02e-9 EC²
//	Fp = (P−u)(1−θP) / ((1−u)(1−θ)),  P and vapour pressure u in atm
//
// B.B. Benson, D. Krause, Limnol. Oceanogr. 25 (1980) 662 and 29 (1984) 620, as
// in USGS Office of Water Quality Technical Memorandum 2011.03 and Standard
// Methods 4500-O. Outside [OxygenTempRange], [OxygenPressureRange] or
// [OxygenECRange] it returns a [*RangeError].
func OxygenSaturation(tempC, pressureKPa, ec25 float64) (float64, error) {
	const what = "oxygen in air-saturated water"
	if err := OxygenTempRange.Check(what, tempC); err != nil {
		return 0, err
	}
	if err := OxygenPressureRange.Check(what, pressureKPa); err != nil {
		return 0, err
	}
	if err := OxygenECRange.Check(what, ec25); err != nil {
		return 0, err
	}
	return oxygenFresh(tempC) * oxygenSaltFactor(tempC, ec25) * oxygenPressureFactor(tempC, pressureKPa), nil
}

func oxygenFresh(tempC float64) float64 {
	x := 1 / (tempC + 273.15)
	return math.Exp(polynomial([]float64{-139.34411, 1.575701e5, -6.642308e7, 1.243800e10, -8.621949e11}, x))
}

// oxygenSalinity is the salinity in g/kg of sea-type water by its conductivity.
func oxygenSalinity(ec25 float64) float64 { return 5.572e-4*ec25 + 2.02e-9*ec25*ec25 }

func oxygenSaltFactor(tempC, ec25 float64) float64 {
	x := 1 / (tempC + 273.15)
	return math.Exp(-oxygenSalinity(ec25) * polynomial([]float64{0.017674, -10.754, 2140.7}, x))
}

func oxygenPressureFactor(tempC, pressureKPa float64) float64 {
	x, p := 1/(tempC+273.15), pressureKPa/atmosphereKPa
	theta := polynomial([]float64{0.000975, -1.426e-5, 6.436e-8}, tempC)
	vapour := math.Exp(polynomial([]float64{11.8571, -3840.70, -216961}, x))
	return (p - vapour) * (1 - theta*p) / ((1 - vapour) * (1 - theta))
}

// Oxygen returns the reference point of air-saturated water. ec25 is the
// sample's conductivity at 25 C in uS/cm, exact 0 for fresh water; 30 % of its
// effect is taken as uncertain, since the correction was measured on sea salt.
// Errors as for [OxygenSaturation].
func Oxygen(tempC, pressureKPa, ec25 uncert.Value) (Point, error) {
	t := tempC.Nominal()
	value, err := uncert.Apply(func(x ...float64) (float64, error) {
		return OxygenSaturation(x[0], x[1], x[2])
	}, tempC, pressureKPa, ec25)
	if err != nil {
		return Point{}, err
	}
	mgL := value.Nominal()
	if value, err = value.With(oxygenEquationU*mgL, uncert.Source{ID: "equation:oxygen", Label: "solubility equation"}); err != nil {
		return Point{}, err
	}
	saltEffect := mgL * (1/oxygenSaltFactor(t, ec25.Nominal()) - 1)
	if value, err = value.With(oxygenSaltU*saltEffect, uncert.Source{ID: "oxygen:salts", Label: "salts of the sample other than sea salt"}); err != nil {
		return Point{}, err
	}
	return Point{
		Quantity: "oxygen", Name: "air-saturated water", TempC: &t,
		Value: value, Unit: "mg/L",
		Source: "B.B. Benson, D. Krause, Limnol. Oceanogr. 25 (1980) 662 and 29 (1984) 620; USGS Technical Memorandum 2011.03; Standard Methods 4500-O",
		Ranges: []Range{OxygenTempRange, OxygenPressureRange, OxygenECRange},
		Notes: []string{
			"tables from before 1981, still in some manuals, read up to 0.13 mg/L higher",
			"a probe in air saturated with water reads the same: wet sponge in a closed, vented cup, sensor dry, 10 to 30 minutes (common practice)",
		},
		Making: airStirredWater,
	}, nil
}

// airStirredWater: common practice.
var airStirredWater = Making{
	Steps: []string{
		"Let clean water take the temperature of the room: a litre in a wide jar, overnight.",
		"Bubble room air through it with an aquarium pump and stone, or pour it between two jars 20 times, for 30 minutes.",
		"Let it rest for 10 to 20 minutes, so that bubbles rise: fine bubbles leave it above saturation.",
		"Read the water temperature and the air pressure at your place (station pressure).",
		"Put the probe in, stir steadily, and read when it stands still.",
	},
	Cautions: []string{
		"The pump's mains plug and cable stay above the water with a drip loop, on a 30 mA residual-current device.",
	},
}
