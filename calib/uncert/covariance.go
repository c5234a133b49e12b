package uncert

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// FromCovariance returns values for correlated inputs x with the covariance
// matrix cov (in the products of their units), such as the parameters of a
// fitted line. They share sources named id/1, id/2, … with the label given, so
// that [Cov] of any two returns the matrix entry. The sources carry no degrees of
// freedom: a common estimate of their size cannot be expressed per source. The
// matrix must be finite and positive
// semidefinite: an eigenvalue below −1e-10 of the largest is an error.
func FromCovariance(x []float64, cov mat.Symmetric, id, label string) ([]Value, error) {
	n := cov.SymmetricDim()
	if n != len(x) {
		return nil, fmt.Errorf("covariance is %d×%d for %d values", n, n, len(x))
	}
	for i := range n {
		if !isFinite(x[i]) {
			return nil, fmt.Errorf("value %d is %v: %w", i+1, x[i], ErrNotFinite)
		}
		for j := range n {
			if !isFinite(cov.At(i, j)) {
				return nil, fmt.Errorf("covariance at row %d, column %d is %v: %w", i+1, j+1, cov.At(i, j), ErrNotFinite)
			}
		}
	}
	// Scale to a correlation matrix first: inputs may differ by many powers
	// of ten.
	sd := make([]float64, n)
	for i := range n {
		if cov.At(i, i) < 0 {
			return nil, fmt.Errorf("variance of value %d is %v: %w", i+1, cov.At(i, i), ErrNegative)
		}
		sd[i] = math.Sqrt(cov.At(i, i))
	}
	corr := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			switch {
			case sd[i] != 0 && sd[j] != 0:
				corr.SetSym(i, j, cov.At(i, j)/(sd[i]*sd[j]))
			case cov.At(i, j) != 0:
				return nil, fmt.Errorf("covariance at row %d, column %d is %v, though one of the two has no variance", i+1, j+1, cov.At(i, j))
			}
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(corr, true) {
		return nil, fmt.Errorf("covariance of %d values: eigenvalues not found", n)
	}
	lambda := eig.Values(nil)
	if lambda[0] < -1e-10*math.Max(lambda[n-1], 1) {
		return nil, fmt.Errorf("covariance is not positive semidefinite (smallest eigenvalue of the correlation matrix %.3g)", lambda[0])
	}
	var vec mat.Dense
	eig.VectorsTo(&vec)
	out := make([]Value, n)
	for i := range n {
		var parts []Contribution
		for k := range n {
			size := sd[i] * vec.At(i, k) * math.Sqrt(math.Max(0, lambda[k]))
			if size != 0 {
				parts = append(parts, Contribution{Source: Source{ID: fmt.Sprintf("%s/%d", id, k+1), Label: label}, Size: size, Stated: true})
			}
		}
		v, err := FromParts(x[i], parts)
		if err != nil {
			return nil, err
		}
		out[i] = v
	}
	return out, nil
}
