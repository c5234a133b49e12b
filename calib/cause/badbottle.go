package cause

import (
	"fmt"
	"math"
	"slices"
)

// badBottle is a liquid that is not what its label says: evaporated, mistaken,
// contaminated, an old buffer. Every meter that read it sees the same. It may
// also be the stock that several bottles were made from.
type badBottle struct{ cause ID }

func (b badBottle) id() ID { return b.cause }

// stockShare is how often it is the whole stock: rather seldom.
const stockShare = 0.2

func (f badBottle) variants(b *bench) []variant {
	if !b.hasRefs {
		return nil // a liquid that promises nothing cannot break its word
	}
	var out []variant
	add := func(who target, share, least float64, is func(p point) bool) {
		for _, r := range bothSigns(b.BadBottle.from(least).rungs(rungRatio)) {
			out = append(out, variant{
				cause: f.cause, who: who, weight: share * r.weight, size: r.size, step: r.sd,
				show: func(p point) shown {
					s := honest(p.ref)
					switch {
					case !is(p):
					case b.Relative:
						s.value, s.slope, s.push[0] = p.ref*(1+r.size), 1+r.size, p.ref*r.sd
					default:
						s.value, s.push[0] = p.ref+r.size, r.sd
					}
					return s
				},
			})
		}
	}
	with := b.referenced()
	for _, s := range with {
		if b.Relative && b.blank(s) {
			continue // no share of nothing is too much
		}
		add(sampleTarget(s), (1-stockShare)/float64(len(with)), max(beyondStated*b.statedOwn(s), b.tolerance*0.6), func(p point) bool { return p.sample == s })
	}
	for k := range b.sources {
		if b.bottlesOf(k) < 2 {
			continue
		}
		who := nobody
		who.source = k
		add(who, stockShare/float64(len(b.sources)), b.tolerance*0.8, func(p point) bool { return p.source == k })
	}
	return out
}

// blank says that a sample's reference is 0, as of a probe in air.
func (b *bench) blank(sample int) bool {
	return slices.ContainsFunc(b.batches, func(c batch) bool { return c.sample == sample && c.ref == 0 })
}

// beyondStated is from how many standard uncertainties on a bottle is called
// bad.
const beyondStated = 4

// statedOwn is the largest u_ref stated for a sample, as a fraction for relative
// kinds; 0 where none is.
func (b *bench) statedOwn(sample int) float64 {
	u := 0.0
	for _, c := range b.batches {
		if c.sample != sample || !(c.uRef > 0) {
			continue
		}
		if b.Relative {
			u = max(u, c.uRef/math.Abs(c.ref))
		} else {
			u = max(u, c.uRef)
		}
	}
	return u
}

// referenced are the samples with a reference.
func (b *bench) referenced() []int {
	var out []int
	for _, c := range b.batches {
		if !math.IsNaN(c.ref) && !contains(out, c.sample) {
			out = append(out, c.sample)
		}
	}
	return out
}

// bottlesOf counts the samples with a reference from a source.
func (b *bench) bottlesOf(source int) int {
	var seen []int
	for _, c := range b.batches {
		if !math.IsNaN(c.ref) && c.source == source && !contains(seen, c.sample) {
			seen = append(seen, c.sample)
		}
	}
	return len(seen)
}

func (f badBottle) says(b *bench, found finding) (what, do string) {
	size := digits(100*math.Abs(found.size), 2) + " %"
	if !b.Relative {
		size = digits(math.Abs(found.size), 2)
	}
	if f.cause == BadBuffer {
		size += " pH"
	}
	fresh := "throw it out, and make or open a fresh one"
	switch {
	case found.source >= 0:
		of := ""
		if name := b.sources[found.source]; name != "" {
			of = " of " + name
		}
		return fmt.Sprintf("all references%s are %s %s than stated: every meter says so", of, size, strongerOrWeaker(b, found.size)),
			"make one from other salt or another stock, and read it with every meter"
	case found.sample < 0:
		return "one of the references is not what its label says", "make fresh ones and read them with every meter"
	}
	return fmt.Sprintf("sample %s is %s %s than its label says: every meter that read it says so", b.samples[found.sample], size, strongerOrWeaker(b, found.size)), fresh
}

func strongerOrWeaker(b *bench, size float64) string {
	if !b.Relative {
		return map[bool]string{true: "higher", false: "lower"}[size > 0]
	}
	return map[bool]string{true: "stronger", false: "weaker"}[size > 0]
}
