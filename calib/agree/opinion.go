package agree

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/uncert"
)

// opinion is one reference for a sample: what one source says.
type opinion struct {
	source      string
	ref, uRef   float64
	uRefShared  *float64
	uTotal      float64
	unspecified bool // u_ref is not stated
	// parts are the sources of its uncertainty, where they are known one by one.
	parts []uncert.Contribution
}

// moment is one meter in one sample at one temperature: the place where there
// is one reference, or several opinions of it.
type moment struct {
	meter, sample string
	tempC         float64 // noTemperature where not given
}

// combineOpinions gives readings whose sample has references of several sources,
// each with u_ref, their weighted mean instead: a rough one weighs what its
// uncertainty allows. A row that repeats a reading beside another reference adds
// the reference and no reading. The notes say what was combined.
//
// Own and shared parts combine by the same weights. The shared part keeps the
// name of the source with the most weight: errors of others are then taken as
// common to its bottles too, which claims rather less than more. Where that
// source states none, theirs are taken as own ones. Opinions that contradict
// each other by their uncertainties widen them by the Birge ratio. Where one of
// them names its sources, all parts of the mean are named: those of the others
// stand as one source of the sample and one of what they share.
func combineOpinions(rows []Reading) (out []Reading, notes []string) {
	opinions := map[moment][]opinion{}
	var order []moment
	for _, r := range rows {
		if r.Ref == nil {
			continue
		}
		at := momentOf(r)
		if _, seen := opinions[at]; !seen {
			order = append(order, at)
		}
		opinions[at] = addOpinion(opinions[at], opinionOf(r))
	}
	combined := map[moment]opinion{}
	for _, at := range order {
		list := opinions[at]
		if len(list) < 2 || slices.ContainsFunc(list, func(o opinion) bool { return o.unspecified }) {
			continue
		}
		one, consistent, ok := combine(list)
		if !ok {
			continue
		}
		one.parts = combineParts(at.sample, list, one)
		for _, other := range order {
			if _, have := combined[other]; !have && other.sample == at.sample && other.tempC == at.tempC && within(opinions[other], list) {
				combined[other] = one
			}
		}
		note := noteOf(at.sample, list, one, consistent)
		if !slices.Contains(notes, note) {
			notes = append(notes, note)
		}
	}
	if len(combined) == 0 {
		return rows, nil
	}
	for i, r := range rows {
		one, ok := combined[momentOf(r)]
		if ok && r.Ref != nil {
			if slices.ContainsFunc(rows[:i], func(before Reading) bool { return repeatsForAnotherReference(before, r) }) {
				continue
			}
			r.Ref, r.URef, r.URefShared, r.RefSource = &one.ref, &one.uRef, one.uRefShared, one.source
			r.RefParts = one.parts
		}
		out = append(out, r)
	}
	return out, notes
}

func momentOf(r Reading) moment {
	at := moment{meter: r.Meter, sample: r.Sample, tempC: noTemperature}
	if r.TempC != nil {
		at.tempC = *r.TempC
	}
	return at
}

// noTemperature stands for a temperature that is not given, in a key of a map,
// where NaN would not find itself.
var noTemperature = math.Inf(-1)

func opinionOf(r Reading) opinion {
	o := opinion{source: r.RefSource, ref: *r.Ref, uRefShared: r.URefShared, unspecified: r.URef == nil, parts: r.RefParts}
	if r.URef != nil {
		o.uRef, o.uTotal = *r.URef, *r.URef
	}
	if r.URefShared != nil {
		o.uTotal = math.Hypot(o.uTotal, *r.URefShared)
	}
	return o
}

// addOpinion appends what is not said yet. The same source does not speak twice:
// two figures of it are a slip, which [cell.add] refuses.
func addOpinion(list []opinion, o opinion) []opinion {
	for _, have := range list {
		if have.source == o.source || have.ref == o.ref && (have.source == "" || o.source == "") {
			return list
		}
	}
	return append(list, o)
}

// within says whether every opinion of a list is among others.
func within(list, others []opinion) bool {
	for _, o := range list {
		if !slices.ContainsFunc(others, func(x opinion) bool { return x.ref == o.ref && x.source == o.source }) {
			return false
		}
	}
	return true
}

