package agree

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/stat"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// checkSense refuses figures that cannot be in the unit of the kind.
func (s *Set) checkSense(kind check.Kind) error {
	largest := 0.0
	for _, r := range s.Readings() {
		largest = math.Max(largest, math.Abs(r.Value))
		var at *check.RowError
		if err := check.Sensible(kind, r.Value, r.Ref, r.TempC); errors.As(err, &at) {
			return inputError(r.Row, string(at.Column), "found %s; want %s", at.Found, at.Want)
		}
	}
	for _, r := range s.Readings() {
		if want := check.BelowNothing(kind, r.Value, largest, ""); want != "" {
			return inputError(r.Row, "reading", "found %s for meter %s; want %s", shortest(r.Value), r.Meter, want)
		}
	}
	for _, meter := range s.Meters {
		if kind == check.Temperature && s.fahrenheit(meter) {
			last := s.cellsOf(meter)[0].rows[0]
			return inputError(last.Row, "reading", "found %s for meter %s, what a thermometer in Fahrenheit shows, here and throughout; want readings in C", shortest(last.Value), meter)
		}
	}
	return nil
}

// fahrenheit says whether a meter shows in Fahrenheit what references or other
// meters show in C.
func (s *Set) fahrenheit(meter string) bool {
	var celsius, readings []float64
	for _, c := range s.cellsOf(meter) {
		if expected, ok := s.expected(c); ok {
			celsius, readings = append(celsius, expected), append(readings, c.mean())
		}
	}
	return check.Fahrenheit(celsius, readings)
}

// checkRepetitions refuses repetitions of which one cannot be of the sample.
func (s *Set) checkRepetitions(kind check.Kind) error {
	for _, meter := range s.Meters {
		for _, c := range s.cellsOf(meter) {
			if err := s.slip(c, traitOf(kind).slip); err != nil {
				return err
			}
		}
	}
	return nil
}

// slip refuses two readings of one meter in one sample, at one
// temperature, so far apart that one of them is a slip or of another liquid. A
// meter whose readings jump about is a finding: repetitions are refused only
// where they lie beyond trait.slip, far beyond what the meter's repetitions in
// other samples scatter, and far beyond u_reading where it is stated.
func (s *Set) slip(c *cell, from quantity.Tolerance) error {
	for i, low := range c.rows {
		for _, high := range c.rows[i+1:] {
			if !alike(low, high) {
				continue
			}
			middle := (low.Value + high.Value) / 2
			gap := math.Abs(high.Value - low.Value)
			// The scatter takes long to work out, and decides seldom.
			if from.Value == 0 || gap <= max(from.At(middle), statedReach(low, high)) ||
				gap <= farBeyond*s.scatterBeside(c, middle, from.At(middle)/farBeyond) {
				continue
			}
			return inputError(high.Row, "reading", "found %s for meter %s in sample %s, but %s in row %d; that far apart one of them is a slip or of another liquid: read it again, and keep the right one",
				shortest(high.Value), c.meter, c.sample, shortest(low.Value), low.Row)
		}
	}
	return nil
}

// farBeyond is how many standard deviations of one reading two of them lie
// apart when they are called a slip: eight of their difference.
const farBeyond = 8 * math.Sqrt2

// alike says that two readings are repetitions: nothing that is known of them
// explains a difference. A display without compensation follows the temperature
// by some 2 % per C.
func alike(a, b Reading) bool {
	const oneTemperature = 1 // C
	within := func(x, y *float64, by float64) bool {
		return x == nil && y == nil || x != nil && y != nil && math.Abs(*x-*y) <= by
	}
	return within(a.TempC, b.TempC, oneTemperature) && within(a.Ref, b.Ref, 0)
}

// statedReach is how far two readings may lie apart by their stated
// uncertainties; 0 where they are not stated.
func statedReach(a, b Reading) float64 {
	const tenfold = 10
	if a.UValue == nil || b.UValue == nil {
		return 0
	}
	return tenfold * max(*a.UValue, *b.UValue)
}

// scatterBeside is the standard deviation of one reading near a value, from the
// meter's repetitions in other samples: the larger of the one that is the same
// everywhere and the one that grows with the value. A few repetitions say
// little: usual, the standard deviation taken without any, counts as two of
// them.
func (s *Set) scatterBeside(c *cell, value, usual float64) float64 {
	var absolute, relative [][]float64
	for _, other := range s.cellsOf(c.meter) {
		if other.sample == c.sample || len(other.rows) < 2 {
			continue
		}
		v := other.values()
		absolute = append(absolute, v)
		if m := stat.Mean(v, nil); m != 0 {
			relative = append(relative, divided(v, m/value))
		}
	}
	const counts = 2
	sd := 0.0
	for _, cells := range [][][]float64{absolute, relative} {
		variance, dof := pooledVariance(cells)
		sd = max(sd, math.Sqrt((counts*usual*usual+dof*variance)/(counts+dof)))
	}
	return sd
}
