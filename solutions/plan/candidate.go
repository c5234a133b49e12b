package plan

import (
	"math"
	"slices"
)

// A stock of one strength can be small or large. Within the same weighings the
// larger is the better in every respect, so only the largest for each number
// of weighings is tried: that whose portions of water, or of what is dissolved
// in it, are full, or that fills its bottle.

// perGram is what the scale shows for 1 g of a stock, true mass.
type perGram struct{ take, fill float64 }

// largest is the mass of the largest stock in n weighings, up to most grams; 0
// where there is none.
func (s *search) largest(p perGram, most float64, n int) float64 {
	room, massG := s.scale.room(), 0.0
	for k := max(1, n-s.rules.portions); k < n && k <= s.rules.portions; k++ {
		massG = max(massG, min(most, float64(k)*room/p.take, float64(n-k)*room/p.fill))
	}
	if massG*p.take < s.least*(1-1e-9) || massG*p.fill < s.least*(1-1e-9) {
		return 0
	}
	return massG
}

// mostWeighings is how many weighings a stock can have.
func (s *search) mostWeighings() int { return 2 * s.rules.portions }

// firstStocks are the first stocks of one strength.
type firstStocks struct {
	strength
	sizes  []*mixture // with 2, 3, … weighings; nil where one more is no larger
	finest *mixture   // the one whose weighings are known best
	relU   []float64  // of each bottle from the finest; +Inf where it cannot be made
}

// firstStocks makes all first stocks of one strength; nil where there is none.
func (s *search) firstStocks(c strength) *firstStocks {
	p := perGram{c.pure / s.pureShare / s.saltFactor, (1 - c.pure/s.pureShare) / s.waterFactor}
	most := s.stockML * c.density / 1000
	out := &firstStocks{strength: c}
	last, lowest := 0.0, math.Inf(1)
	for n := 2; n <= s.mostWeighings() && last < most; n++ {
		massG := s.largest(p, most, n)
		if massG <= last*(1+1e-9) {
			out.sizes = append(out.sizes, nil)
			continue
		}
		last = massG
		m := s.firstStock(c, p.take*massG, p.fill*massG)
		out.sizes = append(out.sizes, m)
		if u := math.Hypot(m.relU[inSalt], m.relU[inFirstWater]); u < lowest {
			out.finest, lowest = m, u
		}
	}
	if out.finest == nil {
		return nil
	}
	for i := range s.tasks {
		out.relU = append(out.relU, s.uFrom(i, out.finest))
	}
	return out
}

func (s *search) uFrom(i int, m *mixture) float64 {
	if o, ok := s.dilution(i, m); ok {
		return o.relU
	}
	return math.Inf(1)
}

// secondFrom makes the second stock of one strength that has n weighings and
// leaves so many grams of the first; nil where there is none.
func (s *search) secondFrom(first *mixture, c strength, leaveG float64, n int) *mixture {
	p, most := s.ofFirst(first, c, leaveG)
	massG := s.largest(p, most, n)
	if massG == 0 || n > 2 && massG <= s.largest(p, most, n-1)*(1+1e-9) {
		return nil
	}
	return s.secondStock(first, c, p.take*massG, p.fill*massG)
}

func (s *search) ofFirst(first *mixture, c strength, leaveG float64) (p perGram, most float64) {
	taken := c.pure / first.pure
	return perGram{taken / first.factor, (1 - taken) / s.waterFactor},
		min(s.stockML*c.density/1000, (s.rules.share*first.massG-leaveG)/taken)
}

// finestFrom makes the second stock whose weighings are known best.
func (s *search) finestFrom(first *mixture, c strength) *mixture {
	p, most := s.ofFirst(first, c, 0)
	best, last, lowest := 0.0, 0.0, math.Inf(1)
	for n := 2; n <= s.mostWeighings() && last < most; n++ {
		massG := s.largest(p, most, n)
		if massG <= last*(1+1e-9) {
			if massG == 0 {
				continue
			}
			break
		}
		last = massG
		take, fill := p.take*massG, p.fill*massG
		if u := math.Hypot(s.scale.relU(take, s.scale.portions(take)), s.scale.relU(fill, s.scale.portions(fill))); u < lowest {
			best, lowest = massG, u
		}
	}
	if best == 0 {
		return nil
	}
	return s.secondStock(first, c, p.take*best, p.fill*best)
}

// candidate is the strength of one stock, or the strengths of two, with what
// can be said before it is tried.
type candidate struct {
	search  *search
	first   *firstStocks
	second  *strength // nil: one stock
	bottles int       // weighings of all bottles at least
	bound   float64   // uncertainty of the worst bottle at least
}

func (c candidate) stocks() int {
	if c.second == nil {
		return 1
	}
	return 2
}

// least and most are the weighings of such a layout.
func (c candidate) least() int { return c.bottles + 2*c.stocks() }
func (c candidate) most() int {
	n := c.bottles + len(c.first.sizes) + 1
	if c.second != nil {
		n += c.search.mostWeighings()
	}
	return n
}

