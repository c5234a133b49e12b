package solutions

import (
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Range of the conductivity model. The tables it was fitted to end at 0 and
// 50 C and at 1 mol/kg; below 0.0005 mol/L the limiting law carries it.
var (
	// ModelTempRange is the temperatures of the model.
	ModelTempRange = Range{Quantity: "temperature", Unit: "C", Low: 0, High: 50}
	// ModelMolalityRange is the molalities of the model.
	ModelMolalityRange = Range{Quantity: "molality", Unit: "mol/kg", Low: 5e-5, High: 1.1}
)

// conductance holds the coefficients of a salt's molar conductivity,
//
//	Λ(c,t) = Λ°(u) − (b1 Λ°(u) + b2) √c
//	         + φ(t) [E c ln c + J1(u) c + J2(u) c√c + J3 c² + J4 c²√c]
//
// in S cm2/mol, with c in mol/L at the temperature t, u = (t−25)/25, the
// polynomials Λ°, J1 and J2 in u (lowest power first), the limiting-law
// coefficients b1 and b2 of [onsager] and the fluidity φ of water relative to
// 25 C.
type conductance struct {
	limiting    [4]float64 // Λ°
	logarithmic float64    // E
	linear      [5]float64 // J1
	threeHalves [5]float64 // J2
	quadratic   float64    // J3
	fiveHalves  float64    // J4
	u           modelUncertainty
}

// molar returns Λ at amount concentration c (mol/L) and t (C).
func (k *conductance) molar(c, t float64) float64 {
	u := (t - 25) / 25
	b1, b2 := onsager(t)
	l0 := polynomial4(&k.limiting, u)
	root := math.Sqrt(c)
	higher := c * (k.logarithmic*math.Log(c) + polynomial5(&k.linear, u) + polynomial5(&k.threeHalves, u)*root + (k.quadratic+k.fiveHalves*root)*c)
	return l0 - (b1*l0+b2)*root + fluidity(t)*higher
}

func polynomial4(a *[4]float64, x float64) float64 { return a[0] + x*(a[1]+x*(a[2]+x*a[3])) }

func polynomial5(a *[5]float64, x float64) float64 {
	return a[0] + x*(a[1]+x*(a[2]+x*(a[3]+x*a[4])))
}

// Conductivity returns the conductivity, uS/cm, of a solution of molality
// (mol of salt per kg of water) at tempC (in C, ITS-90): that of the salt
// alone. The water's own conductivity has to be added ([WaterConductivity]).
// How well it is known says [ConductivityU]. Outside [ModelMolalityRange] or
// [ModelTempRange], and for NaN, it returns a [*RangeError].
func Conductivity(s Salt, molality, tempC float64) (float64, error) {
	if err := s.checkModel(molality, tempC); err != nil {
		return 0, err
	}
	return s.conductivity(molality, tempC), nil
}

// MolarConductivity returns Λ, S cm2/mol, of a solution of amountConc (mol/L
// of solution at tempC) at tempC: the quantity that handbooks tabulate. Errors
// as for [Conductivity].
func MolarConductivity(s Salt, amountConc, tempC float64) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	if !ModelTempRange.Contains(tempC) {
		return 0, ModelTempRange.Check("conductivity of "+s.Formula, tempC)
	}
	limits := Range{
		Quantity: "amount concentration", Unit: "mol/L",
		Low:  s.amountConcentration(ModelMolalityRange.Low, tempC),
		High: s.amountConcentration(ModelMolalityRange.High, tempC),
	}
	if !limits.Contains(amountConc) {
		return 0, limits.Check("conductivity of "+s.Formula, amountConc)
	}
	return s.conductance.molar(amountConc, tempC), nil
}

// LimitingConductivity returns Λ°, S cm2/mol, the molar conductivity at
// infinite dilution at tempC. Errors as for [Conductivity].
func LimitingConductivity(s Salt, tempC float64) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	if !ModelTempRange.Contains(tempC) {
		return 0, ModelTempRange.Check("conductivity of "+s.Formula, tempC)
	}
	return polynomial4(&s.conductance.limiting, (tempC-25)/25), nil
}

// Alpha returns the true temperature coefficient, 1/C, that would take the
// salt's conductivity at tempC to that at refTempC along a straight line:
//
//	κ(t) = κ(ref) [1 + α (t − ref)]
//
// (its slope where the two temperatures meet). It differs from the constant
// that a meter uses; to 25 C it is 0.018 to 0.022 for NaCl and KCl. Errors as for
// [Conductivity].
func Alpha(s Salt, molality, tempC, refTempC float64) (float64, error) {
	if err := s.checkModel(molality, tempC); err != nil {
		return 0, err
	}
	if err := s.checkModel(molality, refTempC); err != nil {
		return 0, err
	}
	d := tempC - refTempC
	if math.Abs(d) < 1e-3 {
		// A chord this short would be rounding noise; the slope differs from
		// it by less than 1e-8 per C.
		return s.tempSlope(molality, refTempC) / s.conductivity(molality, refTempC), nil
	}
	return (s.conductivity(molality, tempC)/s.conductivity(molality, refTempC) - 1) / d, nil
}

// ConductivityValue returns [Conductivity] with its uncertainty: that of the
// molality and of the temperature with their own sources, and the model's. The
// model's error is one source for all solutions of a salt ("model:NaCl"), so it
// does not average out over bottles. Errors as for [Conductivity].
func ConductivityValue(s Salt, molality, tempC uncert.Value) (uncert.Value, error) {
	m, t := molality.Nominal(), tempC.Nominal()
	u, err := ConductivityU(s, m, t)
	if err != nil {
		return uncert.Value{}, err
	}
	kappa := s.conductivity(m, t)
	v, err := uncert.Combine(kappa,
		uncert.Term{Value: molality, Slope: s.molalitySlope(m, t)},
		uncert.Term{Value: tempC, Slope: s.tempSlope(m, t)})
	if err != nil {
		return uncert.Value{}, err
	}
	return v.With(u*kappa, ModelSource(s))
}

// ModelSource is the shared source of the model's error for a salt.
func ModelSource(s Salt) uncert.Source {
	return uncert.Source{ID: "model:" + s.Formula, Label: "conductivity model"}
}

func (s Salt) checkModel(molality, tempC float64) error {
	if err := s.check(); err != nil {
		return err
	}
	// The message is put together only where it is needed.
	if !ModelMolalityRange.Contains(molality) {
		return ModelMolalityRange.Check("conductivity of "+s.Formula, molality)
	}
	if !ModelTempRange.Contains(tempC) {
		return ModelTempRange.Check("conductivity of "+s.Formula, tempC)
	}
	return nil
}

// conductivity, molalitySlope and tempSlope do not check the range; the slopes
// step over its edge, where the formula is as smooth as inside.
func (s Salt) conductivity(molality, tempC float64) float64 {
	c := s.amountConcentration(molality, tempC)
	return 1000 * c * s.conductance.molar(c, tempC)
}

func (s Salt) molalitySlope(m, t float64) float64 {
	h := 1e-4 * m
	return (s.conductivity(m+h, t) - s.conductivity(m-h, t)) / (2 * h)
}

func (s Salt) tempSlope(m, t float64) float64 {
	const h = 0.01
	return (s.conductivity(m, t+h) - s.conductivity(m, t-h)) / (2 * h)
}

// amountConcentration returns mol/L of solution at t.
func (s Salt) amountConcentration(molality, t float64) float64 {
	w := s.massFraction(molality)
	return w * s.density.at(w, t) / s.MolarMass
}
