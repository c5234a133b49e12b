package plan

import (
	"math"
	"slices"
)

// Spacing of the strengths that are tried, as a ratio of neighbours. A weaker
// stock needs less salt and is taken in larger amounts; between the two the
// uncertainty has a flat bottom: half a spacing beside the best strength costs
// the square of twice that ratio, less than a thousandth of the uncertainty.
const (
	fineSpacing   = 1.005 // where there is one stock
	coarseSpacing = 1.03  // for each of two
)

// strengths lists those that a stock of these bottles may have: close together
// from the weakest bottle's to the strongest within the rules, and exactly
// where one portion more begins in a bottle.
func (s *search) strengths(spacing float64, exact []float64) []strength {
	weakest := math.Inf(1)
	for _, t := range s.tasks {
		weakest = min(weakest, t.pureG/(t.waterG+t.pureG/s.purity))
	}
	m := s.rules.stockMolality * s.salt.MolarMass / 1000
	strongest := m / (1 + m/s.purity)
	if !(weakest < strongest) {
		return nil
	}
	n := max(1, int(math.Ceil(math.Log(strongest/weakest)/math.Log(spacing))))
	pures := slices.Clone(exact)
	for i := range n + 1 {
		pures = append(pures, weakest*math.Pow(strongest/weakest, float64(i)/float64(n)))
	}
	slices.Sort(pures)
	var out []strength
	for _, pure := range pures {
		if len(out) > 0 && pure <= out[len(out)-1].pure*(1+1e-12) {
			continue
		}
		if c, ok := s.strength(pure); ok && pure >= weakest*(1-1e-12) {
			out = append(out, s.withWays(c))
		}
	}
	return out
}

// boundaries are the strengths at which a bottle's water, or what it takes of
// the stock, just fills its portions.
func (s *search) boundaries() []float64 {
	room := s.scale.room()
	fillG := room * s.waterFactor
	if s.jug != nil {
		fillG = s.jug.SizeML * s.waterGPerML
	}
	var out []float64
	for _, t := range s.tasks {
		inStock := t.waterG + t.pureG/s.purity // of the stock, if it filled the bottle alone
		for k := 0.0; k <= float64(s.rules.portions) && k*fillG < t.waterG; k++ {
			out = append(out, t.pureG/(inStock-k*fillG))
		}
		for k := 1.0; k <= float64(s.rules.portions) && k*room < inStock; k++ {
			// The buoyancy factor depends on the strength a little.
			pure, factor := 0.0, s.waterFactor
			for range 5 {
				pure = t.pureG / (k * room * factor)
				c, ok := s.strength(pure)
				if !ok {
					break
				}
				factor = c.factor
			}
			out = append(out, pure)
		}
	}
	slices.Sort(out)
	return out
}

// drained are the strengths at which all bottles together take just as much as
// a stock may give, for each number of full portions of its water.
func (s *search) drained() []float64 {
	pure := 0.0
	for _, t := range s.tasks {
		pure += t.pureG
	}
	var out []float64
	for k := 1.0; k <= float64(s.rules.portions); k++ {
		waterG := k * s.scale.room() * s.waterFactor
		// pure / x = share · mass of the stock, of which 1 − x/pureShare is water
		x := pure / (s.rules.share*waterG + pure/s.pureShare)
		out = append(out, x)
	}
	return out
}
