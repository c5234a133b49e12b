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

// Prior probabilities relative to one another. Causes are about as probable as
// each other beforehand, and as no fault: people compare meters because
// something looks wrong. A fouled cell or a calibration that has moved is what is
// met most often, a compensation set wrongly less often (common practice, no
// source); unnamed is what has no name here.
const (
	plain, often, seldom, unnamed = 1, 1.3, 0.7, 0.3
)

// families are the causes for a kind of meter.
func families(kind check.Kind) []candidate {
	out := []candidate{{noFault{}, plain}, {unstable{}, plain}, {swapped{}, plain}}
	switch kind {
	case check.PH:
		out = append(out, candidate{gain{WeakSlope}, often}, candidate{zero{ZeroPoint}, plain},
			candidate{deadElectrode{}, plain}, candidate{badBottle{BadBuffer}, plain})
	default:
		out = append(out, candidate{gain{Gain}, often}, candidate{zero{Zero}, plain}, candidate{badBottle{BadBottle}, plain})
		if kind != check.Temperature {
			out = append(out, candidate{saturation{}, plain})
		}
		if kind == check.EC {
			out = append(out, candidate{displayScale{}, plain}, candidate{compensation{}, seldom})
		}
	}
	return append(out, candidate{other{}, unnamed})
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
