package plan

import (
	"fmt"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// Bench is everything that a bottle's value depends on besides the masses.
type Bench struct {
	Jar   Jar
	Scale Scale
	Water Water
	// Jug measures the bottles' water in place of the scale; nil: all by mass.
	Jug *Jug
	// Run tells the weighings of one bench day from those of another: it is
	// part of their sources' identifiers, unless [Weighed.ID] says whose they
	// are. Empty is a name like any other, so two runs that are kept on one
	// record need two names.
	Run string
}

// Weighed is what went into one vessel, as the scale showed it: one number for
// each weighing, in g. Salt or stock, then water by mass or by volume.
type Weighed struct {
	// Name is that of a stock where it has one of its own; empty stands for
	// "stock A", the second for "stock B".
	Name string
	// ID is the identity of the vessel with this content among all that are
	// kept: bottles from a stock of one ID share the error of its weighings.
	// Bottles and stocks have identities of their own, so that the bottle "A"
	// and the stock "A" are two. Empty stands for the run and the name.
	ID      string
	SaltG   []float64
	StockG  []float64
	WaterG  []float64
	WaterML []float64 // fillings of the jug, in mL
}

// Mixed is the content of one vessel.
type Mixed struct {
	Name string
	// Owner is whose the weighings are: what stands in their identifiers
	// between the kind and the last slash.
	Owner string
	Liquid
	MassG uncert.Value // true mass of the whole, in g
}

// vessel is what a weighing belongs to: its owner is part of the source's
// identifier, its suffix of the label.
type vessel struct{ name, owner, suffix string }

// owner is the identity of a vessel's weighings. The sort is part of it: a
// stock and a bottle of one name are two.
func (b Bench) owner(sort, name, id string) string {
	if id == "" {
		id = b.Run + name
	}
	return sort + ":" + id
}

// Stock returns what a stock holds after its weighings: salt and water, or,
// where from is given, a part of that stock and water. Errors: something that
// should have been weighed is missing or does not belong there, a mass that is
// negative or not finite, more taken of a stock than there is, a solution
// denser than the tables reach.
func (b Bench) Stock(name string, from *Mixed, w Weighed) (Mixed, error) {
	return b.mix(vessel{name, b.owner("stock", name, w.ID), " of " + name}, from, w)
}

// Bottle returns what a bottle holds after its weighings, as [Bench.Stock] does
// for a stock; of a stock that is used as it is, the water may be left out.
func (b Bench) Bottle(name string, from *Mixed, w Weighed) (Mixed, error) {
	return b.mix(vessel{name, b.owner("bottle", name, w.ID), ""}, from, w)
}

func (b Bench) mix(v vessel, from *Mixed, w Weighed) (Mixed, error) {
	taken, err := b.taken(v, from, w)
	if err != nil {
		return Mixed{}, err
	}
	water, err := b.water(v, w)
	if err != nil {
		return Mixed{}, err
	}
	var liquid Liquid
	if from == nil {
		if !(water.Nominal() > 0) {
			return Mixed{}, fmt.Errorf("%s: no water was given; want its mass such as 499.2g", v.name)
		}
		liquid, err = dissolve(b.Jar, taken, water)
	} else {
		liquid, err = from.dilute(taken, water)
	}
	if err != nil {
		return Mixed{}, err
	}
	return Mixed{Name: v.name, Owner: v.owner, Liquid: liquid, MassG: taken.Add(water)}, b.checkDissolved(v, liquid)
}

// checkDissolved refuses more salt than the water can hold.
func (b Bench) checkDissolved(v vessel, l Liquid) error {
	molality, err := b.molality(l)
	if err != nil {
		return err
	}
	tempC := b.Water.TempC.Nominal()
	most, err := solutions.Solubility(b.Jar.Salt, tempC)
	if err != nil {
		return err
	}
	if m := molality.Nominal(); !(m <= most) {
		return fmt.Errorf("%s: %s mol of %s per kg of water is above its solubility, %s mol/kg at %s C: part of it would lie undissolved; want more water: %w",
			v.name, figure(m), b.Jar.Salt.Formula, figure(most), figure(tempC), solutions.ErrOutOfRange)
	}
	return nil
}

// taken is the true mass of the salt, or of the stock, that went in.
func (b Bench) taken(v vessel, from *Mixed, w Weighed) (uncert.Value, error) {
	if from == nil {
		if len(w.StockG) > 0 {
			return uncert.Value{}, fmt.Errorf("%s: a mass of stock was given without the salt and water the stock was made of", v.name)
		}
		density := b.Jar.Salt.Density
		factor, err := buoyancy(func(...float64) (float64, error) { return density, nil })
		if err != nil {
			return uncert.Value{}, err
		}
		return b.mass(v, "salt", "salt mass"+v.suffix, w.SaltG, factor)
	}
	if len(w.SaltG) > 0 {
		return uncert.Value{}, fmt.Errorf("%s: salt and stock were both given; a bottle is made from one of them", v.name)
	}
	factor, err := b.stockBuoyancy(from.Liquid)
	if err != nil {
		return uncert.Value{}, err
	}
	label := "stock mass, " + from.Name
	if v.suffix != "" {
		label += " in " + v.name
	}
	taken, err := b.mass(v, "stock", label, w.StockG, factor)
	if err != nil {
		return uncert.Value{}, err
	}
	if most := from.MassG.Nominal(); taken.Nominal() > most*(1+1e-6) {
		return uncert.Value{}, fmt.Errorf("%s: %s g of %s were taken, but only %s g were made", v.name, figure(taken.Nominal()), from.Name, figure(most))
	}
	return taken, nil
}

// water is the true mass of the water that went in, by mass, by volume or
// both; an exact 0 where none did.
func (b Bench) water(v vessel, w Weighed) (uncert.Value, error) {
	total := uncert.Exact(0)
	if len(w.WaterG) > 0 {
		factor, err := b.waterBuoyancy()
		if err != nil {
			return uncert.Value{}, err
		}
		mass, err := b.mass(v, "water", "water mass"+v.suffix, w.WaterG, factor)
		if err != nil {
			return uncert.Value{}, err
		}
		total = total.Add(mass)
	}
	if len(w.WaterML) > 0 {
		mass, err := b.poured(v, w.WaterML)
		if err != nil {
			return uncert.Value{}, err
		}
		total = total.Add(mass)
	}
	return total, nil
}

// mass is the true mass of what was read on the scale in one or more
// weighings: reading · gain · buoyancy factor.
func (b Bench) mass(v vessel, what, label string, readingsG []float64, factor uncert.Value) (uncert.Value, error) {
	if len(readingsG) == 0 {
		return uncert.Value{}, fmt.Errorf("%s: no %s was given; want its mass as the scale showed it", v.name, what)
	}
	total, err := sum(MassesRange, readingsG)
	if err != nil {
		return uncert.Value{}, fmt.Errorf("%s: %s mass: %w", v.name, what, err)
	}
	if !(total > 0) {
		return uncert.Value{}, fmt.Errorf("%s: %s mass is 0 g; want a mass above 0", v.name, what)
	}
	if most := slices.Max(readingsG); b.Scale.CapacityStated && most > b.Scale.CapacityG {
		return uncert.Value{}, fmt.Errorf("%s: %s: %s g in one weighing is above the capacity of the scale, %s g; give each portion by itself, or the scale that weighed it", v.name, label, figure(most), figure(b.Scale.CapacityG))
	}
	n := float64(len(readingsG))
	owner := v.owner + "/" + what
	read, err := uncert.New(total, b.Scale.UG*math.Sqrt(n), uncert.Source{ID: kindWeighing.id(owner), Label: label})
	if err != nil {
		return uncert.Value{}, err
	}
	read, err = read.With(n*b.Scale.LinearityG/math.Sqrt(3), uncert.Source{ID: kindLinearity.id(owner), Label: label + ", linearity"})
	if err != nil {
		return uncert.Value{}, err
	}
	return read.Mul(b.Scale.Gain).Mul(factor), nil
}

// MassesRange and VolumesRange limit what a scale or a jug may have shown, all
// readings of one thing together.
var (
	MassesRange  = solutions.Range{Quantity: "mass", Unit: "g", Low: 0, High: 1e6}
	VolumesRange = solutions.Range{Quantity: "volume", Unit: "mL", Low: 0, High: 1e6}
)

// sum adds readings and refuses what no scale or jug shows.
func sum(within solutions.Range, readings []float64) (float64, error) {
	total := 0.0
	for _, x := range readings {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return 0, fmt.Errorf("%v is not a finite number", x)
		}
		if x < 0 {
			return 0, fmt.Errorf("%s is negative; want what the scale or jug showed", figure(x))
		}
		total += x
	}
	return total, within.Check("all together", total)
}

