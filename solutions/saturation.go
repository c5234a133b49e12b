package solutions

import "math"

// Saturation pressure of water, W. Wagner, A. Pruss, J. Phys. Chem. Ref. Data
// 31 (2002) 387 (IAPWS-95), ITS-90. Exponents of v = 1 − T/Tc beside the
// coefficients.
const (
	criticalTempK       = 647.096
	criticalPressureKPa = 22064.0
)

var saturationTerms = []struct{ a, exponent float64 }{
	{-7.85951783, 1}, {1.84408259, 1.5}, {-11.7866497, 3},
	{22.6807411, 3.5}, {-15.9618719, 4}, {1.80122502, 7.5},
}

// SaturationRange is where [SaturationPressure] is used here. The equation
// itself holds from the triple point, 0.01 C, to the critical point; 0 C is
// water just below the triple point.
var SaturationRange = Range{Quantity: "temperature", Unit: "C", Low: 0, High: 373}

// SaturationPressure returns the vapour pressure of water in kPa at tempC
// (ITS-90, in C):
//
//	ln(p/pc) = (Tc/T) · Σ aᵢ v^eᵢ,  v = 1 − T/Tc
//
// Wagner and Pruss 2002; uncertainty 0.02 %, which is 0.005 C or less in the
// boiling point. Outside [SaturationRange] it returns a [*RangeError].
func SaturationPressure(tempC float64) (float64, error) {
	if err := SaturationRange.Check("vapour pressure of water", tempC); err != nil {
		return 0, err
	}
	return math.Exp(lnSaturation(tempC)), nil
}

// lnSaturation is ln(p/kPa) without the check.
func lnSaturation(tempC float64) float64 {
	tempK := tempC + 273.15
	v := 1 - tempK/criticalTempK
	sum := 0.0
	for _, term := range saturationTerms {
		sum += term.a * math.Pow(v, term.exponent)
	}
	return math.Log(criticalPressureKPa) + criticalTempK/tempK*sum
}

// saturationSlope returns d ln p / dt in 1/C, about 0.06 at room temperature:
// how much relative humidity a difference in temperature costs.
func saturationSlope(tempC float64) float64 {
	const h = 0.01
	return (lnSaturation(tempC+h) - lnSaturation(tempC-h)) / (2 * h)
}
