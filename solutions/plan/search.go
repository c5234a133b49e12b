package plan

import (
	"math"
	"slices"

	"github.com/brinemark/brinemark/solutions"
)

// search holds what every candidate needs, as plain numbers.
type search struct {
	salt        solutions.Salt
	scale       Scale
	jug         *Jug
	tempC       float64
	pureShare   float64 // pure salt per g of what lies in the jar
	moisture    float64
	saltFactor  float64 // buoyancy: true mass over reading
	waterFactor float64
	waterGPerML float64
	saltAir     float64 // see relAir
	waterAir    float64
	uGain       float64 // relative
	jugVariance float64 // relative, of a mass of water measured by the jug
	least       float64 // least mass weighed, as the scale shows it, in g
	stockML     float64 // largest stock
	rules       rules
	route       Route
	tasks       []task
}

// task is one bottle to be made.
type task struct {
	pureG, waterG float64 // true masses of pure salt and of water in it
	slope         float64 // d ln(conductivity) / d ln(molality)
	// common is the relative variance of the conductivity from everything
	// but weighings, gain and jug.
	common float64
}

// layout is a complete plan: the stocks and the way each bottle is made.
type layout struct {
	first, second *mixture
	options       []option
	weighings     int
	worst         float64 // largest relative standard uncertainty of a bottle
}

// better orders layouts: fewest weighings, then the lowest uncertainty of the
// worst bottle, then the least stock, then the least salt.
func (l layout) better(than layout) bool {
	if l.weighings != than.weighings {
		return l.weighings < than.weighings
	}
	if l.worst != than.worst {
		return l.worst < than.worst
	}
	a, b := l.stockMass(), than.stockMass()
	if a != b {
		return a < b
	}
	return l.first != nil && than.first != nil && l.first.takeG < than.first.takeG
}

func (l layout) stockMass() float64 {
	total := 0.0
	for _, m := range []*mixture{l.first, l.second} {
		if m != nil {
			total += m.massG
		}
	}
	return total
}

// nearlyLowest is how far above the lowest reachable uncertainty a plan may
// lie that saves weighings: less than anyone could notice, as 0.44 % against
// 0.43 %.
const nearlyLowest = 1.03

// best returns the layout with the fewest weighings whose bottles all stay
// within maxU. Where there is none, it returns the one with the fewest
// weighings among those within 3 % of the lowest reachable worst bottle. ok is
// false where no layout exists at all.
func (s *search) best(maxU float64) (l layout, ok bool) {
	if l, ok = s.within(maxU); ok {
		return l, true
	}
	lowest, ok := s.lowest()
	if !ok {
		return layout{}, false
	}
	if l, ok = s.within(nearlyLowest * lowest.worst); ok {
		return l, true
	}
	return lowest, true
}

// within finds the best layout with no bottle above the limit.
func (s *search) within(limit float64) (layout, bool) {
	return s.run(goal{
		allowed: func(o option) bool { return o.relU <= limit },
		prefer: func(a, b option) bool {
			if a.weighings != b.weighings {
				return a.weighings < b.weighings
			}
			return a.relU < b.relU
		},
		better: layout.better,
		canWin: func(atLeast, best layout) bool {
			return atLeast.weighings < best.weighings || atLeast.weighings == best.weighings && atLeast.worst <= best.worst
		},
	})
}

// lowest finds the layout whose worst bottle has the lowest uncertainty.
func (s *search) lowest() (layout, bool) {
	return s.run(goal{
		allowed: func(option) bool { return true },
		prefer:  func(a, b option) bool { return a.relU < b.relU },
		better: func(a, b layout) bool {
			if a.worst != b.worst {
				return a.worst < b.worst
			}
			return a.better(b)
		},
		canWin: func(atLeast, best layout) bool { return atLeast.worst <= best.worst },
	})
}

// goal is what a run looks for.
type goal struct {
	allowed func(option) bool      // whether a bottle may be made so
	prefer  func(a, b option) bool // the better way for one bottle
	better  func(a, b layout) bool // the better layout
	// canWin tells whether a layout with at least so many weighings and at
	// least so bad a worst bottle may still be the better one.
	canWin func(atLeast, best layout) bool
}

// run tries every layout within the rules.
func (s *search) run(g goal) (best layout, found bool) {
	a := assignment{search: s, goal: g, direct: s.directOptions()}
	try := func(first, second *mixture) {
		l, ok := a.best(first, second, best, found)
		if ok && (!found || g.better(l, best)) {
			best, found = l.kept(), true
		}
	}
	if s.route != Stock {
		try(nil, nil)
	}
	if s.route == Direct {
		return best, found
	}
	masses := s.masses()
	for _, total := range masses {
		for _, salt := range masses {
			first, ok := s.firstStock(salt, total)
			if !ok {
				continue
			}
			try(&first, nil)
			if least := (layout{weighings: first.weighings() + 2 + len(s.tasks)}); found && !g.canWin(least, best) {
				continue // a second stock takes two weighings more
			}
			for _, taken := range masses {
				for _, total := range masses {
					if second, ok := s.secondStock(&first, taken, total); ok {
						try(&first, &second)
					}
				}
			}
		}
	}
	return best, found
}

// kept is a copy that owns its stocks and options.
func (l layout) kept() layout {
	own := func(m *mixture) *mixture {
		if m == nil {
			return nil
		}
		c := *m
		return &c
	}
	out := l
	out.first, out.second = own(l.first), own(l.second)
	out.options = slices.Clone(l.options)
	for i := range out.options {
		switch out.options[i].from {
		case nil:
		case l.first:
			out.options[i].from = out.first
		default:
			out.options[i].from = out.second
		}
	}
	return out
}

// masses are the round masses from the least weighed to the largest stock.
func (s *search) masses() []float64 {
	var out []float64
	most := 1.5 * s.stockML // no stock within the rules is denser
	for decade := math.Floor(math.Log10(s.least)); decade <= math.Log10(most); decade++ {
		for _, digit := range s.rules.masses {
			// Rounded so that 1.2 times 0.1 is 0.12, as it would be typed.
			m := roundTo(digit*math.Pow(10, decade), 6)
			if m >= s.least && m <= most {
				out = append(out, m)
			}
		}
	}
	return out
}

// directOptions are the bottles made directly; nil where the route or the scale
// forbids it. Less than one step of the scale cannot be weighed at all.
func (s *search) directOptions() []*option {
	out := make([]*option, len(s.tasks))
	for i, t := range s.tasks {
		if s.route == Stock {
			continue
		}
		if o, ok := s.direct(t); ok && o.takeG >= s.scale.StepG {
			out[i] = &o
		}
	}
	return out
}

// dilutions are the bottles made from a stock; nil where it cannot be.
func (s *search) dilutions(m *mixture) []*option {
	out := make([]*option, len(s.tasks))
	for i, t := range s.tasks {
		if m == nil {
			continue
		}
		if o, ok := s.dilution(t, m); ok {
			out[i] = &o
		}
	}
	return out
}
