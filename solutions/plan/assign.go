package plan

import "math"

// assignment shares the bottles of a plan out among salt and stocks. Without
// the limit on how much a stock can give, each bottle takes the way it likes
// best; where that asks too much of a stock, the ways are tried in turn.
type assignment struct {
	search *search
	goal   goal
	direct []*option

	ways   [][]option // of each bottle, allowed ones only
	atBest []layout   // weighings and worst that bottles i and up cost at least
	forced []draw     // what bottles i and up take of the stocks at least
	picked []option
}

// dilutions are the bottles made from a stock, worked out once; those that
// cannot be made have no weighings.
func (s *search) dilutions(m *mixture) []option {
	if m.options == nil {
		m.options = make([]option, len(s.tasks))
		for i := range s.tasks {
			m.options[i], _ = s.dilution(i, m)
		}
	}
	return m.options
}

// draw is the mass taken of the first and of the second stock, in g.
type draw [2]float64

func (d draw) plus(e draw) draw { return draw{d[0] + e[0], d[1] + e[1]} }

// drawOf is what a way takes of the stocks.
func (l layout) drawOf(o option) (d draw) {
	switch o.from {
	case nil:
	case l.first:
		d[0] = o.takeG * o.from.factor
	default:
		d[1] = o.takeG * o.from.factor
	}
	return d
}

// within tells that both stocks are enough for what is taken.
func (d draw) within(l layout, share float64) bool {
	return (l.first == nil || d[0] <= share*l.first.massG) && (l.second == nil || d[1] <= share*l.second.massG)
}

// mostTrials bounds the trying in turn: all ways of five bottles, three to a
// bottle. Beyond five bottles a plan that needs one of the later ways may be
// missed; what is found is within the rules all the same.
const mostTrials = 243 * 3 / 2

// best returns the best layout on these stocks that can win against the best so
// far. ok is false where there is none. The layout's options are valid until
// the next call.
func (a *assignment) best(first, second *mixture, sofar layout, found bool) (l layout, ok bool) {
	stocks := layout{first: first, second: second, weighings: first.weighings() + second.weighings()}
	if !a.collect(stocks, sofar, found) {
		return layout{}, false
	}
	var start draw
	if second != nil {
		start[0] = second.takeG * first.factor
	}
	if !start.plus(a.forced[0]).within(stocks, a.search.rules.share) {
		return layout{}, false
	}
	if l, ok := a.favourites(stocks, start); ok {
		return l, true
	}
	t := trial{assignment: a, best: sofar, found: found, budget: mostTrials}
	a.picked = append(a.picked[:0], make([]option, len(a.ways))...)
	t.bottle(stocks, start, 0)
	return t.best, t.ok
}

// and adds what the bottles cost.
func (l layout) and(bottles layout) layout {
	l.weighings += bottles.weighings
	l.worst = math.Max(l.worst, bottles.worst)
	return l
}

// collect lists the ways of each bottle and what they cost at least; false
// where a bottle has none, or as soon as the sum cannot win any more.
func (a *assignment) collect(stocks, sofar layout, found bool) bool {
	n := len(a.search.tasks)
	if a.ways == nil {
		a.ways, a.atBest, a.forced = make([][]option, n), make([]layout, n+1), make([]draw, n+1)
	}
	var fromFirst []option
	if stocks.first != nil {
		fromFirst = a.search.dilutions(stocks.first)
	}
	for i := n - 1; i >= 0; i-- {
		// Each bottle still to come needs one weighing at least.
		if rest := (layout{weighings: i + 1}); found && !a.goal.canWin(stocks.and(rest).and(a.atBest[i+1]), sofar) {
			return false
		}
		ways := a.ways[i][:0]
		if d := a.direct[i]; d != nil && a.goal.allowed(*d) {
			ways = append(ways, *d)
		}
		if fromFirst != nil && fromFirst[i].possible() && a.goal.allowed(fromFirst[i]) {
			ways = append(ways, fromFirst[i])
		}
		if stocks.second != nil {
			if o, can := a.search.dilution(i, stocks.second); can && a.goal.allowed(o) {
				ways = append(ways, o)
			}
		}
		a.ways[i] = ways
		if len(ways) == 0 {
			return false
		}
		least := layout{weighings: math.MaxInt, worst: math.Inf(1)}
		forced := draw{math.Inf(1), math.Inf(1)}
		for _, o := range ways {
			least.weighings, least.worst = min(least.weighings, o.weighings), math.Min(least.worst, o.relU)
			d := stocks.drawOf(o)
			forced = draw{math.Min(forced[0], d[0]), math.Min(forced[1], d[1])}
		}
		a.atBest[i], a.forced[i] = a.atBest[i+1].and(least), a.forced[i+1].plus(forced)
	}
	return !found || a.goal.canWin(stocks.and(a.atBest[0]), sofar)
}

// favourites gives each bottle the way it likes best; ok is false where a
// stock is then not enough or not used.
func (a *assignment) favourites(l layout, taken draw) (layout, bool) {
	a.picked = a.picked[:0]
	for _, ways := range a.ways {
		pick := ways[0]
		for _, o := range ways[1:] {
			if a.goal.prefer(o, pick) {
				pick = o
			}
		}
		a.picked = append(a.picked, pick)
		taken = taken.plus(l.drawOf(pick))
		l = l.and(layout{weighings: pick.weighings, worst: pick.relU})
	}
	l.options = a.picked
	return l, taken.within(l, a.search.rules.share) && used(l, taken)
}

// used tells that no stock was made for nothing.
func used(l layout, taken draw) bool {
	return (l.first == nil || taken[0] > 0) && (l.second == nil || taken[1] > 0)
}

// trial tries the ways of one bottle after the other.
type trial struct {
	*assignment
	best   layout
	found  bool // best holds a layout
	ok     bool // and it is from these stocks
	budget int
}

func (t *trial) bottle(l layout, taken draw, i int) {
	switch t.budget--; {
	case t.budget < 0,
		!taken.plus(t.forced[i]).within(l, t.search.rules.share),
		t.found && !t.goal.canWin(l.and(t.atBest[i]), t.best):
		return
	case i == len(t.ways):
		l.options = t.picked
		if used(l, taken) && (!t.found || t.goal.better(l, t.best)) {
			t.best, t.found, t.ok = l.kept(), true, true
		}
		return
	}
	for _, o := range t.ways[i] {
		t.picked[i] = o
		t.bottle(l.and(layout{weighings: o.weighings, worst: o.relU}), taken.plus(l.drawOf(o)), i+1)
	}
}
