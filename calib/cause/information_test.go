package cause

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"gonum.org/v1/gonum/stat/distuv"
)

// one makes a prediction of a single reading.
func one(cause ID, weight, mean, sd float64) prediction {
	p := prediction{label: label{cause, -1}, weight: weight, mean: []float64{mean}, factor: []float64{sd * sd}}
	p.factorise()
	return p
}

// The information of one reading about which of two normal distributions it
// came from, by quadrature of its definition: an independent way to the number.
func byQuadrature(w, apart, sd1, sd2 float64) float64 {
	a, b := distuv.Normal{Mu: 0, Sigma: sd1}, distuv.Normal{Mu: apart, Sigma: sd2}
	sum := 0.0
	const steps = 40000
	low, high := -12.0, 12+apart
	for i := range steps {
		x := low + (high-low)*(float64(i)+0.5)/steps
		p, q := a.Prob(x), b.Prob(x)
		both := w*p + (1-w)*q
		for _, part := range []struct{ weight, density float64 }{{w, p}, {1 - w, q}} {
			if part.density > 0 {
				sum += part.weight * part.density * math.Log2(part.density/both) * (high - low) / steps
			}
		}
	}
	return sum
}

func TestInformationOfOneReading(t *testing.T) {
	for _, c := range []struct{ w, apart, sd1, sd2 float64 }{
		{0.5, 0, 1, 1}, {0.5, 1, 1, 1}, {0.5, 3, 1, 1}, {0.5, 8, 1, 1}, {0.8, 2, 1, 1}, {0.5, 0, 1, 3}, {0.3, 1, 0.5, 2},
	} {
		list := []prediction{one(Gain, c.w, 0, c.sd1), one(Zero, 1-c.w, c.apart, c.sd2)}
		assert.InDelta(t, byQuadrature(c.w, c.apart, c.sd1, c.sd2), information(list), 0.06, "%+v", c)
	}
	assert.InDelta(t, 1, entropy([]prediction{one(Gain, 0.4, 0, 1), one(Zero, 0.4, 9, 1)}), 1e-12)
	assert.InDelta(t, 0, entropy([]prediction{one(Gain, 0.4, 0, 1), one(Gain, 0.1, 9, 1)}), 1e-12)
	assert.Zero(t, information(nil))
}

// Variants of one cause need not be told apart: that is no information.
func TestInformationIsAboutTheCause(t *testing.T) {
	same := []prediction{one(Gain, 0.5, 0, 1), one(Gain, 0.5, 20, 1)}
	assert.InDelta(t, 0, information(same), 1e-9)
	mixed := []prediction{one(Gain, 0.25, 0, 1), one(Gain, 0.25, 20, 1), one(Zero, 0.5, 40, 1)}
	assert.InDelta(t, 1, information(mixed), 0.02)
}