// combine returns the weighted mean; ok is false where exact ones differ.
func combine(list []opinion) (one opinion, consistent, ok bool) {
	x, u := make([]float64, len(list)), make([]float64, len(list))
	best := 0
	for i, o := range list {
		x[i], u[i] = o.ref, o.uTotal
		if o.uTotal < list[best].uTotal {
			best = i
		}
	}
	one = list[best]
	if one.uTotal == 0 { // exact: the others add nothing
		for _, o := range list {
			if o.uTotal == 0 && o.ref != one.ref {
				return one, false, false
			}
		}
		return one, true, true
	}
	c, err := ConsensusOf(x, u)
	if err != nil {
		return one, false, false
	}
	own, shared := 0.0, 0.0
	for i, o := range list {
		weight := c.UMean * c.UMean / (u[i] * u[i])
		own = math.Hypot(own, weight*o.uRef)
		if o.uRefShared != nil {
			shared = math.Hypot(shared, weight**o.uRefShared)
		}
	}
	if one.uRefShared == nil {
		own = math.Hypot(own, shared)
	} else {
		one.uRefShared = &shared
	}
	if !c.Consistent() {
		own = math.Sqrt(own*own + (c.Birge*c.Birge-1)*c.UMean*c.UMean)
	}
	one.ref, one.uRef, one.uTotal = c.Mean, own, math.Hypot(own, shared)
	if one.uRefShared == nil {
		one.uTotal = own
	}
	return one, c.Consistent(), finite(c.Mean) && finite(own) && finite(shared)
}

// combineParts names the sources of a combined reference; nil where none of the
// opinions names its own.
func combineParts(sample string, list []opinion, one opinion) []uncert.Contribution {
	if !slices.ContainsFunc(list, func(o opinion) bool { return len(o.parts) > 0 }) {
		return nil
	}
	weights, sum := make([]float64, len(list)), 0.0
	for i, o := range list {
		if o.uTotal == 0 {
			return nil // exact, and the only one that counts
		}
		weights[i] = 1 / (o.uTotal * o.uTotal)
		sum += weights[i]
	}
	total := uncert.Exact(0)
	own := 0.0
	for i, o := range list {
		w := weights[i] / sum
		v, err := uncert.FromParts(0, o.parts)
		if len(o.parts) == 0 {
			own = math.Hypot(own, w*o.uRef)
			if o.uRefShared != nil {
				v, err = v.With(w**o.uRefShared, uncert.Source{ID: "ref_source " + o.source, Label: "what the references of " + o.source + " share"})
			}
		} else {
			v = v.Scale(w)
		}
		if err != nil {
			return nil
		}
		total = total.Add(v)
	}
	// What contradiction adds is of this sample alone.
	if rest := one.uTotal*one.uTotal - total.U()*total.U(); rest > 0 {
		own = max(own, math.Sqrt(rest))
	}
	total, err := total.With(own, uncert.Source{ID: "opinions of " + sample, Label: "other references of " + sample})
	if err != nil {
		return nil
	}
	return total.Parts()
}

// repeatsForAnotherReference says that b is the reading a again, written to add
// a reference of another source.
func repeatsForAnotherReference(a, b Reading) bool {
	sameTime := a.Time == nil && b.Time == nil || a.Time != nil && b.Time != nil && a.Time.Equal(*b.Time)
	return a.Ref != nil && momentOf(a) == momentOf(b) && a.Value == b.Value && a.Replicate == b.Replicate && sameTime && a.RefSource != b.RefSource
}

func noteOf(sample string, list []opinion, one opinion, consistent bool) string {
	var said []string
	for _, o := range list {
		text := fmt.Sprintf("%s (u %s", shortest(o.ref), twoDigits(o.uTotal))
		if o.source != "" {
			text += ", " + o.source
		}
		said = append(said, text+")")
	}
	note := fmt.Sprintf("sample %s has %d references, %s, which are combined by their uncertainties: %.6g (u %s)",
		sample, len(list), strings.Join(said, " and "), one.ref, twoDigits(one.uTotal))
	if !consistent {
		note += "; they contradict each other, and one of them is wrong or less certain than stated"
	}
	return note
}
