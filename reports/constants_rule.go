package reports

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/tempcomp"
)

// A rule of compensation has to be written down for machines that know neither
// the rule nor, some of them, an exponential: straight rules as they are, all
// others as a polynomial of their range, which is as close as a float64 can show.

// ruleForm is F(t), by which a meter with the rule divides.
type ruleForm struct {
	straight   bool
	alpha, ref float64 // straight: 1 + alpha · (t − ref)
	// Otherwise the sum of coefficients[i] · s^i with s = (t − middle) / half,
	// from -1 to 1.
	coefficients []float64
	middle, half float64
}

// The degrees of the polynomials: enough for a float64's 1e-10, and for a
// float's 1e-7.
const (
	fineDegree   = 14
	coarseDegree = 8
)

// formOf writes a rule down. A rule that no polynomial of the degree follows
// within the tolerance, a fraction of F, is an error.
func formOf(r tempcomp.Rule, degree int, tolerance float64) (ruleForm, error) {
	switch r := r.(type) {
	case tempcomp.None:
		return ruleForm{straight: true}, nil
	case tempcomp.Linear:
		return ruleForm{straight: true, alpha: r.Alpha, ref: r.RefTempC}, nil
	}
	limits := r.TempRange()
	f := ruleForm{middle: (limits.Low + limits.High) / 2, half: (limits.High - limits.Low) / 2}
	at := func(s float64) (float64, error) { return r.Factor(f.middle + f.half*s) }
	var err error
	if f.coefficients, err = interpolate(at, degree); err != nil {
		return f, fmt.Errorf("compensation %s: %w", r.Name(), err)
	}
	const steps = 500
	for i := range steps + 1 {
		s := -1 + 2*float64(i)/steps
		want, err := at(s)
		if err != nil {
			return f, fmt.Errorf("compensation %s: %w", r.Name(), err)
		}
		if got := f.at(f.middle + f.half*s); math.Abs(got-want) > tolerance*want {
			return f, fmt.Errorf("compensation %s cannot be written down within %g of its factor", r.Name(), tolerance)
		}
	}
	return f, nil
}

// at is the form's own F(t).
func (f ruleForm) at(tempC float64) float64 {
	if f.straight {
		return 1 + f.alpha*(tempC-f.ref)
	}
	s, sum := (tempC-f.middle)/f.half, 0.0
	for i := len(f.coefficients) - 1; i >= 0; i-- {
		sum = sum*s + f.coefficients[i]
	}
	return sum
}

// interpolate returns the coefficients of the polynomial that equals f at the
// zeros of the Chebyshev polynomial of the next degree, where the largest error
// between is about the least there is.
func interpolate(f func(s float64) (float64, error), degree int) ([]float64, error) {
	n := degree + 1
	values := make([]float64, n)
	angle := func(k int) float64 { return math.Pi * (float64(k) + 0.5) / float64(n) }
	for k := range values {
		var err error
		if values[k], err = f(math.Cos(angle(k))); err != nil {
			return nil, err
		}
	}
	// The series in Chebyshev polynomials, turned into powers by
	// T[j+1] = 2 s T[j] − T[j−1].
	powers := make([]float64, n)
	before, now := make([]float64, n), make([]float64, n)
	now[0] = 1
	for j := range n {
		c := 0.0
		for k, v := range values {
			c += v * math.Cos(float64(j)*angle(k))
		}
		c *= 2 / float64(n)
		if j == 0 {
			c /= 2
		}
		next := make([]float64, n)
		for i := range n {
			powers[i] += c * now[i]
			next[i] = -before[i]
			if i > 0 {
				twice := 2.0
				if j == 0 {
					twice = 1
				}
				next[i] += twice * now[i-1]
			}
		}
		before, now = now, next
	}
	return powers, nil
}
