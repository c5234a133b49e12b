package solutions

import (
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
)

// WaterTempRange is where the tables of water's own conductivity hold.
var WaterTempRange = Range{Quantity: "temperature", Unit: "C", Low: 0, High: 50}

// Conductivity of water by temperature, uS/cm.
var (
	waterTempC = []float64{0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50}
	// Air-equilibrated: the column "H2O (CO2 sat.)" of the CRC Handbook table
	// of standard KCl solutions, after K.W. Pratt, W.F. Koch, Y.C. Wu,
	// P.A. Berezansky, Pure Appl. Chem. 73 (2001) 1783.
	airEquilibrated = []float64{0.58, 0.68, 0.79, 0.89, 0.99, 1.10, 1.20, 1.30, 1.40, 1.51, 1.61}
	// Theoretical: T.S. Light, S. Licht, A.C. Bevilacqua, K.R. Morash,
	// Electrochem. Solid-State Lett. 8 (2005) E16, as in ASTM D5391 (from
	// memory).
	theoretical = []float64{0.0116, 0.01653, 0.02303, 0.03138, 0.04193, 0.05501, 0.07097, 0.09017, 0.11298, 0.13978, 0.17085}
)

// UAirEquilibratedWater is the standard uncertainty of
// [AirEquilibratedWater], uS/cm. Indoor air with twice the carbon dioxide of
// outdoor air raises the value by 40 % (it goes with the square root).
const UAirEquilibratedWater = 0.15

// AirEquilibratedWater returns the conductivity, uS/cm, of otherwise pure
// water in equilibrium with the carbon dioxide of air, at tempC (in C): the
// floor for water from an open jug. Pratt et al. 2001, interpolated linearly;
// standard uncertainty [UAirEquilibratedWater]. Outside [WaterTempRange] it
// returns a [*RangeError].
func AirEquilibratedWater(tempC float64) (float64, error) {
	if err := WaterTempRange.Check("conductivity of water", tempC); err != nil {
		return 0, err
	}
	return interpolate(waterTempC, airEquilibrated, tempC), nil
}

// TheoreticalWater returns the conductivity, uS/cm, of pure water without
// anything dissolved, at tempC (in C): the floor of physics, 0.055 at 25 C.
// Light et al. 2005, interpolated in the logarithm; standard uncertainty about
// 1 %, 3 % below 10 C. Outside [WaterTempRange] it returns a [*RangeError].
func TheoreticalWater(tempC float64) (float64, error) {
	if err := WaterTempRange.Check("conductivity of water", tempC); err != nil {
		return 0, err
	}
	logs := make([]float64, len(theoretical))
	for i, k := range theoretical {
		logs[i] = math.Log(k)
	}
	return math.Exp(interpolate(waterTempC, logs, tempC)), nil
}

// uWaterSlopePerC is the relative standard uncertainty, per C away from 25 C,
// of taking a water's conductivity from 25 C to another temperature without
// knowing what is dissolved in it. At 50 C (3.8 %) it covers carbon dioxide
// alone (factor 1.464, Pratt et al. 2001) as well as sodium chloride (1.564);
// 0 and 20 C are covered too, with ISO 7888 waters among them.
const uWaterSlopePerC = 0.0015

// WaterConductivity returns the conductivity, uS/cm, that a water of ec25
// (uS/cm at 25 C) adds to a solution at tempC (in C). The traces in a water are
// rarely known, so the temperature factor is the mean of two known behaviours,
// dissolved carbon dioxide and sodium chloride at infinite dilution, and has a
// source of its own ("water:temperature") that grows with the distance from
// 25 C. The contribution adds to that of the salt; that is how the IUPAC table
// of KCl conductivities was made, by subtraction. [WaterIonsExcess] is what
// that leaves open.
//
// Outside [WaterECRange] and [WaterTempRange] it returns a [*RangeError].
func WaterConductivity(ec25, tempC uncert.Value) (uncert.Value, error) {
	k, t := ec25.Nominal(), tempC.Nominal()
	if err := WaterECRange.Check("water", k); err != nil {
		return uncert.Value{}, err
	}
	if err := WaterTempRange.Check("conductivity of water", t); err != nil {
		return uncert.Value{}, err
	}
	f := waterTempFactor(t)
	const h = 0.01
	slope := (waterTempFactor(t+h) - waterTempFactor(t-h)) / (2 * h)
	v, err := uncert.Combine(k*f, uncert.Term{Value: ec25, Slope: f}, uncert.Term{Value: tempC, Slope: k * slope})
	if err != nil {
		return uncert.Value{}, err
	}
	return v.With(k*f*uWaterSlopePerC*math.Abs(t-25), uncert.Source{
		ID: "water:temperature", Label: "temperature behaviour of the water",
	})
}

// waterTempFactor returns κ(t)/κ(25 C) of a water of unknown traces. Both
// curves run on smoothly a little beyond their ends.
func waterTempFactor(t float64) float64 {
	air := interpolate(waterTempC, airEquilibrated, t) / airEquilibrated[5]
	l := &naclConductance.limiting
	return (air + polynomial4(l, (t-25)/25)/l[0]) / 2
}
