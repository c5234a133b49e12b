package solutions

import "math"

// Properties of water that the limiting law needs. They are evaluated inside
// the range of the conductivity model only.

// permittivity returns the relative permittivity of water at t (C), 0 to
// 100 C: C.G. Malmberg, A.A. Maryott, J. Res. NBS 56 (1956) 1.
func permittivity(t float64) float64 {
	return 87.740 + t*(-0.40008+t*(9.398e-4-1.410e-6*t))
}

// viscosity returns the dynamic viscosity of water at t (C), mPa s, 0 to
// 150 C: J. Kestin, M. Sokolov, W.A. Wakeham, J. Phys. Chem. Ref. Data 7 (1978)
// 941.
func viscosity(t float64) float64 {
	d := 20 - t
	return 1.002 * math.Pow(10, d/(t+96)*(1.2364+d*(-1.37e-3+5.7e-6*d)))
}

var viscosity25 = viscosity(25)

// fluidity returns the reciprocal viscosity of water relative to 25 C.
func fluidity(t float64) float64 { return viscosity25 / viscosity(t) }

// onsager returns the coefficients of the limiting law for a 1:1 electrolyte,
// Λ = Λ° − (b1 Λ° + b2) √c with c in mol/L and Λ in S cm2/mol:
//
//	b1 = 8.2053·10⁵ / (εT)^1.5      relaxation
//	b2 = 82.487 / (η √(εT))         electrophoresis, η in poise
//
// L. Onsager, Physik. Z. 28 (1927) 277, in the numbers of R.A. Robinson,
// R.H. Stokes, Electrolyte Solutions, 2nd ed. (1959) ch. 7.
func onsager(t float64) (b1, b2 float64) {
	et := permittivity(t) * (t + 273.15)
	root := math.Sqrt(et)
	return 8.2053e5 / (et * root), 82.487 / (viscosity(t) / 100 * root)
}
