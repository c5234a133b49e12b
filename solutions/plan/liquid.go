package plan

import (
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// Liquid is what a solution is made of, as fractions of its mass. The three sum
// to 1.
type Liquid struct {
	Pure     uncert.Value // the salt itself
	Impurity uncert.Value // everything else that came with the salt
	Water    uncert.Value // the water weighed in and the salt's moisture
}

// dissolve mixes salt as it lies in the jar with water; true masses in g.
func dissolve(jar Jar, saltG, waterG uncert.Value) (Liquid, error) {
	moist := saltG.Mul(jar.Moisture)
	dry := saltG.Sub(moist)
	pure := dry.Mul(jar.Purity)
	total := saltG.Add(waterG)
	return fractions(pure, dry.Sub(pure), waterG.Add(moist), total)
}

// dilute mixes a part of the liquid with water; true masses in g.
func (l Liquid) dilute(takenG, waterG uncert.Value) (Liquid, error) {
	total := takenG.Add(waterG)
	return fractions(l.Pure.Mul(takenG), l.Impurity.Mul(takenG), l.Water.Mul(takenG).Add(waterG), total)
}

func fractions(pure, impurity, water, total uncert.Value) (l Liquid, err error) {
	if l.Pure, err = pure.Div(total); err != nil {
		return Liquid{}, err
	}
	if l.Impurity, err = impurity.Div(total); err != nil {
		return Liquid{}, err
	}
	l.Water, err = water.Div(total)
	return l, err
}

// Worth is what a bottle is worth as a reference, with the sources of its
// uncertainty.
type Worth struct {
	Molality uncert.Value // of pure salt, mol per kg of water
	MgL      uncert.Value // of pure salt, mg per litre of solution at 25 C
	// EC25 is the conductivity at 25 C in uS/cm, the water's own included
	// where it is known.
	EC25 uncert.Value
	// WaterEC25 is the water's own part of it.
	WaterEC25 uncert.Value
}

// Worth returns what a liquid is worth. A liquid outside the conductivity model
// is an error that wraps [solutions.ErrOutOfRange].
func (b Bench) Worth(l Liquid) (Worth, error) {
	molality, err := b.molality(l)
	if err != nil {
		return Worth{}, err
	}
	salt, err := solutions.ConductivityValue(b.Jar.Salt, molality, uncert.Exact(solutions.StrengthTempC))
	if err != nil {
		return Worth{}, err
	}
	ratio, err := l.Impurity.Div(l.Pure)
	if err != nil {
		return Worth{}, err
	}
	mgL, err := uncert.Apply(func(m ...float64) (float64, error) {
		s, err := solutions.StrengthOf(b.Jar.Salt, m[0])
		return s.MgL, err
	}, molality)
	if err != nil {
		return Worth{}, err
	}
	extra := b.Jar.Conducts.Mul(ratio).Shift(1)
	ec25, err := solutions.AddWater(b.Jar.Salt, molality.Nominal(), b.Water.EC25.Nominal(), solutions.StrengthTempC,
		salt.Mul(extra), b.Water.EC25, uncert.Source{ID: kindWaterIons.id(b.Water.ID), Label: solutions.WaterIonsLabel})
	if err != nil {
		return Worth{}, err
	}
	return Worth{Molality: molality, MgL: mgL, EC25: ec25, WaterEC25: b.Water.EC25}, nil
}

// molality is mol of pure salt per kg of water.
func (b Bench) molality(l Liquid) (uncert.Value, error) {
	ratio, err := l.Pure.Div(l.Water)
	if err != nil {
		return uncert.Value{}, err
	}
	return ratio.Scale(1000 / b.Jar.Salt.MolarMass), nil
}
