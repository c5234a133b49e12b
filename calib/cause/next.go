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
	// leastTelling is the share of the doubt below which a measurement is not
	// listed.
	leastTelling = 0.01
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

// measurements judges what could be measured next, the most telling first, and
// leaves out what tells nothing.
func (p *posterior) measurements() []Measurement {
	list := p.b.plans()
	leaders := p.leading()
	for _, e := range leaders {
		s := p.solve(e)
		for i := range list {
			list[i].predictions = append(list[i].predictions, p.predict(e, s, list[i].shots))
		}
	}
	for i := range list {
		if doubt := entropy(list[i].predictions); doubt > 0 {
			list[i].Bits = min(information(list[i].predictions), doubt)
			list[i].Doubt = list[i].Bits / doubt
		}
	}
	slices.SortStableFunc(list, func(a, b Measurement) int { return cmp.Compare(b.Bits, a.Bits) })
	return slices.DeleteFunc(list, func(m Measurement) bool { return m.Doubt < leastTelling })
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

// next words what to do. Where there is no reference, that is said whatever else
// is: a meter may be known for a fault of its own, and its readings still be off.
func (p *posterior) next(x *Explanation, c *agree.Comparison) string {
	text := p.step(x, c)
	if text == c.Next || c.NoReference == "" {
		return text
	}
	return text + " " + c.NoReference
}

// step is the one thing to do first.
func (p *posterior) step(x *Explanation, c *agree.Comparison) string {
	lead := x.Causes[0]
	advice, ok := best(x.Measurements)
	if p.doubt() < settled || !ok {
		return p.act(lead, c)
	}
	if advice.What == MeasureReference {
		return c.Next
	}
	return fmt.Sprintf("%s: it best tells %s, and is expected to remove %s.", capital(advice.Text), p.apart(advice), doubtRemoved(advice.Doubt))
}

// act is what to do about a cause that is clear, or that no measurement here
// would make clearer.
func (p *posterior) act(lead Entry, c *agree.Comparison) string {
	if lead.Cause == None || lead.Meter == "" && !c.HasRefs {
		return c.Next
	}
	do := capital(lead.do)
	switch {
	case lead.Meter != "":
		do = lead.Meter + ": " + lead.do
	case lead.Sample != "" && lead.With != "":
		do = fmt.Sprintf("Samples %s and %s: %s", lead.Sample, lead.With, lead.do)
	case lead.Sample != "" && (lead.Cause == BadBottle || lead.Cause == BadBuffer):
		do = "Sample " + lead.Sample + ": " + lead.do
	}
	return do + ". Then compare again."
}

// leadingLabels is how many of the leading explanations are looked at in pairs.
const leadingLabels = 4

// apart names the two explanations that a measurement best tells apart.
func (p *posterior) apart(m Measurement) string {
	byLabel := map[label][]prediction{}
	weight := map[label]float64{}
	var labels []label
	for _, q := range m.predictions {
		if weight[q.label] == 0 {
			labels = append(labels, q.label)
		}
		weight[q.label] += q.weight
		byLabel[q.label] = append(byLabel[q.label], q)
	}
	slices.SortStableFunc(labels, func(a, b label) int { return cmp.Compare(weight[b], weight[a]) })
	labels = labels[:min(len(labels), leadingLabels)]
	name := func(l label) string {
		if l.meter < 0 {
			return nouns[l.cause]
		}
		return nouns[l.cause] + " of " + p.b.meters[l.meter]
	}
	text, most := "what is left", 0.0
	for i, a := range labels {
		for _, b := range labels[i+1:] {
			if bits := (weight[a] + weight[b]) * information(slices.Concat(byLabel[a], byLabel[b])); bits > most {
				text, most = name(a)+" from "+name(b), bits
			}
		}
	}
	return text
}

// doubtRemoved words a share of the doubt.
func doubtRemoved(share float64) string {
	const nearlyAll, step = 0.925, 5
	if share > nearlyAll {
		return "nearly all of the doubt"
	}
	return fmt.Sprintf("about %d %% of the doubt", step*int(math.Round(share*100/step)))
}

func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }
