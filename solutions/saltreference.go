package solutions

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
)

// StrengthID identifies the error of a bottle's stated strength.
const StrengthID = "strength"

// SaltReference is a bottle of a salt dissolved in water as a conductivity
// reference: the salt and its strength and, if known, the water it was made
// with. Make one with [NewSaltReference].
type SaltReference struct {
	Salt     Salt
	Strength quantity.Quantity // as stated
	Molality uncert.Value      // mol/kg of water
	Water    *uncert.Value     // conductivity of the water at 25 C in uS/cm; nil leaves it out

	statedEC25 *uncert.Value // of the salt alone, where the strength was stated as a conductivity
}

// NewSaltReference describes a bottle. strength is any of
// [quantity.Strengths]; u carries its uncertainty: a value with the nominal
// strength.Value, in the base unit of its kind. A strength in uS/cm, or on a
// ppm display, is the salt's own conductivity at 25 C, without the water's.
// Outside [StrengthRange] it returns a [*RangeError] in the unit the strength
// was typed in.
func NewSaltReference(s Salt, strength quantity.Quantity, u uncert.Value, water *uncert.Value) (SaltReference, error) {
	if u.Nominal() != strength.Value {
		return SaltReference{}, fmt.Errorf("the strength is %s and its uncertainty belongs to %v", strength, u.Nominal())
	}
	limits, err := StrengthRange(s, strength)
	if err != nil {
		return SaltReference{}, err
	}
	if _, perBase := strength.TypedUnit(); !limits.Contains(strength.Value * perBase) {
		return SaltReference{}, limits.rounded().Check("strength of "+s.Formula, strength.Value*perBase)
	}
	molality, err := along(func(x float64) (float64, error) {
		q := strength
		q.Value, q.Text = x, ""
		return Molality(s, q)
	}, u)
	if err == nil {
		err = s.checkModel(molality.Nominal(), StrengthTempC)
	}
	if err != nil {
		return SaltReference{}, fmt.Errorf("strength %s: %w", strength, err)
	}
	r := SaltReference{Salt: s, Strength: strength, Molality: molality, Water: water}
	switch strength.Kind {
	case quantity.Conductivity:
		r.statedEC25 = &u
	case quantity.Display:
		ec25 := u.Scale(1 / strength.Factor)
		r.statedEC25 = &ec25
	}
	return r, nil
}

// Conductivity returns the true, uncompensated conductivity of the bottle in
// uS/cm at a temperature in C, which carries its own uncertainty into the
// value. The water's own conductivity is in it if it is known, with what the
// ions of both do to one another as a source of uncertainty ([AddWater]).
// Outside [ModelTempRange] it returns a [*RangeError].
func (r SaltReference) Conductivity(tempC uncert.Value) (uncert.Value, error) {
	value, err := r.saltAlone(tempC)
	if err != nil || r.Water == nil {
		return value, err
	}
	water, err := WaterConductivity(*r.Water, tempC)
	if err != nil {
		return uncert.Value{}, err
	}
	return AddWater(r.Salt, r.Molality.Nominal(), r.Water.Nominal(), tempC.Nominal(), value, water,
		uncert.Source{ID: WaterIonsID, Label: WaterIonsLabel})
}

// EC25 returns the true conductivity at 25 C in uS/cm. Where the strength was
// stated as a conductivity it is that very figure, needs no model and is as
// uncertain as was stated; the water comes on top.
func (r SaltReference) EC25() (uncert.Value, error) {
	return r.Conductivity(uncert.Exact(StrengthTempC))
}

func (r SaltReference) saltAlone(tempC uncert.Value) (uncert.Value, error) {
	if r.statedEC25 == nil {
		return ConductivityValue(r.Salt, r.Molality, tempC)
	}
	// The model is asked for the ratio to 25 C alone, where most of its error
	// cancels. At 25 C both ratios here are exactly 1.
	m, t := r.Molality.Nominal(), tempC.Nominal()
	u, err := ConductivityRatioU(r.Salt, m, t)
	if err != nil {
		return uncert.Value{}, err
	}
	kappa := r.statedEC25.Nominal() * (r.Salt.conductivity(m, t) / r.Salt.conductivity(m, StrengthTempC))
	value, err := uncert.Combine(kappa,
		uncert.Term{Value: *r.statedEC25, Slope: r.Salt.molalitySlope(m, t) / r.Salt.molalitySlope(m, StrengthTempC)},
		uncert.Term{Value: tempC, Slope: r.Salt.tempSlope(m, t)})
	if err != nil {
		return uncert.Value{}, err
	}
	return value.With(kappa*u, ModelSource(r.Salt))
}

// Source names what the conductivity rests on.
func (r SaltReference) Source() string { return saltSources[r.Salt.Formula] }

// saltSources is what the models of the salts were fitted to.
var saltSources = map[string]string{
	KCl.Formula:  "conductivity model of this program, fitted to K.W. Pratt et al. (IUPAC), Pure Appl. Chem. 73 (2001) 1783, and to handbook molar conductivities at 25 C",
	NaCl.Formula: "conductivity model of this program, fitted to handbook molar conductivities at 25 C (CRC Handbook), with limiting conductivities by temperature of R.A. Robinson, R.H. Stokes, Electrolyte Solutions (1959)",
}

// Notes says what the value means.
func (r SaltReference) Notes() []string {
	notes := []string{"the true value is not compensated: it is what the liquid conducts at its own temperature"}
	switch r.Strength.Kind {
	case quantity.Conductivity, quantity.Display:
		notes = append(notes, "the strength is read as the salt's own conductivity at 25 C, without the water's")
	}
	if r.Water != nil {
		notes = append(notes, "the water's own conductivity is added to the salt's; together they conduct less than that sum, by up to the part of u named \""+WaterIonsLabel+"\"")
	}
	return notes
}

// Making says how such a bottle is made: by the recipe command's plan, which
// carries the masses; these are the steps around it. compensated tells that the
// meter corrects for temperature by itself. Common practice.
func (r SaltReference) Making(compensated bool) Making {
	use := "For use, pour a portion into a rinsed cup, let probe and liquid reach one temperature, and read that temperature to 0.2 C if you can: half a degree is one percent of the reading."
	if compensated {
		use = "For use, pour a portion into a rinsed cup and wait until probe and liquid have one temperature and the reading stands still. Read that temperature: half a degree is one percent of the true value, but little of what a meter shows that corrects for temperature."
	}
	return Making{
		Steps: []string{
			"Plan the weighing with the recipe of this salt and strength: it gives the masses for your scale and their uncertainty.",
			"Dry the salt (2 hours at 110 to 150 C, cooled in a closed jar) and weigh water and salt, not volumes.",
			"Mix until nothing is left to dissolve, fill a clean bottle to the neck and close it; label it with salt, strength, date and its mass.",
			use,
			"Throw the portion away. Weigh the bottle now and then: 1 % of mass lost is about 1 % of strength gained.",
		},
		Cautions: []string{
			"Not for drinking or dosing; keep reference and stock solutions out of the tub and away from children and pets.",
		},
	}
}
