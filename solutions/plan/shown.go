package plan

import "math"

// shown moves the stocks of the best layout to masses that the scale can show,
// as far as that keeps its weighings and the uncertainty asked for: a person
// then weighs what is printed. What a bottle takes follows from its target and
// stays as it is.
func (r *run) shown() layout {
	l := r.best
	if l.first == nil {
		return l
	}
	rounded := &run{search: r.search, goal: r.goal, assign: r.assign}
	for _, first := range r.search.firstNear(l.first) {
		if l.second == nil {
			rounded.try(first, nil)
			continue
		}
		for _, second := range r.search.secondNear(first, l.second) {
			rounded.try(first, second)
		}
	}
	if rounded.found && rounded.best.weighings <= l.weighings {
		return rounded.best
	}
	return l
}

// firstNear are the stocks next to m that the scale can show.
func (s *search) firstNear(m *mixture) []*mixture {
	var out []*mixture
	for _, v := range s.near(m.takeG, m.fillG) {
		salt, water := v.take*s.saltFactor, v.fill*s.waterFactor
		if c, ok := s.strength(salt * s.pureShare / (salt + water)); ok && (salt+water)*1000/c.density <= s.stockML*(1+1e-9) {
			out = append(out, s.firstStock(s.withWays(c), v.take, v.fill))
		}
	}
	return out
}

// secondNear are the second stocks next to m, in strength, that the scale can
// show.
func (s *search) secondNear(first *mixture, m *mixture) []*mixture {
	taken := m.massG * m.pure / first.pure
	var out []*mixture
	for _, v := range s.near(taken/first.factor, (m.massG-taken)/s.waterFactor) {
		taken, water := v.take*first.factor, v.fill*s.waterFactor
		c, ok := s.strength(first.pure * taken / (taken + water))
		if ok && taken <= s.rules.share*first.massG && (taken+water)*1000/c.density <= s.stockML*(1+1e-9) {
			out = append(out, s.secondStock(first, s.withWays(c), v.take, v.fill))
		}
	}
	return out
}

// near are the masses next to take and fill that the scale can show, in no
// more portions: the same fill, or one that keeps the strength.
func (s *search) near(take, fill float64) []perGram {
	step := s.scale.StepG
	portions := float64(s.scale.portions(fill))
	grid := func(x, step float64, round func(float64) float64) float64 { return roundTo(round(x/step)*step, 12) }
	down := func(x float64) float64 { return math.Floor(x + 1e-6) }
	up := func(x float64) float64 { return math.Ceil(x - 1e-6) }
	var out []perGram
	for _, round := range []func(float64) float64{down, up} {
		t := grid(take, step, round)
		for _, f := range []float64{
			grid(fill, portions*step, down), grid(fill*t/take, portions*step, down),
			grid(fill*t/take, step, down), grid(fill*t/take, step, up),
		} {
			if t >= s.least*(1-1e-9) && f >= s.least*(1-1e-9) &&
				s.scale.portions(t) <= s.scale.portions(take) && s.scale.portions(f) <= s.scale.portions(fill) {
				out = append(out, perGram{t, f})
			}
		}
	}
	return out
}
