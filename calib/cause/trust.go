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
//
// For two meters that is the sum over the entries that name the other one. For
// more, an entry that names nobody in particular may still leave a meter out:
// it counts for a meter that holds less than a tenth of it.
func (p *posterior) trust(meters []agree.Meter) string {
	var list []agree.Meter
	for m, name := range p.b.meters {
		if p.blamedOnOthers(m) >= trustFrom {
			k := slices.IndexFunc(meters, func(x agree.Meter) bool { return x.Meter == name })
			list = append(list, meters[k])
		}
	}
	if len(list) == 0 {
		return ""
	}
	return slices.MaxFunc(list, betterMeter).Meter
}

// blamedOnOthers is the probability of the causes that blame some other meter
// and not this one.
func (p *posterior) blamedOnOthers(meter int) float64 {
	type part struct{ all, own, others float64 }
	byCause, order := map[ID]part{Other: {all: modelDoubt}}, []ID{Other}
	for i := range p.list {
		e := &p.list[i]
		c, seen := byCause[e.cause]
		if !seen {
			order = append(order, e.cause)
		}
		probability := p.probability(e)
		c.all += probability
		switch blamed := e.blamed(); {
		case slices.Contains(blamed, meter):
			c.own += probability
		case len(blamed) > 0:
			c.others += probability
		}
		byCause[e.cause] = c
	}
	sum := 0.0
	for _, id := range order {
		if c := byCause[id]; c.own <= (1-tellsApart)*c.all {
			sum += c.others
		}
	}
	return sum
}

// blamed are the meters at fault.
func (v *variant) blamed() []int {
	switch {
	case v.who.meter >= 0:
		return []int{v.who.meter}
	case v.cause == Other:
		return v.accused
	}
	return nil
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