// CheckReadings returns an error for readings that no scale, or jug, shows, one
// by one or together: see [MassesRange] and [VolumesRange].
func CheckReadings(of solutions.Range, readings []float64) error {
	_, err := sum(of, readings)
	return err
}

// airDensity is the density of air at the bench.
func airDensity() (uncert.Value, error) {
	return uncert.New(solutions.AirDensity, solutions.UAirDensity, uncert.Source{ID: kindAir.id("room"), Label: "air buoyancy"})
}

// buoyancy is true mass over reading for something whose density, kg/m3, is a
// function of the values given.
func buoyancy(density func(x ...float64) (float64, error), of ...uncert.Value) (uncert.Value, error) {
	air, err := airDensity()
	if err != nil {
		return uncert.Value{}, err
	}
	return uncert.Apply(func(x ...float64) (float64, error) {
		rho, err := density(x[1:]...)
		if err != nil {
			return 0, err
		}
		return solutions.BuoyancyFactor(rho, x[0])
	}, append([]uncert.Value{air}, of...)...)
}

// waterBuoyancy is the buoyancy factor of the water.
func (b Bench) waterBuoyancy() (uncert.Value, error) {
	tempC, err := b.Water.buoyancyTempC()
	if err != nil {
		return uncert.Value{}, err
	}
	return buoyancy(func(t ...float64) (float64, error) { return solutions.WaterDensity(t[0]) }, tempC)
}

// stockBuoyancy is the buoyancy factor of a liquid, by the density of a
// solution of its pure salt. The uncertainty of the strength does not matter
// there.
func (b Bench) stockBuoyancy(l Liquid) (uncert.Value, error) {
	tempC, err := b.Water.buoyancyTempC()
	if err != nil {
		return uncert.Value{}, err
	}
	w := l.Pure.Nominal()
	return buoyancy(func(t ...float64) (float64, error) {
		return solutions.SolutionDensity(b.Jar.Salt, w, t[0])
	}, tempC)
}
