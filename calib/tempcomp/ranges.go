package tempcomp

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/solutions"
)

// ErrOutOfRange is wrapped by every error that reports a number outside its
// declared range. It is the error of the references ([solutions.ErrOutOfRange]).
var ErrOutOfRange = solutions.ErrOutOfRange

// TemperatureRange is the widest range of liquid temperatures of a rule: that
// of the salt models. A rule's own is its TempRange.
func TemperatureRange() solutions.Range {
	return solutions.Range{Quantity: "temperature", Low: 0, High: 50, Unit: "C"}
}

// RefTemperatureRange is the range of a linear rule's reference temperature.
// Meters use 25 or 20 C, a few 18 C (common practice, no source).
func RefTemperatureRange() solutions.Range {
	return solutions.Range{Quantity: "reference temperature", Low: 0, High: 50, Unit: "C"}
}

// AlphaRange is the range of a linear rule's coefficient. Meters offer 0 to
// 5 %/C or 0 to 10 %/C (common practice, no source).
func AlphaRange() solutions.Range {
	return solutions.Range{Quantity: "coefficient alpha", Low: 0, High: 0.10, Unit: "1/C"}
}

// DivisorRange is the range in which F(t) can be divided by. A steep line far
// from its reference temperature falls through zero; well before that its
// readings have lost all meaning.
func DivisorRange() solutions.Range {
	return solutions.Range{Quantity: "divisor 1 + alpha (t - t_ref)", Low: 0.1, High: 10}
}

// PPMFactorRange is the range of a ppm scale's factor, ppm per uS/cm: that of
// [quantity.CheckFactor].
func PPMFactorRange() solutions.Range {
	return solutions.Range{Quantity: "factor", Low: quantity.FactorLow, High: quantity.FactorHigh, Unit: "ppm per uS/cm"}
}

// checkAlpha and checkPPMFactor add what a number outside usually means.
func checkAlpha(alpha float64) error {
	err := AlphaRange().Check(linearSubject, alpha)
	if err != nil && AlphaRange().Contains(alpha/100) {
		return fmt.Errorf("%w; if that was percent, it is %g", err, alpha/100)
	}
	return err
}

func checkPPMFactor(factor float64) error {
	err := PPMFactorRange().Check("ppm scale", factor)
	if err != nil && PPMFactorRange().Contains(factor/1000) {
		return fmt.Errorf("%w; the scale named %g has the factor %g", err, factor, factor/1000)
	}
	return err
}

const linearSubject = "linear compensation"

// notNegative refuses what no conductivity and no reading of one can be.
func notNegative(what string, x float64) error {
	if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 {
		return fmt.Errorf("%s is %g; want a finite number, 0 or more: %w", what, x, ErrOutOfRange)
	}
	return nil
}
