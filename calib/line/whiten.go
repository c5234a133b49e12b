package line

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// whitener holds the Cholesky factor of a covariance, so that V^-1 is applied without forming it.
type whitener struct {
	n int
	l []float64 // lower triangle, row by row, n*n
}

// smallestPivot is the smallest part of a point's variance that may remain once the points before
// it are known. Below it the matrix is singular for the digits a float64 carries.
const smallestPivot = 1e-13

// whiten factorises v = L L'. A matrix that is not positive definite is refused.
func whiten(v mat.Symmetric) (whitener, error) {
	n := v.SymmetricDim()
	w := whitener{n: n, l: make([]float64, n*n)}
	for i := range n {
		for j := range i + 1 {
			s := v.At(i, j)
			for k := range j {
				s -= w.l[i*n+k] * w.l[j*n+k]
			}
			if i != j {
				w.l[i*n+j] = s / w.l[j*n+j]
				continue
			}
			if !(s > smallestPivot*v.At(i, i)) {
				return w, &PointError{Index: i, Cause: fmt.Errorf(
					"%w: this point has no uncertainty of its own beside the points before it", ErrNotPositive), Found: v.At(i, i)}
			}
			w.l[i*n+i] = math.Sqrt(s)
		}
	}
	return w, nil
}

// forward solves L z = b.
func (w whitener) forward(b []float64) []float64 {
	z := make([]float64, w.n)
	for i := range w.n {
		s := b[i]
		for k := range i {
			s -= w.l[i*w.n+k] * z[k]
		}
		z[i] = s / w.l[i*w.n+i]
	}
	return z
}

// solve returns V^-1 b.
func (w whitener) solve(b []float64) []float64 {
	z := w.forward(b)
	for i := w.n - 1; i >= 0; i-- {
		s := z[i]
		for k := i + 1; k < w.n; k++ {
			s -= w.l[k*w.n+i] * z[k]
		}
		z[i] = s / w.l[i*w.n+i]
	}
	return z
}

// square returns r'V^-1 r.
func (w whitener) square(r []float64) float64 {
	z := w.forward(r)
	return dot(z, z)
}

// glsStep is one generalised least squares solution in centred form.
type glsStep struct {
	x0, value, slope float64 // height value at x0
	va, vb           float64 // variance of the height at x0 and of the slope; they do not covary
}

// step solves for the line through (x, y) with the columns of the design taken at xi, the adjusted
// readings; with xi = x it is plain generalised least squares.
func (w whitener) step(xi, x, y []float64) glsStep {
	n := w.n
	ones := filled(n, 1)
	weight := w.solve(ones)
	total := dot(weight, ones)
	xiBar, xBar, yBar := dot(weight, xi)/total, dot(weight, x)/total, dot(weight, y)/total
	xic, xc, yc := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		xic[i], xc[i], yc[i] = xi[i]-xiBar, x[i]-xBar, y[i]-yBar
	}
	g := w.solve(xic)
	slope := dot(g, yc) / dot(g, xc)
	return glsStep{
		x0: xiBar, value: yBar + slope*(xiBar-xBar), slope: slope,
		va: 1 / total, vb: 1 / dot(g, xic),
	}
}

func dot(a, b []float64) float64 {
	var s float64
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}
