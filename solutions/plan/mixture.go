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

// mixture is a stock as the search sees it.
type mixture struct {
	name  string
	takeG float64 // salt or first stock, as the scale shows it
	fillG float64 // water, as the scale shows it

	massG       float64 // true mass of the whole
	volumeML    float64 // at the bench's temperature
	pure, water float64 // mass fractions
	factor      float64 // buoyancy factor of the liquid
	air         float64 // its relative change for one standard uncertainty of the air's density
	molality    float64
	portions    [2]int // of what is taken, of the water

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

// firstStock is salt takeG in water up to totalG, as the scale shows them; ok
// is false for a stock outside the rules.
func (s *search) firstStock(takeG, totalG float64) (mixture, bool) {
	fillG := totalG - takeG
	if fillG < s.least || takeG < s.least {
		return mixture{}, false
	}
	salt, water := takeG*s.saltFactor, fillG*s.waterFactor
	total := salt + water
	wet := salt * s.moisture
	m := mixture{
		name: stockNames[0], takeG: takeG, fillG: fillG, massG: total,
		pure: salt * s.pureShare / total, water: (water + wet) / total,
		portions: [2]int{s.scale.portions(takeG), s.scale.portions(fillG)},
	}
	m.dPure[inSalt], m.dPure[inFirstWater] = 1-salt/total, -water/total
	m.dWater[inSalt], m.dWater[inFirstWater] = wet/(water+wet)-salt/total, water/(water+wet)-water/total
	m.relU[inSalt] = s.scale.relU(takeG, m.portions[0])
	m.relU[inFirstWater] = s.scale.relU(fillG, m.portions[1])
	m.relAir[inSalt], m.relAir[inFirstWater] = s.saltAir, s.waterAir
	return m, s.finish(&m)
}

// secondStock is takeG of the first stock in water up to totalG.
func (s *search) secondStock(first *mixture, takeG, totalG float64) (mixture, bool) {
	fillG := totalG - takeG
	if fillG < s.least || takeG < s.least || takeG*first.factor > s.rules.share*first.massG {
		return mixture{}, false
	}
	m := first.mixed(takeG*first.factor, fillG*s.waterFactor, inFirstTaken, inSecondWater)
	m.name, m.takeG, m.fillG = stockNames[1], takeG, fillG
	m.portions = [2]int{s.scale.portions(takeG), s.scale.portions(fillG)}
	m.relU[inFirstTaken] = s.scale.relU(takeG, m.portions[0])
	m.relU[inSecondWater] = s.scale.relU(fillG, m.portions[1])
	m.relAir[inFirstTaken], m.relAir[inSecondWater] = first.air, s.waterAir
	return m, s.finish(&m)
}

// mixed is a part of the mixture with water; true masses in g.
func (m *mixture) mixed(taken, water float64, takenInput, waterInput int) mixture {
	total := taken + water
	fromStock := m.water * taken
	share := fromStock / (fromStock + water)
	out := mixture{
		massG: total, pure: m.pure * taken / total, water: (fromStock + water) / total,
		dPure: m.dPure, relU: m.relU, relAir: m.relAir,
	}
	for i, d := range m.dWater {
		out.dWater[i] = share * d
	}
	out.dPure[takenInput], out.dPure[waterInput] = 1-taken/total, -water/total
	out.dWater[takenInput], out.dWater[waterInput] = share-taken/total, 1-share-water/total
	return out
}

// finish completes what follows from the composition and applies the rules.
func (s *search) finish(m *mixture) bool {
	if m.portions[0] > s.rules.portions || m.portions[1] > s.rules.portions {
		return false
	}
	m.molality = 1000 * m.pure / (m.water * s.salt.MolarMass)
	if m.molality > s.rules.stockMolality {
		return false
	}
	rho, err := solutions.SolutionDensity(s.salt, m.pure, s.tempC)
	if err != nil {
		return false
	}
	m.volumeML = 1000 * m.massG / rho
	if m.volumeML > s.stockML {
		return false
	}
	m.factor, err = solutions.BuoyancyFactor(rho, solutions.AirDensity)
	m.air = relAir(rho)
	return err == nil
}

// option is one way to make one bottle.
type option struct {
	from      *mixture // nil: salt weighed directly
	takeG     float64  // salt or stock, as the scale shows it
	fillG     float64  // water, as the scale shows it; 0 with a jug
	fillML    float64  // water by the jug, in mL
	portions  [2]int   // of what is taken, of the water
	relU      float64  // of the bottle's conductivity
	weighings int
}

// direct is the bottle made by weighing its salt.
func (s *search) direct(t task) (option, bool) {
	salt := t.pureG / s.pureShare
	wet := salt * s.moisture
	o := option{takeG: salt / s.saltFactor}
	var d, relU, air [inputs]float64
	water := t.waterG - wet
	d[inSalt] = 1 - wet/t.waterG
	d[inWater] = -water / t.waterG
	o.portions[0] = s.scale.portions(o.takeG)
	relU[inSalt] = s.scale.relU(o.takeG, o.portions[0])
	air[inSalt] = s.saltAir
	return o, s.fill(&o, t, water, d, relU, air)
}

// dilution is the bottle made from a stock; ok is false for a stock too weak
// for it or an amount too small to weigh.
func (s *search) dilution(t task, m *mixture) (option, bool) {
	taken := t.pureG / m.pure
	o := option{from: m, takeG: taken / m.factor}
	water := t.waterG - taken*m.water
	if o.takeG < s.least || water < 0 {
		return option{}, false
	}
	mix := m.mixed(taken, water, inTaken, inWater)
	var d [inputs]float64
	for i := range d {
		d[i] = mix.dPure[i] - mix.dWater[i]
	}
	o.portions[0] = s.scale.portions(o.takeG)
	mix.relU[inTaken] = s.scale.relU(o.takeG, o.portions[0])
	mix.relAir[inTaken] = m.air
	return o, s.fill(&o, t, water, d, mix.relU, mix.relAir)
}

// fill adds the bottle's water and works out the uncertainty. d holds
// d ln(molality) / d ln of each weighing.
func (s *search) fill(o *option, t task, water float64, d, relU, relAir [inputs]float64) bool {
	if s.jug != nil {
		o.fillML = water / s.waterGPerML
		o.portions[1] = s.jug.fillings(o.fillML)
	} else if water > 0 {
		o.fillG = water / s.waterFactor
		o.portions[1] = s.scale.portions(o.fillG)
		relU[inWater] = s.scale.relU(o.fillG, o.portions[1])
		relAir[inWater] = s.waterAir
	}
	o.weighings = o.portions[0] + o.portions[1]
	if o.portions[0] > s.rules.portions || o.portions[1] > s.rules.portions {
		return false
	}
	variance, gain, air := 0.0, 0.0, 0.0
	for i, slope := range d {
		if s.jug != nil && i == inWater {
			variance += slope * slope * s.jugVariance
			continue
		}
		variance += slope * slope * relU[i] * relU[i]
		gain += slope
		air += slope * relAir[i]
	}
	variance += gain*gain*s.uGain*s.uGain + air*air
	o.relU = math.Sqrt(t.slope*t.slope*variance + t.common)
	return true
}

// relAir is the relative change of the buoyancy factor of something of the
// given density, kg/m3, for one standard uncertainty of the air's density.
func relAir(density float64) float64 {
	const air, weights = solutions.AirDensity, solutions.WeightDensity
	return solutions.UAirDensity * (1/(density-air) - 1/(weights-air))
}
