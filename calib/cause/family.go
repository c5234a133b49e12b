package cause

import (
	"math"

	"github.com/brinemark/brinemark/calib/check"
)

// ID names a cause.
type ID string

// The causes. WeakSlope, ZeroPoint, DeadElectrode and BadBuffer are those of pH
// and stand there for Gain, Zero and BadBottle.
const (
	None          ID = "none"
	DisplayScale  ID = "display-scale"
	Gain          ID = "gain"
	Zero          ID = "zero"
	Compensation  ID = "temperature-compensation"
	BadBottle     ID = "bad-bottle"
	Swapped       ID = "swapped-bottles"
	Saturation    ID = "saturation"
	Unstable      ID = "unstable"
	Other         ID = "other"
	WeakSlope     ID = "weak-slope"
	ZeroPoint     ID = "zero-point"
	DeadElectrode ID = "dead-electrode"
	BadBuffer     ID = "bad-buffer"
)

// family is one cause: the variants of it that this bench lets one think of.
// Their weights are relative to one another; a family without variants takes no
// part.
type family interface {
	id() ID
	variants(b *bench) []variant
	// says words the cause with the size that was found, and what to do about
	// it: two parts of one sentence.
	says(b *bench, f finding) (what, do string)
}

// candidate is a family with its prior probability, relative to the others.
type candidate struct {
	family
	prior float64
}

// families are the causes for a kind of meter. All faults that have a name are
// taken as equally probable beforehand, and as probable as no fault: people
// compare meters because something looks wrong. Other is what is left.
func families(kind check.Kind) []candidate {
	const rest = 0.3
	out := []candidate{{noFault{}, 1}, {unstable{}, 1}, {swapped{}, 1}}
	switch kind {
	case check.PH:
		out = append(out, candidate{gain{WeakSlope}, 1}, candidate{zero{ZeroPoint}, 1}, candidate{deadElectrode{}, 1}, candidate{badBottle{BadBuffer}, 1})
	case check.EC:
		out = append(out, candidate{displayScale{}, 1}, candidate{compensation{}, 1}, candidate{gain{Gain}, 1}, candidate{zero{Zero}, 1},
			candidate{saturation{}, 1}, candidate{badBottle{BadBottle}, 1})
	case check.Temperature:
		out = append(out, candidate{gain{Gain}, 1}, candidate{zero{Zero}, 1}, candidate{badBottle{BadBottle}, 1})
	default:
		out = append(out, candidate{gain{Gain}, 1}, candidate{zero{Zero}, 1}, candidate{saturation{}, 1}, candidate{badBottle{BadBottle}, 1})
	}
	return append(out, candidate{other{}, rest})
}

// weigh scales the weights of a family's variants to a sum of 1.
func weigh(list []variant) []variant {
	sum := 0.0
	for _, v := range list {
		sum += v.weight
	}
	for i := range list {
		list[i].weight /= sum
	}
	return list
}

// only applies show to one meter; the others are honest.
func only(meter int, show func(p point) shown) func(p point) shown {
	return func(p point) shown {
		if p.meter != meter {
			return honest(p.ref)
		}
		return show(p)
	}
}

// noFault is: nothing is wrong.
type noFault struct{}

func (noFault) id() ID { return None }

func (noFault) variants(*bench) []variant {
	return []variant{{cause: None, who: nobody, weight: 1, size: math.NaN()}}
}

func (noFault) says(*bench, finding) (string, string) {
	return "Nothing is wrong: what differs is no more than readings, bottles and sound meters explain", "compare again at the next check"
}
