package electrode

import (
	"math"

	"github.com/brinemark/brinemark/solutions"
)

// Constants of the SI, exact since 2019 (BIPM, SI Brochure, 9th edition).
const (
	boltzmann        = 1.380649e-23    // J/K
	avogadro         = 6.02214076e23   // 1/mol
	elementaryCharge = 1.602176634e-19 // C

	// GasConstant is R in J/(mol K), 8.31446261815324.
	GasConstant = boltzmann * avogadro
	// FaradayConstant is F in C/mol, 96485.3321233100184.
	FaradayConstant = elementaryCharge * avogadro
	// ZeroCelsiusK is 0 C in kelvin.
	ZeroCelsiusK = 273.15
)

// IsopotentialPH is the pH at which the potential of a usual glass electrode
// does not depend on temperature, and at which an ideal one gives 0 mV (common
// practice: electrodes are built for 7).
const IsopotentialPH = 7.0

// TemperatureRange is the range of buffer and sample temperatures: that of the
// published buffer tables, and of ISO 10523:2008.
func TemperatureRange() solutions.Range {
	return solutions.Range{Quantity: "temperature", Unit: "C", Low: 0, High: 50}
}

// PHRange is the range of buffer values.
func PHRange() solutions.Range {
	return solutions.Range{Quantity: "buffer", Unit: "pH", Low: 0, High: 14}
}

// MVRange is the range of electrode potentials. A healthy electrode stays
// within ±450 mV between pH 0 and 14.
func MVRange() solutions.Range {
	return solutions.Range{Quantity: "potential", Unit: "mV", Low: -1000, High: 1000}
}

// DisplayRange is the range of displayed pH.
func DisplayRange() solutions.Range {
	return solutions.Range{Quantity: "display", Unit: "pH", Low: -2, High: 16}
}

// IdealSlope returns the Nernst slope of a pH electrode in mV per pH,
//
//	S(t) = 1000 · ln 10 · R · (t + 273.15) / F
//
// as a positive number: the potential falls by this much when pH rises by
// one. 59.16 mV at 25 C. tempC must lie in [TemperatureRange].
func IdealSlope(tempC float64) (float64, error) {
	if err := TemperatureRange().Check("Nernst slope", tempC); err != nil {
		return 0, err
	}
	return nernst(tempC), nil
}

func nernst(tempC float64) float64 {
	return 1000 * math.Ln10 * GasConstant * (tempC + ZeroCelsiusK) / FaradayConstant
}
