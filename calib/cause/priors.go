package cause

import "github.com/brinemark/brinemark/calib/check"

// scales says what sizes of honest and faulty behaviour are thinkable for one
// kind of meter. All of it is common practice, no source: the widths are wide
// on purpose, and the simulation shows what they do.
//
// Where Relative is set, sizes are fractions (of the value for Noise, Bottle,
// Stock, Gain and BadBottle; of the meter's largest reading for Zero);
// otherwise they are in the unit of the readings.
type scales struct {
	Kind     check.Kind
	Relative bool
	// Pivot is the value about which a wrong slope turns: pH 7, else 0.
	Pivot float64
	// Tolerance stands in where none is given.
	Tolerance float64
	// Noise is the standard deviation of a reading where u_reading is not
	// stated, Bottle that of a bottle's own error where u_ref is not, and Stock
	// that of an error which all bottles of a source share where u_ref_shared
	// is not.
	Noise, Bottle ladder
	Stock         float64
	// HonestZero is the standard deviation of the zero error of a meter that is
	// all right.
	HonestZero float64
	// The sizes of faults. A gain is of the logarithm where Relative is set. With
	// OtherCell it may lie beyond the ladder, up to about twelvefold: a cell of
	// another constant (0.1, 1 or 10 per cm) than the meter takes it for.
	Gain, Zero, BadBottle, Unstable ladder
	OtherCell                       bool
}

// honestShare of the tolerance is the standard deviation of the gain of a meter
// that is all right: most lie well within it.
const honestShare = 1 / 3.0

var kinds = []scales{
	{
		Kind: check.EC, Relative: true, Tolerance: 0.04,
		Noise: ladder{0.0008, 0.004, 0.04, 0.8}, Bottle: ladder{0.002, 0.007, 0.05, 0.8}, Stock: 0.007, HonestZero: 0.003,
		Gain: ladder{0.03, 0.2, 0.9, 0.7}, OtherCell: true, Zero: ladder{0.01, 0.05, 0.4, 0.8},
		BadBottle: ladder{0.015, 0.09, 0.7, 0.9}, Unstable: ladder{0.012, 0.05, 0.3, 0.8},
	},
	{
		Kind: check.PH, Pivot: 7, Tolerance: 0.1,
		Noise: ladder{0.003, 0.015, 0.15, 0.8}, Bottle: ladder{0.004, 0.012, 0.06, 0.8}, Stock: 0.005, HonestZero: 0.03,
		Gain: ladder{0.05, 0.15, 0.55, 0.7}, Zero: ladder{0.06, 0.3, 2, 0.8},
		BadBottle: ladder{0.06, 0.25, 1.5, 0.8}, Unstable: ladder{0.05, 0.2, 1.2, 0.8},
	},
	{
		Kind: check.Temperature, Tolerance: 0.5,
		Noise: ladder{0.02, 0.1, 1, 0.8}, Bottle: ladder{0.02, 0.1, 0.5, 0.8}, Stock: 0.05, HonestZero: 0.2,
		Gain: ladder{0.02, 0.05, 0.3, 0.8}, Zero: ladder{0.4, 1.5, 10, 0.8},
		BadBottle: ladder{0.4, 1.5, 10, 0.8}, Unstable: ladder{0.3, 1.2, 8, 0.8},
	},
	wide(check.Humidity, 0.05), wide(check.Oxygen, 0.05), wide(check.CO2, 0.08), wide(check.Other, 0.05),
}

// wide is for a relative kind of meter about which less is known.
func wide(kind check.Kind, tolerance float64) scales {
	return scales{
		Kind: kind, Relative: true, Tolerance: tolerance,
		Noise: ladder{0.001, 0.008, 0.1, 1}, Bottle: ladder{0.002, 0.01, 0.06, 0.8}, Stock: 0.01, HonestZero: 0.005,
		Gain: ladder{0.03, 0.2, 0.9, 0.7}, Zero: ladder{0.015, 0.06, 0.4, 0.8},
		BadBottle: ladder{0.02, 0.1, 0.7, 0.9}, Unstable: ladder{0.02, 0.07, 0.4, 0.8},
	}
}

// scalesOf looks a kind up; anything unknown is Other.
func scalesOf(k check.Kind) scales {
	for _, s := range kinds {
		if s.Kind == k {
			return s
		}
	}
	return kinds[len(kinds)-1]
}

// What only conductivity has.
const (
	// alpha is the straight temperature coefficient of most pens and of most
	// salts in water, 1/C, and refTempC what they correct to.
	alpha, refTempC = 0.02, 25.0
	// honestAlpha is the standard deviation of the coefficient of a meter that
	// is all right: 1.9 to 2.1 %/C.
	honestAlpha = 0.0005
	// liquidSlope (1/C) and liquidBend (at 10 C from 25 C) are the standard
	// deviations of what a reference does not follow of its liquid's own
	// temperature behaviour: sodium chloride on a straight 1.9 %/C is off by up
	// to 1.2 % between 12 and 32 C.
	liquidSlope, liquidBend = 0.0004, 0.003
)

// modelDoubt is the probability kept back for what no model here describes.
const modelDoubt = 0.01
