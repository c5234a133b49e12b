package tempcomp

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// outlying is the chance, of a whole set of readings, that a residual as large
// as one that is called outlying comes by chance (Bonferroni's bound).
const outlying = 0.05

// standardised returns the residuals over their standard uncertainty. Residuals
// are R z with R = I − J H, so their covariance is R W R'; where the readings'
// uncertainty is not stated, W is the scatter.
func (s *solution) standardised() (z []*float64, out []bool) {
	n := len(s.z)
	w := s.w
	if !s.stated {
		w = mat.NewSymDense(n, nil)
		for i := range n {
			w.SetSym(i, i, s.scatter())
		}
	}
	var r, rw mat.Dense
	r.Mul(s.j, s.h)
	r.Scale(-1, &r)
	for i := range n {
		r.Set(i, i, 1+r.At(i, i))
	}
	rw.Mul(&r, w)
	z, out = make([]*float64, n), make([]bool, n)
	largest := -1
	for i := range n {
		v := mat.Dot(rw.RowView(i), r.RowView(i))
		if !(v > 1e-10*w.At(i, i)) {
			continue
		}
		x := s.z[i].Nominal() / math.Sqrt(v)
		z[i] = &x
		if largest < 0 || math.Abs(x) > math.Abs(*z[largest]) {
			largest = i
		}
	}
	if largest >= 0 {
		// Only the largest: it pulls the fit, and may make others look bad.
		out[largest] = s.chance(*z[largest])*float64(n) < outlying
	}
	return z, out
}

// chance is the probability of a standardised residual at least so large:
// normal where uncertainties are stated, otherwise Student's t of the residual
// against the scatter of the others.
func (s *solution) chance(x float64) float64 {
	if s.stated {
		return math.Erfc(math.Abs(x) / math.Sqrt2)
	}
	dof := float64(len(s.z) - 2)
	rest := dof - x*x
	if dof < 2 {
		return 1
	}
	if rest <= 0 {
		return 0
	}
	t := math.Abs(x) * math.Sqrt((dof-1)/rest)
	return 2 * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof - 1}.Survival(t)
}
