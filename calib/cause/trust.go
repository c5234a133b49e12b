package cause

import (
	"cmp"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/conformity"
)

// trustFrom is the probability from which a meter is trusted.
const trustFrom = 0.95

// trust names the meter of which the causes that blame another one, and not it,
// add up to at least trustFrom; "" if there is none. Among several it takes the
// one that does best against the references.
func (p *posterior) trust(c *agree.Comparison) string {
	var trusted []agree.Meter
	for m, name := range p.b.meters {
		if p.blamesOnlyOthers(m) < trustFrom {
			continue
		}
		k := slices.IndexFunc(c.Meters, func(x agree.Meter) bool { return x.Meter == name })
		trusted = append(trusted, c.Meters[k])
	}
	if len(trusted) == 0 {
		return ""
	}
	return slices.MaxFunc(trusted, betterMeter).Meter
}

// blamesOnlyOthers is the probability of the variants that blame some other
// meter and not m.
func (p *posterior) blamesOnlyOthers(m int) float64 {
	sum := 0.0
	for i := range p.list {
		e := &p.list[i]
		if e.blames(m) {
			continue
		}
		for o := range p.b.meters {
			if e.blames(o) {
				sum += p.probability(e)
				break
			}
		}
	}
	return sum
}

// betterMeter orders by verdict, then by the number of references, then by the
// worst error.
func betterMeter(a, b agree.Meter) int {
	rank := func(m agree.Meter) int {
		return slices.Index([]conformity.Verdict{conformity.Fail, "", conformity.Undecided, conformity.Pass}, m.Verdict)
	}
	known := func(x float64) float64 {
		if math.IsNaN(x) {
			return 0
		}
		return x
	}
	return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(len(a.Errors), len(b.Errors)),
		cmp.Compare(math.Abs(known(b.WorstError)), math.Abs(known(a.WorstError))))
}
