package solutions

import (
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Ranges of the boiling point.
var (
	// BoilingPressureRange is the pressures a place where people live can
	// have, with room on both sides. The saturation equation reaches further;
	// a pressure cooker is not open to the air and not a reference.
	BoilingPressureRange = Range{Quantity: "pressure", Unit: "kPa", Low: 30, High: 110}
	// AltitudeRange is the altitudes that [StandardPressure] is used for: the
	// lowest land to the highest.
	AltitudeRange = Range{Quantity: "altitude", Unit: "m", Low: -500, High: 9000}
)

// Standard uncertainties of the kitchen.
const (
	// IcePointU, in C: well-made slush of clean ice. Recommendation, no source.
	IcePointU = 0.05
	// KitchenBoilingU, in C: superheating and depth of the probe in a pot. With
	// a pressure known to 0.3 kPa it makes 0.2 C. Recommendation, no source.
	KitchenBoilingU = 0.18
	// boilingEquationU, in C: Wagner and Pruss 2002, the equation itself.
	boilingEquationU = 0.003
	// WeatherU, in kPa, covers weather and season at a known altitude: they
	// move the pressure by 2 to 4 kPa. Common practice.
	WeatherU = 3.0
)

// PressureID identifies the error of the air pressure.
const PressureID = "pressure"

// IcePoint returns the ice point: 0 C by definition of the ice point, melting
// ice in air-saturated water at 101.325 kPa. Lower pressure raises it towards
// the triple point, 0.01 C: by 0.003 C at 3000 m.
func IcePoint() Point {
	zero := 0.0
	return Point{
		Quantity: "temperature", Name: "ice point", TempC: &zero,
		Value: constant(0, IcePointU, uncert.Source{ID: "ice", Label: "ice point as made in a kitchen"}), Unit: "C",
		Source: "ice point, melting ice in air-saturated water (MSL Technical Guide 1; ASTM E563), ITS-90; u for a kitchen is a recommendation",
		Notes: []string{
			"0.1 % of salt in the ice lowers it by about 0.06 C; ice of tap water is usually within 0.01 to 0.05 C",
			"the same for any altitude people live at: thinner air raises it by 0.003 C or less up to 3000 m",
		},
		Making: iceBath,
	}
}

// BoilingTemp returns the boiling point of pure water in C (ITS-90) at an air
// pressure in kPa: the inverse of [SaturationPressure], solved to 1e-9 C.
// Outside [BoilingPressureRange] it returns a [*RangeError].
func BoilingTemp(pressureKPa float64) (float64, error) {
	if err := BoilingPressureRange.Check("boiling point", pressureKPa); err != nil {
		return 0, err
	}
	low, high, want := 60.0, 110.0, math.Log(pressureKPa)
	for high-low > 1e-10 {
		if mid := (low + high) / 2; lnSaturation(mid) < want {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2, nil
}

// BoilingPoint returns the reference point of water boiling at an air pressure
// in kPa: station pressure, not the weather report's, which is reduced to sea
// level. Errors as for [BoilingTemp].
func BoilingPoint(pressureKPa uncert.Value) (Point, error) {
	if err := BoilingPressureRange.Check("boiling point", pressureKPa.Nominal()); err != nil {
		return Point{}, err
	}
	value, err := along(BoilingTemp, pressureKPa)
	if err != nil {
		return Point{}, err
	}
	for _, part := range []struct {
		u      float64
		source uncert.Source
	}{
		{boilingEquationU, uncert.Source{ID: "equation:boiling", Label: "saturation equation"}},
		{KitchenBoilingU, uncert.Source{ID: "boiling", Label: "boiling as done in a kitchen (superheating, depth)"}},
	} {
		if value, err = value.With(part.u, part.source); err != nil {
			return Point{}, err
		}
	}
	tempC := value.Nominal()
	return Point{
		Quantity: "temperature", Name: "boiling water", TempC: &tempC,
		Value: value, Unit: "C",
		Source: "W. Wagner, A. Pruss, J. Phys. Chem. Ref. Data 31 (2002) 387 (IAPWS-95), ITS-90; u for a kitchen is a recommendation",
		Ranges: []Range{BoilingPressureRange},
		Notes: []string{
			"the pressure is that at your place (station pressure): a weather report reduced to sea level is wrong by about 1 C at 300 m",
			"99.974 C at 101.325 kPa, not 100: older tables stand on older temperature scales",
		},
		Making: boilingWater,
	}, nil
}

// StandardPressure returns the mean air pressure in kPa at an altitude in m:
//
//	p = 101.325 · (1 − 0.0065 h / 288.15)^5.25588
//
// US Standard Atmosphere 1976 (ISO 2533). Outside [AltitudeRange] it returns a
// [*RangeError].
func StandardPressure(altitudeM float64) (float64, error) {
	if err := AltitudeRange.Check("standard atmosphere", altitudeM); err != nil {
		return 0, err
	}
	return 101.325 * math.Pow(1-0.0065*altitudeM/288.15, 5.25588), nil
}

// AltitudesFor gives the altitudes in m, within [AltitudeRange], at which
// [StandardPressure] lies within pressures (kPa); whole metres inside it.
func AltitudesFor(pressures Range) Range {
	altitude := func(kPa float64) float64 {
		return 288.15 / 0.0065 * (1 - math.Pow(kPa/101.325, 1/5.25588))
	}
	return AltitudeRange.Within(Range{Low: math.Ceil(altitude(pressures.High)), High: math.Floor(altitude(pressures.Low))})
}

// PressureAtAltitude returns [StandardPressure] with the uncertainty that
// weather and season leave, [WeatherU]. Errors as for [StandardPressure].
func PressureAtAltitude(altitudeM float64) (uncert.Value, error) {
	p, err := StandardPressure(altitudeM)
	if err != nil {
		return uncert.Value{}, err
	}
	return uncert.New(p, WeatherU, uncert.Source{ID: PressureID, Label: "air pressure (weather)"})
}

// constant is a value written in this package with an uncertainty of its own.
func constant(x, u float64, s uncert.Source) uncert.Value {
	v, err := uncert.New(x, u, s)
	if err != nil {
		panic(err) // a constant of this package; tests visit each
	}
	return v
}

// iceBath: MSL Technical Guide 1, ASTM E563 and, for the figures of a kitchen,
// common practice.
var iceBath = Making{
	Steps: []string{
		"Crush clean ice, best of distilled water, as fine as you can (2 to 3 mm, or snow-like); rinse it with clean cold water.",
		"Pack it tight into a vacuum flask or an insulated beaker and fill the gaps with clean water that has stood with ice: slush, no floating lumps.",
		"Put the probe in to at least 10 times its diameter, touching neither wall nor bottom, and wait 30 minutes.",
		"Stir gently, press the ice down around the probe, and read when it stands still.",
		"Pour off water that gathers at the bottom: it can be as warm as 4 C. Its level has to stay below the tip.",
	},
	Cautions: []string{
		"No salt anywhere near: a pinch lowers the point. Only put in probes and cables that may get wet.",
	},
}

// boilingWater: common practice; 0.027 C for each 10 mm of water follows from
// its weight.
var boilingWater = Making{
	Steps: []string{
		"Read the air pressure at your place, as station pressure, from a barometer or a telephone with a pressure sensor.",
		"Boil clean water vigorously in a stable pot with a lid that leaves a gap for the steam.",
		"Hold the tip in the steam just above the water, or just under its surface: each 10 mm deeper reads 0.027 C more.",
		"Wait until the reading stands still, and read it while the water boils hard (quiet water can be 0.1 to 0.5 C too hot).",
		"Look up the boiling point at the pressure of that hour.",
	},
	Cautions: []string{
		"Steam burns: use a clamp and a glove, keep children away, and let nothing hang from the pot.",
		"Only with probes made for 100 C; no glass thermometer against the bottom; mains cables away from water and heat.",
	},
}
