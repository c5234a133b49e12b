// Package quantity reads and writes numbers with units, at the edge of the
// program and nowhere else.
//
// A quantity a person types is a number and a unit: "1413uS/cm", "600 mg/L",
// "0.5L". [Parse] turns it into a [Quantity] in the one base unit of its kind,
// and refuses whatever has no single meaning:
//
//	kind                  base unit  also written
//	conductivity          uS/cm      µS/cm, mS/cm, S/m, dS/m, mS/m, S/cm
//	mass concentration    mg/L       g/L                 (litre of solution at 25 C)
//	mass ratio            mg/kg      g/kg                (kg of solution)
//	molality              mol/kg     mmol/kg             (kg of water)
//	amount concentration  mol/L      mmol/L              (litre of solution at 25 C)
//	display value         ppm@F      F is ppm per uS/cm, such as 0.5
//	volume                mL         L
//	mass                  g          mg, kg
//	fraction              1          %
//	temperature           C          °C
//	pressure              kPa        hPa, mbar, Pa
//	length                m
//
// Every unit is a power of ten away from its base unit, so the conversion is
// done on the decimal text and not by a multiplication: "0.1413S/m",
// "1.413mS/cm" and "1413uS/cm" give the very same float64, and what [Quantity.String]
// writes is read back without loss.
//
// What it declines to do: there is no algebra of units, no unit that is not a
// power of ten from its base (degrees Fahrenheit, pounds and atmospheres are
// refused with the converted value as a hint), and no bare ppm, which has three
// meanings. A difference of temperatures has no kind of its own; where one is
// meant, as a standard uncertainty, [ParseUncertainty] reads it.
package quantity
