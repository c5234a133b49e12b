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
	purity      float64 // of the dry matter
	pureShare   float64 // pure salt per g of what lies in the jar
	moisture    float64
	saltFactor  float64 // buoyancy: true mass over reading
	waterFactor float64
	waterGPerML float64
	saltAir     float64 // see relAir
	waterAir    float64
	uGain       float64 // relative
	jugShared   float64 // relative, what all fillings of the jug share
	least       float64 // least mass weighed, as the scale shows it, in g
	stockML     float64 // largest stock
	rules       rules
	route       Route
	tasks       []task
	// cut tells that there was too much to try it all.
	cut bool
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

func (l layout) stocks() int {
	switch {
	case l.first == nil:
		return 0
	case l.second == nil:
		return 1
	}
	return 2
}

// better orders layouts: fewest weighings, then fewest stocks, then the lowest
// uncertainty of the worst bottle, then the least stock.
func (l layout) better(than layout) bool {
	switch {
	case l.weighings != than.weighings:
		return l.weighings < than.weighings
	case l.stocks() != than.stocks():
		return l.stocks() < than.stocks()
	case l.worst != than.worst:
		return l.worst < than.worst
	}
	return l.stockMass() < than.stockMass()
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

// NearlyLowest is how far above the lowest reachable uncertainty a plan may
// lie that saves weighings: less than anyone could notice, as 0.44 % against
// 0.43 %.
const NearlyLowest = 1.03

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
	if l, ok = s.within(NearlyLowest * lowest.worst); ok {
		return l, true
	}
	return lowest, true
}

// within finds the best layout with no bottle above the limit.
func (s *search) within(limit float64) (layout, bool) {
	r := s.newRun(goal{
		limit: limit,
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
	r.noStock()
	if s.route != Direct {
		r.byWeighings(s.singles(r))
		r.byWeighings(s.pairs(r))
	}
	if !r.found {
		return layout{}, false
	}
	return r.shown(), true
}

// lowest finds the layout whose worst bottle has the lowest uncertainty.
func (s *search) lowest() (layout, bool) {
	r := s.newRun(goal{
		limit:  math.Inf(1),
		prefer: func(a, b option) bool { return a.relU < b.relU },
		better: func(a, b layout) bool {
			if a.worst != b.worst {
				return a.worst < b.worst
			}
			return a.better(b)
		},
		canWin: func(atLeast, best layout) bool { return atLeast.worst <= best.worst },
	})
	r.noStock()
	if s.route != Direct {
		r.byUncertainty(s.singles(r))
		r.byUncertainty(s.pairs(r))
	}
	return r.best, r.found
}

// goal is what a run looks for.
type goal struct {
	limit  float64                // no bottle may be above it
	prefer func(a, b option) bool // the better way for one bottle
	better func(a, b layout) bool // the better layout
	// canWin tells whether a layout with at least so many weighings and at
	// least so bad a worst bottle may still be the better one.
	canWin func(atLeast, best layout) bool
}

func (g goal) allowed(o option) bool { return o.relU <= g.limit }

// run is one search and the best layout it has found so far.
type run struct {
	search *search
	goal   goal
	assign assignment
	best   layout
	found  bool
	effort int // layouts tried, times the bottles
}

// mostEffort bounds what is tried with one stock, and again with two: a few
// seconds on a small computer. Twenty bottles need half of it.
const mostEffort = 12_000_000

func (s *search) newRun(g goal) *run {
	return &run{search: s, goal: g, assign: assignment{search: s, goal: g, direct: s.directOptions()}}
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

func (r *run) noStock() {
	if r.search.route != Stock {
		r.try(nil, nil)
	}
}

// try works out the best layout on these stocks and keeps it if it is the best
// of all.
func (r *run) try(first, second *mixture) {
	r.effort += len(r.search.tasks)
	l, ok := r.assign.best(first, second, r.best, r.found)
	if ok && (!r.found || r.goal.better(l, r.best)) {
		r.best, r.found = l.kept(), true
	}
}

// byWeighings tries candidates in the order of the weighings they need at
// least, until none can win any more.
func (r *run) byWeighings(cs []candidate) {
	from, to := math.MaxInt, 0
	kept := cs[:0:0]
	for _, c := range cs {
		if c.bound <= r.goal.limit {
			kept = append(kept, c)
			from, to = min(from, c.least()), max(to, c.most())
		}
	}
	r.effort = 0
	for total := from; total <= to; total++ {
		if r.found && total > r.best.weighings {
			return
		}
		for _, c := range kept {
			if r.effort > mostEffort {
				r.search.cut = true
				return
			}
			if c.least() <= total && total <= c.most() && !(r.found && total == r.best.weighings && c.stocks() > r.best.stocks()) {
				c.at(r, total)
			}
		}
	}
}

// byUncertainty tries candidates in the order of the uncertainty they reach at
// best, until none can win any more.
func (r *run) byUncertainty(cs []candidate) {
	slices.SortStableFunc(cs, func(a, b candidate) int {
		switch {
		case a.bound < b.bound:
			return -1
		case a.bound > b.bound:
			return 1
		}
		return 0
	})
	for _, c := range cs {
		if r.found && c.bound > r.best.worst {
			return
		}
		c.finest(r)
	}
}

// kept is a copy that owns its stocks and options.
func (l layout) kept() layout {
	own := func(m *mixture) *mixture {
		if m == nil {
			return nil
		}
		c := *m
		c.options = nil // they belong to the original
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
