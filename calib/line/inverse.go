package line

import (
	"fmt"
	"math"
)

// Shape says what kind of set an inverse interval is.
type Shape int

const (
	// Bounded: one interval from Low to High.
	Bounded Shape = iota
	// TwoRays: everything at or below Low and everything at or above High.
	TwoRays
	// Everything: the data exclude no reading at all.
	Everything
	// NoInterval: there is no basis for one.
	NoInterval
)

// String names the shape.
func (s Shape) String() string {
	return [...]string{"bounded", "two-rays", "everything", "none"}[s]
}

// Inverse is the reading that belongs to a given true value.
type Inverse struct {
	Value   float64 // the true value asked about
	Reading float64
	U       float64 // first-order standard uncertainty of Reading; NaN where there is no basis
	Shape   Shape
	Low     float64 // Fieller's limits; see Shape
	High    float64
	// G is k^2 var(slope)/slope^2. At 1 or more the slope is not told from zero and the interval is
	// unbounded; below about 0.05 the symmetric interval Reading +- k*U serves as well.
	G float64
}

// Seen says how the value given to Inverse is known.
type Seen struct {
	// U is its standard uncertainty, perfectly known; 0 for an exact value.
	U float64
	// Repeats, if above 0, says that the value is itself the mean of so many observations with the
	// scatter of the fitted points; then s^2/Repeats is added. It needs a fit that rests on scatter.
	Repeats int
}

// Inverse finds the reading at which the line gives value, with Fieller's interval: all x with
//
//	(intercept + slope*x - value)^2 <= k^2 (var(line at x) + var(value))
//
// (E.C. Fieller, J. R. Statist. Soc. B 16 (1954) 175). A line of no slope has no inverse.
func (f *Fit) Inverse(value float64, seen Seen, level float64) (Inverse, error) {
	nan := math.NaN()
	v := Inverse{Value: value, U: nan, Low: nan, High: nan, G: nan, Shape: NoInterval}
	if err := checkReading(value, seen.U, level); err != nil {
		return v, err
	}
	if f.Slope == 0 {
		return v, fmt.Errorf("the slope is 0: no reading belongs to %g", value)
	}
	v.Reading = f.centre.x0 + (value-f.centre.value)/f.Slope
	if f.Basis == NoBasis {
		return v, nil
	}
	vLine, vSeen, again := f.variance(v.Reading), seen.U*seen.U, 0.0
	if seen.Repeats > 0 {
		if f.Basis != FromScatter {
			return v, fmt.Errorf("repeats: %w: this fit does not rest on scatter; give the value's uncertainty", ErrNotAvailable)
		}
		again = f.ResidualSD * f.ResidualSD / float64(seen.Repeats)
		vLine += again // known as well as the line is
	}
	v.fieller(f, vSeen+again, f.factor(level, vLine, vSeen))
	v.U = math.Sqrt(vLine+vSeen) / math.Abs(f.Slope)
	return v, nil
}

// fieller solves A d^2 + 2 B d + C <= 0 for d = x - x0 of the centred line.
func (v *Inverse) fieller(f *Fit, vValue, k float64) {
	c := f.centre
	k2, e := k*k, c.value-v.Value
	a := f.Slope*f.Slope - k2*c.vb
	b := f.Slope*e - k2*c.cab
	d := e*e - k2*(c.va+vValue)
	v.G = k2 * c.vb / (f.Slope * f.Slope)
	disc := b*b - a*d
	switch {
	case v.G >= 1 && disc <= 0:
		v.Shape = Everything
		v.Low, v.High = math.Inf(-1), math.Inf(1)
	default:
		root := math.Sqrt(math.Max(0, disc))
		// The stable pair: the larger in size by addition, the other from the product of the roots.
		q := -(b + math.Copysign(root, b))
		r1, r2 := q/a, q/a
		if q != 0 {
			r2 = d / q
		}
		v.Low, v.High = c.x0+math.Min(r1, r2), c.x0+math.Max(r1, r2)
		v.Shape = Bounded
		if v.G >= 1 {
			v.Shape = TwoRays
		}
	}
}
