package solutions

import "math"

// NaturalWaterRange is where the natural-water compensation is defined:
// ISO 7888:1985 tabulates 0 to 35.9 C.
var NaturalWaterRange = Range{Quantity: "temperature", Unit: "C", Low: 0, High: 35.9}

// The constants of the viscosity formula behind the natural-water table,
// ISO 7888:1985 (EN 27888:1993), with n and a for a reference temperature of
// 25 C.
const (
	naturalEtaA = -0.198058
	naturalEtaB = -1.992186
	naturalEtaC = 231.17628
	naturalEtaD = 86.39123
	naturalA    = 0.962144
	naturalN    = 0.965078
)

// NaturalWaterFactor returns f25, the dimensionless factor that takes the
// conductivity of a natural water at tempC (in C) to 25 C:
//
//	kappa25 = f25(t) · kappa(t)
//	f25(t)  = g(t) / g(25),  g(t) = (1−a) + a·η(t)ⁿ,  η(t) = A + exp(B + C/(t+D))
//
// ISO 7888:1985. The printed formula carries a factor 1.116 that gives 1.0004
// at 25 C; dividing by its own value there makes the factor exactly 1 at 25 C
// and reproduces the entries of the standard's table (144 of its 360 are
// checked) to their rounding, 0.0005. Made for surface and ground waters of about 60 to 1000 uS/cm, rich
// in calcium and hydrogencarbonate. It is a convention of meters, not the
// behaviour of KCl or NaCl, which differ from it by up to 5 % at 0 C. Outside
// [NaturalWaterRange] it returns a [*RangeError].
func NaturalWaterFactor(tempC float64) (float64, error) {
	if err := NaturalWaterRange.Check("natural-water compensation (ISO 7888)", tempC); err != nil {
		return 0, err
	}
	return naturalWaterG(tempC) / naturalWaterG(25), nil
}

// NaturalWaterSlope returns the change of f25 with the temperature at tempC, in
// 1/C: the derivative of [NaturalWaterFactor], with its errors.
func NaturalWaterSlope(tempC float64) (float64, error) {
	if err := NaturalWaterRange.Check("natural-water compensation (ISO 7888)", tempC); err != nil {
		return 0, err
	}
	eta := naturalWaterEta(tempC)
	above := tempC + naturalEtaD
	change := -(eta - naturalEtaA) * naturalEtaC / (above * above)
	return naturalA * naturalN * math.Pow(eta, naturalN-1) * change / naturalWaterG(25), nil
}

func naturalWaterG(tempC float64) float64 {
	return (1 - naturalA) + naturalA*math.Pow(naturalWaterEta(tempC), naturalN)
}

func naturalWaterEta(tempC float64) float64 {
	return naturalEtaA + math.Exp(naturalEtaB+naturalEtaC/(tempC+naturalEtaD))
}
