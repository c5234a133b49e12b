package cause

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/agree"
)

const (
	// mostPredictions and enough bound how many variants a measurement is
	// judged by: the most probable ones, up to this share of the probability.
	mostPredictions = 60
	enough          = 0.995
	// settled is the doubt, in bits, below which nothing more needs to be
	// measured to name the cause: about 97 % for one.
	settled = 0.25
	// worthwhile is the share of the doubt that a measurement must remove to be
	// advised.
	worthwhile = 0.1
	// asGood is the share of the best information for which less trouble is
	// preferred.
	asGood = 0.9
)

// leading are the variants that hold nearly all of the probability.
func (p *posterior) leading() []*explained {
	var out []*explained
	for i := range p.list {
		out = append(out, &p.list[i])
	}
	slices.SortStableFunc(out, func(a, b *explained) int { return cmp.Compare(b.total, a.total) })
	sum := 0.0
	for i, e := range out {
		sum += p.probability(e)
		if i+1 == mostPredictions || sum >= enough*(1-modelDoubt) {
			return out[:i+1]
		}
	}
	return out
}

// measurements judges what could be measured next, the most telling first.
func (p *posterior) measurements() []Measurement {
	list := p.b.plans()
	leaders := p.leading()
	predictions := make([][]prediction, len(list))
	for _, e := range leaders {
		s := p.solve(e)
		for i := range list {
			predictions[i] = append(predictions[i], p.predict(e, s, list[i].shots))
		}
	}
	for i := range list {
		if doubt := entropy(predictions[i]); doubt > 0 {
			list[i].Bits = min(information(predictions[i]), doubt)
			list[i].Doubt = list[i].Bits / doubt
		}
	}
	slices.SortStableFunc(list, func(a, b Measurement) int { return cmp.Compare(b.Bits, a.Bits) })
	return list
}

// doubt is how open the cause is, in bits.
func (p *posterior) doubt() float64 {
	var list []prediction
	for _, e := range p.leading() {
		list = append(list, prediction{label: label{e.cause, e.who.meter}, weight: p.probability(e)})
	}
	return entropy(list)
}

// trouble orders measurements by effort.
func trouble(what string) int {
	return slices.Index([]string{MeasureAgain, MeasureColdAndWarm, MeasureAir, MeasureWeaker, MeasureStronger, MeasureFresh, MeasureReference}, what)
}

// best is the measurement to advise: of those nearly as telling as the most
// telling one, the least trouble.
func best(list []Measurement) (Measurement, bool) {
	if len(list) == 0 || list[0].Doubt < worthwhile {
		return Measurement{}, false
	}
	out := list[0]
	for _, m := range list {
		if m.Bits >= asGood*list[0].Bits && trouble(m.What) < trouble(out.What) {
			out = m
		}
	}
	return out, true
}

// next words what to do.
func (p *posterior) next(x *Explanation, c *agree.Comparison) string {
	lead := x.Causes[0]
	advice, ok := best(x.Measurements)
	if p.doubt() < settled || !ok {
		return p.act(lead, c)
	}
	if advice.What == MeasureReference {
		return c.Next
	}
	return fmt.Sprintf("%s: it best tells %s, and is expected to remove about %d %% of the doubt.",
		capital(advice.Text), p.apart(), int(math.Round(advice.Doubt*100/5)*5))
}

// act is what to do about a cause that is clear, or that no measurement here
// would make clearer.
func (p *posterior) act(lead Entry, c *agree.Comparison) string {
	if lead.Cause == None || lead.Meter == "" && !c.HasRefs {
		return c.Next
	}
	return fmt.Sprintf("%s. Then compare again.", capital(lead.do))
}

// apart names the two leading explanations.
func (p *posterior) apart() string {
	weight := map[label]float64{}
	var labels []label
	for _, e := range p.leading() {
		l := label{e.cause, e.who.meter}
		if weight[l] == 0 {
			labels = append(labels, l)
		}
		weight[l] += p.probability(e)
	}
	slices.SortStableFunc(labels, func(a, b label) int { return cmp.Compare(weight[b], weight[a]) })
	name := func(l label) string {
		if l.meter < 0 {
			return nouns[l.cause]
		}
		return nouns[l.cause] + " of " + p.b.meters[l.meter]
	}
	if len(labels) < 2 {
		return "what is left"
	}
	return name(labels[0]) + " from " + name(labels[1])
}

func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }
