package plan

import (
	"math"

	"github.com/brinemark/brinemark/solutions"
)

// The search tries some hundred thousand stocks, so it does not carry named
// sources. It keeps, for every liquid, the derivatives of ln(pure) and
// ln(water) with respect to the logarithm of each weighing behind it, and adds
// what does not depend on the weighings as one variance. A test checks that
// this gives the same uncertainty as the full arithmetic.

// The weighings that a bottle can have behind it, in order.
const (
	inSalt        = iota // salt of the first stock, or of the bottle
	inFirstWater         // water of the first stock
	inFirstTaken         // first stock in the second
	inSecondWater        // water of the second stock
	inTaken              // stock in the bottle
	inWater              // water of the bottle
	inputs
)

// strength is what a stock is made of, whatever its mass.
type strength struct {
	pure, water float64 // mass fractions
	density     float64 // kg/m3 at the bench's temperature
	factor      float64 // buoyancy factor of the liquid
	air         float64 // its relative change for one standard uncertainty of the air's density
	ways        []way   // what each bottle takes of it
}

// way is what goes into one bottle from one stock, or of salt.
type way struct {
	takeG     float64 // salt or stock, as the scale shows it
	fillG     float64 // water, as the scale shows it; 0 with a jug
	fillML    float64 // water by the jug, in mL
	portions  [2]int  // of what is taken, of the water
	weighings int     // 0: it cannot be done
}

func (w way) possible() bool { return w.weighings > 0 }

// strength is the liquid with this mass fraction of pure salt; ok is false
// above the strongest stock within the rules.
func (s *search) strength(pure float64) (c strength, ok bool) {
	c = strength{pure: pure, water: 1 - pure/s.purity}
	if !(pure > 0 && c.water > 0) || 1000*pure/(c.water*s.salt.MolarMass) > s.rules.stockMolality*(1+1e-9) {
		return c, false
	}
	var err error
	if c.density, err = solutions.SolutionDensity(s.salt, pure, s.tempC); err != nil {
		return c, false
	}
	c.factor, err = solutions.BuoyancyFactor(c.density, solutions.AirDensity)
	c.air = relAir(c.density)
	return c, err == nil
}

// withWays adds what each bottle takes of the liquid.
func (s *search) withWays(c strength) strength {
	c.ways = make([]way, len(s.tasks))
	for i, t := range s.tasks {
		taken := t.pureG / c.pure
		c.ways[i] = s.way(taken/c.factor, t.waterG-taken*c.water, s.least, t)
	}
	return c
}

// way portions what is taken, in g as the scale shows it, and the water, in g.
func (s *search) way(takeG, waterG, leastG float64, t task) way {
	w := way{takeG: takeG}
	if takeG < leastG*(1-1e-9) || waterG < -1e-9*t.waterG {
		return w
	}
	w.portions[0] = s.scale.portions(takeG)
	switch {
	case waterG <= 1e-9*t.waterG: // the stock as it is; not where the water is to be poured
		if s.jug != nil {
			return w
		}
	case s.jug != nil:
		w.fillML = waterG / s.waterGPerML
		w.portions[1] = s.jug.fillings(w.fillML)
	default:
		w.fillG = waterG / s.waterFactor
		w.portions[1] = s.scale.portions(w.fillG)
	}
	if max(w.portions[0], w.portions[1]) <= s.rules.portions {
		w.weighings = w.portions[0] + w.portions[1]
	}
	return w
}

// mixture is a stock as the search sees it.
type mixture struct {
	strength
	name     string
	takeG    float64  // salt or first stock, as the scale shows it
	fillG    float64  // water, as the scale shows it
	massG    float64  // true mass of the whole
	portions [2]int   // of what is taken, of the water
	options  []option // see dilutions; nil until they are asked for

	dPure, dWater [inputs]float64 // d ln / d ln of each weighing
	relU          [inputs]float64 // of each weighing
	relAir        [inputs]float64 // of each buoyancy factor, all from one air
}

func (m *mixture) weighings() int {
	if m == nil {
		return 0
	}
	return m.portions[0] + m.portions[1]
}

// firstStock is salt takeG in water fillG, as the scale shows them, which make
// a liquid of strength c.
func (s *search) firstStock(c strength, takeG, fillG float64) *mixture {
	salt, water := takeG*s.saltFactor, fillG*s.waterFactor
	total := salt + water
	wet := salt * s.moisture
	m := &mixture{strength: c, name: stockNames[0], takeG: takeG, fillG: fillG, massG: total}
	m.portions = [2]int{s.scale.portions(takeG), s.scale.portions(fillG)}
	m.dPure[inSalt], m.dPure[inFirstWater] = 1-salt/total, -water/total
	m.dWater[inSalt], m.dWater[inFirstWater] = wet/(water+wet)-salt/total, water/(water+wet)-water/total
	m.relU[inSalt] = s.scale.relU(takeG, m.portions[0])
	m.relU[inFirstWater] = s.scale.relU(fillG, m.portions[1])
	m.relAir[inSalt], m.relAir[inFirstWater] = s.saltAir, s.waterAir
	return m
}

