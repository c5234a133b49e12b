package line

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Covariance builds the covariance matrix of errors that are partly a point's own and partly
// shared: own[i] is the standard uncertainty that belongs to point i alone, and each row of shared
// is one common error, its i-th figure being how far one standard deviation of that error moves
// point i (0 where it does not reach).
//
//	V[i][j] = own[i]^2 (i = j)  +  sum over k of shared[k][i]*shared[k][j]
//
// Bottles made from one stock are the usual case: the same error, the same sign, scaled by each
// bottle's figure. own must not be negative; shared figures may carry a sign.
func Covariance(own []float64, shared ...[]float64) (*mat.SymDense, error) {
	n := len(own)
	if n == 0 {
		return nil, fmt.Errorf("%w: no points", ErrTooFew)
	}
	v := mat.NewSymDense(n, nil)
	for i, u := range own {
		if math.IsNaN(u) || math.IsInf(u, 0) || u < 0 {
			return nil, &PointError{Index: i, Cause: fmt.Errorf("standard uncertainty must be 0 or more and finite"), Found: u}
		}
		v.SetSym(i, i, u*u)
	}
	for _, s := range shared {
		if len(s) != n {
			return nil, fmt.Errorf("%w: a shared error has %d figures for %d points", ErrLength, len(s), n)
		}
		for i := range n {
			if math.IsNaN(s[i]) || math.IsInf(s[i], 0) {
				return nil, &PointError{Index: i, Cause: ErrNotFinite, Found: s[i]}
			}
			for j := i; j < n; j++ {
				v.SetSym(i, j, v.At(i, j)+s[i]*s[j])
			}
		}
	}
	return v, nil
}

// eigenFloor is how far below zero, as a fraction of the largest, an eigenvalue may fall by
// rounding before a covariance matrix is refused.
const eigenFloor = 1e-10

// checkCovariance accepts nil (not stated) and positive semidefinite matrices of size n. A shared
// error without own parts makes a singular matrix, which is legitimate on its own.
func checkCovariance(c mat.Symmetric, n int) error {
	if c == nil {
		return nil
	}
	if c.SymmetricDim() != n {
		return fmt.Errorf("%w: a covariance of size %d for %d points", ErrLength, c.SymmetricDim(), n)
	}
	diagonal := true
	for i := range n {
		for j := range n {
			v := c.At(i, j)
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return &PointError{Index: i, Cause: ErrNotFinite, Found: v}
			}
			if i != j && v != 0 {
				diagonal = false
			}
		}
		if c.At(i, i) < 0 {
			return &PointError{Index: i, Cause: fmt.Errorf("%w: a variance is negative", ErrNotPositive), Found: c.At(i, i)}
		}
	}
	if diagonal {
		return nil
	}
	var eig mat.EigenSym
	if !eig.Factorize(c, false) {
		return fmt.Errorf("%w: its eigenvalues could not be found", ErrNotPositive)
	}
	values := eig.Values(nil)
	if low, high := values[0], values[n-1]; low < -eigenFloor*math.Abs(high) {
		return fmt.Errorf("%w: the smallest eigenvalue is %.3g; no errors can be correlated like that", ErrNotPositive, low)
	}
	return nil
}
