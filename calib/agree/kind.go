package agree

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// trait is what matters here about a kind.
type trait struct {
	kind check.Kind
	// ratio says that the scale begins at nothing, so that ratios and relative
	// differences mean something. pH is a logarithm; 0 C is no nothing.
	ratio bool
	// repeat is how far repetitions in one sample may lie apart before they
	// are called contradictory where there is no tolerance. Common practice, no
	// source.
	repeat quantity.Tolerance
	// slip is how far apart they have to lie before one of them is taken for a
	// slip; Value 0: never. Common practice, no source.
	slip quantity.Tolerance
	// reference says how to get one at low cost.
	reference string
}

var traits = []trait{
	{check.EC, true, quantity.Tolerance{Value: 0.05, Relative: true}, quantity.Tolerance{Value: 0.15, Relative: true}, ""}, // a recipe for the range at hand
	{check.PH, false, quantity.Tolerance{Value: 0.2}, quantity.Tolerance{Value: 1}, "fresh pH 7.00 and 4.00 buffers (`brinemark reference --buffer 7.00 --temp 25C`)"},
	{check.Temperature, false, quantity.Tolerance{Value: 1}, quantity.Tolerance{Value: 5}, "a bath of crushed ice and water (`brinemark reference --ice`)"},
	{check.Humidity, true, quantity.Tolerance{Value: 5}, quantity.Tolerance{Value: 20}, "a closed box over wet table salt (`brinemark reference --saturated NaCl --temp 20C`)"},
	{check.Oxygen, true, quantity.Tolerance{Value: 0.05, Relative: true}, quantity.Tolerance{Value: 0.3, Relative: true}, "water stirred in open air (`brinemark reference --oxygen --temp 20C`)"},
	{check.CO2, true, quantity.Tolerance{Value: 0.1, Relative: true}, quantity.Tolerance{Value: 0.5, Relative: true}, "outdoor air away from people and traffic"},
	{check.Other, true, quantity.Tolerance{Value: 0.05, Relative: true}, quantity.Tolerance{}, "one sample whose value is known"},
}

// RatioScale says that ratios and relative differences of readings of a kind
// mean something: not for pH and temperature.
func RatioScale(k check.Kind) bool { return traitOf(k).ratio }

// traitOf looks a kind up; anything unknown is Other.
func traitOf(k check.Kind) trait {
	for _, t := range traits {
		if t.kind == k {
			return t
		}
	}
	return traits[len(traits)-1]
}

// displayFactors are the usual ways in which one display's number is a multiple
// of another's: the TDS factors 0.5, 0.64 and 0.7 (common practice, no single
// source) and the step from mS/cm to uS/cm, alone and together.
var displayFactors = []struct {
	factor float64
	text   string
}{
	{1000, "mS/cm against uS/cm"},
	{0.5, "a ppm display of factor 0.5 against uS/cm"},
	{0.64, "a ppm display of factor 0.64 against uS/cm"},
	{0.7, "a ppm display of factor 0.7 against uS/cm"},
	{500, "a ppm display of factor 0.5 against mS/cm"},
	{640, "a ppm display of factor 0.64 against mS/cm"},
	{700, "a ppm display of factor 0.7 against mS/cm"},
}

// displayFactor names the display factor that a ratio, or its inverse, lies
// within 3 % of.
func displayFactor(ratio float64) (factor float64, text string, ok bool) {
	nearest := 0.03
	for _, d := range displayFactors {
		for _, f := range []float64{d.factor, 1 / d.factor} {
			if off := math.Abs(math.Log(ratio / f)); off < nearest {
				nearest, factor, text, ok = off, f, d.text, true
			}
		}
	}
	return factor, text, ok
}

// displayUnit names the unit of a display by its factor.
func displayUnit(factor float64) string {
	switch factor {
	case 1:
		return "uS/cm"
	case 0.001:
		return "mS/cm"
	}
	return fmt.Sprintf("ppm with factor %g", factor)
}

// DisplayName names what a conductivity meter shows that has so many display
// units for each uS/cm.
func DisplayName(factor float64) string { return displayUnit(factor) }
