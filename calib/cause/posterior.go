package cause

import (
	"cmp"
	"math"
	"slices"
)

// explained is a variant with the probability of the readings under it.
type explained struct {
	variant
	rows      []row
	equations *equations
	prior     float64   // log prior: of the cause and of the variant in it
	log       []float64 // log of prior times likelihood, for every setting kept
	total     float64   // log of their sum
}

// posterior is every variant that is not out of the question.
type posterior struct {
	b        *bench
	settings []setting
	list     []explained
	total    float64
}

// The search is coarse first. farFrom is the log odds beyond which a variant is
// given up: e^−14 is a millionth; and coarseFarFrom the same where only a few
// settings were tried.
const farFrom, coarseFarFrom = 14.0, 26.0

// infer computes the posterior over variants and settings.
func (b *bench) infer(list []candidate) *posterior {
	p := &posterior{b: b, settings: b.settings()}
	var priors float64
	var found [][]variant
	for _, f := range list {
		v := weigh(f.variants(b))
		if len(v) > 0 {
			priors += f.prior
		}
		found = append(found, v)
	}
	for i, variants := range found {
		for _, v := range variants {
			e := explained{variant: v, prior: math.Log(list[i].prior/priors) + math.Log(v.weight), rows: b.rows(&v)}
			e.equations = b.design(e.rows)
			p.list = append(p.list, e)
		}
	}
	p.screen(p.coarse(), coarseFarFrom)
	p.narrow()
	p.screen(p.settings, farFrom)
	return p
}

// screen evaluates every variant at the settings and drops those far from the
// best.
func (p *posterior) screen(settings []setting, far float64) {
	best := math.Inf(-1)
	for i := range p.list {
		e := &p.list[i]
		e.log = make([]float64, len(settings))
		for j := range settings {
			e.log[j] = e.prior + settings[j].log + e.equations.logLikelihood(p.b, e.rows, &e.variant, &settings[j])
		}
		e.total = logSum(e.log)
		if e.total > best { // not NaN
			best = e.total
		}
	}
	p.list = slices.DeleteFunc(p.list, func(e explained) bool { return math.IsInf(e.total, -1) || !(e.total >= best-far) })
	var totals []float64
	for _, e := range p.list {
		totals = append(totals, e.total)
	}
	p.total = logSum(totals)
}

// coarse is every third noise with the middle of everything else, at usual
// quality: enough to see what is out of the question.
func (p *posterior) coarse() []setting {
	const enough = 6
	if len(p.settings) <= enough {
		return p.settings
	}
	sorted := slices.Clone(p.settings)
	slices.SortStableFunc(sorted, func(a, b setting) int { return cmp.Compare(b.log, a.log) })
	// The most probable setting beforehand for each third noise and factor.
	type key struct{ noise, stated float64 }
	seen := map[key]bool{}
	var firsts []setting
	for _, s := range sorted {
		k := key{s.noise, s.stated}
		if s.quality == 1 && !seen[k] {
			seen[k] = true
			firsts = append(firsts, s)
		}
	}
	slices.SortStableFunc(firsts, func(a, b setting) int {
		return cmp.Or(cmp.Compare(a.noise, b.noise), cmp.Compare(a.stated, b.stated))
	})
	var out []setting
	for i := 1; i < len(firsts); i += 2 {
		out = append(out, firsts[i])
	}
	return append(out, firsts[:1]...)[:max(1, len(out))]
}

// narrow drops the settings that matter to none of the leading variants.
func (p *posterior) narrow() {
	const leaders, matters = 12, 8.0
	slices.SortStableFunc(p.list, func(a, b explained) int { return cmp.Compare(b.total, a.total) })
	keep := make([]bool, len(p.settings))
	seen := map[ID]int{}
	tried := 0
	for i := range p.list {
		e := &p.list[i]
		if seen[e.cause] > 1 || tried >= leaders {
			continue
		}
		seen[e.cause]++
		tried++
		logs := make([]float64, len(p.settings))
		for j := range p.settings {
			logs[j] = p.settings[j].log + e.equations.logLikelihood(p.b, e.rows, &e.variant, &p.settings[j])
		}
		best := slices.Max(logs)
		for j := range logs {
			keep[j] = keep[j] || logs[j] > best-matters
		}
	}
	var kept []setting
	for j, k := range keep {
		if k {
			kept = append(kept, p.settings[j])
		}
	}
	p.settings = kept
}

// solve leaves a variant's equations solved at its most probable setting, and
// returns that.
func (p *posterior) solve(e *explained) *setting {
	best := 0
	for j := range e.log {
		if e.log[j] > e.log[best] {
			best = j
		}
	}
	e.equations.logLikelihood(p.b, e.rows, &e.variant, &p.settings[best])
	return &p.settings[best]
}

// wide is the standard deviation of a sample's true value where no reference
// tells it.
func (e *explained) wide(sample int) float64 {
	for i := range e.rows {
		if e.rows[i].at.sample == sample {
			return e.rows[i].wide
		}
	}
	return 0
}

// probability of a variant, with modelDoubt kept back.
func (p *posterior) probability(e *explained) float64 {
	return (1 - modelDoubt) * math.Exp(e.total-p.total)
}

// logSum is the logarithm of a sum of exponentials.
func logSum(logs []float64) float64 {
	if len(logs) == 0 {
		return math.Inf(-1)
	}
	top := slices.Max(logs)
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for _, l := range logs {
		sum += math.Exp(l - top)
	}
	return top + math.Log(sum)
}