// at tries the layouts that have so many weighings if each bottle is made with
// as few as it can be.
func (c candidate) at(r *run, total int) {
	for i, m := range c.first.sizes {
		switch n := total - c.bottles - (i + 2); {
		case m == nil:
		case c.second == nil && n == 0:
			r.try(m, nil)
		case c.second != nil && n >= 2 && n <= c.search.mostWeighings():
			c.pair(r, m, n)
		}
	}
}

// pair tries a second stock of n weighings: as large as the first allows, and
// smaller if bottles need the first as well.
func (c candidate) pair(r *run, first *mixture, n int) {
	s := c.search
	second := s.secondFrom(first, *c.second, 0, n)
	if second == nil {
		return
	}
	r.try(first, second)
	if left := s.rules.share*first.massG - second.takeG*first.factor; left < c.wanted(r) {
		if second = s.secondFrom(first, *c.second, c.wanted(r), n); second != nil {
			r.try(first, second)
		}
	}
}

// wanted is what bottles take of the first stock that need fewer weighings, or
// less of an error, from there.
func (c candidate) wanted(r *run) float64 {
	sum := 0.0
	for i, w := range c.first.ways {
		v := c.second.ways[i]
		if d := r.assign.direct[i]; w.possible() && (d == nil || !r.goal.allowed(*d) || d.weighings > w.weighings) &&
			(!v.possible() || v.weighings > w.weighings) {
			sum += w.takeG * c.first.factor
		}
	}
	return sum
}

// finest tries the layout whose stocks are known best.
func (c candidate) finest(r *run) {
	if c.second == nil {
		r.try(c.first.finest, nil)
		return
	}
	if second := c.search.finestFrom(c.first.finest, *c.second); second != nil {
		r.try(c.first.finest, second)
	}
}

// singles are the candidates with one stock.
func (s *search) singles(r *run) []candidate {
	var out []candidate
	for _, c := range s.strengths(fineSpacing, append(s.boundaries(), s.drained()...)) {
		f := s.firstStocks(c)
		if f == nil {
			continue
		}
		one := candidate{search: s, first: f}
		if one.complete(r, nil) {
			out = append(out, one)
		}
	}
	return out
}

// mostPairs bounds the pairs of stocks that are worked out, times the bottles:
// about a second on a small computer.
const mostPairs = 4_000_000

// pairs are the candidates with two stocks that can still win.
func (s *search) pairs(r *run) []candidate {
	exact := s.boundaries()
	cs := s.strengths(coarseSpacing, exact)
	if n := len(cs) * len(cs) / 2 * len(s.tasks); n > mostPairs {
		s.cut = true
		cs = s.strengths(coarseSpacing, thinned(exact, len(exact)*mostPairs/n))
	}
	var firsts []*firstStocks
	for _, c := range cs {
		if f := s.firstStocks(c); f != nil {
			firsts = append(firsts, f)
		}
	}
	var out []candidate
	for _, f := range firsts {
		for i := range cs {
			if cs[i].pure >= f.pure {
				break
			}
			two := candidate{search: s, first: f, second: &cs[i]}
			if !two.complete(r, nil) {
				continue
			}
			second := s.finestFrom(f.finest, cs[i])
			if second == nil {
				continue
			}
			if two.complete(r, func(i int) float64 { return s.uFrom(i, second) }) {
				out = append(out, two)
			}
		}
	}
	return out
}

// thinned keeps at most n of the values, evenly.
func thinned(xs []float64, n int) []float64 {
	var out []float64
	for i := range n {
		out = append(out, xs[i*len(xs)/n])
	}
	return slices.Compact(out)
}

// complete works out what the bottles need at least: each is made in a way that
// the finest stocks of these strengths bring within the limit. It is false
// where that is not enough for a bottle, or the candidate cannot win.
// fromSecond is the uncertainty of a bottle from the finest second stock; nil
// leaves it open.
func (c *candidate) complete(r *run, fromSecond func(i int) float64) bool {
	c.bottles, c.bound = 0, 0
	for i := range c.search.tasks {
		least, u := math.MaxInt, math.Inf(1)
		way := func(weighings int, relU float64) {
			if weighings > 0 && relU <= r.goal.limit {
				least, u = min(least, weighings), min(u, relU)
			}
		}
		if d := r.assign.direct[i]; d != nil {
			way(d.weighings, d.relU)
		}
		way(c.first.ways[i].weighings, c.first.relU[i])
		if c.second != nil {
			relU := 0.0
			if w := c.second.ways[i].weighings; fromSecond != nil && w > 0 {
				relU = fromSecond(i)
			}
			way(c.second.ways[i].weighings, relU)
		}
		if least == math.MaxInt {
			return false
		}
		c.bottles += least
		c.bound = max(c.bound, u)
	}
	return !r.found || r.goal.canWin(layout{weighings: c.least(), worst: c.bound}, r.best)
}