// secondStock is takeG of the first stock in water fillG, which make a liquid
// of strength c.
func (s *search) secondStock(first *mixture, c strength, takeG, fillG float64) *mixture {
	taken, water := takeG*first.factor, fillG*s.waterFactor
	m := &mixture{strength: c, name: stockNames[1], takeG: takeG, fillG: fillG, massG: taken + water}
	m.dPure, m.dWater = first.diluted(taken, water, inFirstTaken, inSecondWater)
	m.portions = [2]int{s.scale.portions(takeG), s.scale.portions(fillG)}
	m.relU, m.relAir = first.relU, first.relAir
	m.relU[inFirstTaken] = s.scale.relU(takeG, m.portions[0])
	m.relU[inSecondWater] = s.scale.relU(fillG, m.portions[1])
	m.relAir[inFirstTaken], m.relAir[inSecondWater] = first.air, s.waterAir
	return m
}

// diluted gives the derivatives for a part of the mixture with water; true
// masses in g.
func (m *mixture) diluted(taken, water float64, takenInput, waterInput int) (dPure, dWater [inputs]float64) {
	total := taken + water
	fromStock := m.water * taken
	share := fromStock / (fromStock + water)
	dPure = m.dPure
	for i, d := range m.dWater {
		dWater[i] = share * d
	}
	dPure[takenInput], dPure[waterInput] = 1-taken/total, -water/total
	dWater[takenInput], dWater[waterInput] = share-taken/total, 1-share-water/total
	return dPure, dWater
}

// option is one way to make one bottle, with the bottle's uncertainty.
type option struct {
	way
	from *mixture // nil: salt weighed directly
	relU float64  // of the bottle's conductivity
}

// direct is the bottle made by weighing its salt; ok is false where no
// portioning does it.
func (s *search) direct(t task) (o option, ok bool) {
	salt := t.pureG / s.pureShare
	wet := salt * s.moisture
	water := t.waterG - wet
	o.way = s.way(salt/s.saltFactor, water, 0, t)
	if !o.possible() {
		return o, false
	}
	var d, relU, air [inputs]float64
	d[inSalt], d[inWater] = 1-wet/t.waterG, -water/t.waterG
	relU[inSalt] = s.scale.relU(o.takeG, o.portions[0])
	air[inSalt] = s.saltAir
	o.relU = s.bottleU(t, o.way, &d, &relU, &air)
	return o, true
}

// dilution is bottle i made from a stock; ok is false for a stock too weak for
// it or an amount too small to weigh.
func (s *search) dilution(i int, m *mixture) (o option, ok bool) {
	if o.way = m.ways[i]; !o.possible() {
		return o, false
	}
	t := s.tasks[i]
	taken := t.pureG / m.pure
	dPure, dWater := m.diluted(taken, max(0, t.waterG-taken*m.water), inTaken, inWater)
	relU, air := m.relU, m.relAir
	for i := range dPure {
		dPure[i] -= dWater[i] // of the molality
	}
	relU[inTaken] = s.scale.relU(o.takeG, o.portions[0])
	air[inTaken] = m.air
	o.from = m
	o.relU = s.bottleU(t, o.way, &dPure, &relU, &air)
	return o, true
}

// bottleU adds the bottle's water and works out the uncertainty. d holds
// d ln(molality) / d ln of each weighing.
func (s *search) bottleU(t task, w way, d, relU, relAir *[inputs]float64) float64 {
	variance, gain, air := 0.0, 0.0, 0.0
	if w.fillG > 0 {
		relU[inWater] = s.scale.relU(w.fillG, w.portions[1])
		relAir[inWater] = s.waterAir
	}
	for i, slope := range d {
		if s.jug != nil && i == inWater {
			continue
		}
		variance += slope * slope * relU[i] * relU[i]
		gain += slope
		air += slope * relAir[i]
	}
	if w.fillML > 0 {
		u := s.jug.relU(w.fillML, w.portions[1])
		variance += d[inWater] * d[inWater] * (u*u + s.jugShared*s.jugShared)
	}
	variance += gain*gain*s.uGain*s.uGain + air*air
	return math.Sqrt(t.slope*t.slope*variance + t.common)
}

// relAir is the relative change of the buoyancy factor of something of the
// given density, kg/m3, for one standard uncertainty of the air's density.
func relAir(density float64) float64 {
	const air, weights = solutions.AirDensity, solutions.WeightDensity
	return solutions.UAirDensity * (1/(density-air) - 1/(weights-air))
}
