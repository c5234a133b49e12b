package solutions

import "fmt"

// Conventional weighing in air: OIML R 111 and OIML D 28.
const (
	// WeightDensity is the density of the weights that scales are adjusted
	// with, kg/m3, a convention (exact).
	WeightDensity = 8000.0
	// AirDensity is the conventional density of air, kg/m3. Real air near sea
	// level is 1.1 to 1.25; it falls by about 0.1 per 1000 m of altitude.
	AirDensity = 1.2
	// UAirDensity is the standard uncertainty of AirDensity where nothing is
	// known of altitude and weather, kg/m3.
	UAirDensity = 0.1
)

// AirDensityRange is where the buoyancy factor may be asked for: from about
// 4000 m of altitude to a cold day at high pressure.
var AirDensityRange = Range{Quantity: "air density", Unit: "kg/m3", Low: 0.7, High: 1.5}

// BuoyancyFactor returns true mass over the reading of a scale adjusted with
// weights of density [WeightDensity], for a body of the given density in air:
//
//	factor = (1 − ρ_air/ρ_weights) / (1 − ρ_air/ρ)
//
// OIML D 28. All densities in kg/m3. It is an error if density is not above
// 100 kg/m3 (no salt, water or solution is that light) or airDensity is outside
// [AirDensityRange].
func BuoyancyFactor(density, airDensity float64) (float64, error) {
	if !(density > 100 && density < 1e5) {
		return 0, fmt.Errorf("density %v kg/m3 of the weighed body: want 100 to 100000 kg/m3: %w", density, ErrOutOfRange)
	}
	if err := AirDensityRange.Check("air buoyancy", airDensity); err != nil {
		return 0, err
	}
	return (1 - airDensity/WeightDensity) / (1 - airDensity/density), nil
}

// BuoyancyFactor returns true mass over scale reading for the solid salt in
// air of conventional density.
func (s Salt) BuoyancyFactor() (float64, error) { return BuoyancyFactor(s.Density, AirDensity) }

// WaterBuoyancyFactor returns true mass over scale reading for water at tempC
// (in C), in air of conventional density. Errors as for [WaterDensity].
func WaterBuoyancyFactor(tempC float64) (float64, error) {
	rho, err := WaterDensity(tempC)
	if err != nil {
		return 0, err
	}
	return BuoyancyFactor(rho, AirDensity)
}
