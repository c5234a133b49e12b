package drift

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Shift is a step in a row of values: the best place to cut them in two.
type Shift struct {
	At   int     // the first value after the step
	Size float64 // mean after less mean before
	// Z is the size over its standard deviation; where that comes from the
	// scatter, the normal value as far out as Student's t.
	Z float64
}

// FindShift cuts a row of values where the means of the two sides differ most
// against their uncertainty (K.J. Worsley, J. Am. Stat. Assoc. 74 (1979) 365).
// variance are the variances of the values; nil where they are alike and not
// known. ok is false below three values, or where all are the same.
func FindShift(x, variance []float64) (best Shift, ok bool) {
	n := len(x)
	if n < 3 {
		return best, false
	}
	weight := func(i int) float64 {
		if variance == nil {
			return 1
		}
		return 1 / variance[i]
	}
	totalW, totalX := 0.0, 0.0
	for i := range x {
		totalW += weight(i)
		totalX += weight(i) * x[i]
	}
	squares := 0.0
	mean := totalX / totalW
	for i := range x {
		squares += weight(i) * (x[i] - mean) * (x[i] - mean)
	}
	w, sum := 0.0, 0.0
	for k := 1; k < n; k++ {
		w += weight(k - 1)
		sum += weight(k-1) * x[k-1]
		size := (totalX-sum)/(totalW-w) - sum/w
		if z := size * math.Sqrt(w*(totalW-w)/totalW); math.Abs(z) > math.Abs(best.Z) {
			best = Shift{At: k, Size: size, Z: z}
		}
	}
	if variance == nil && best.Z != 0 { // Student's t grows with z, so the place is the same
		best.Z = fromStudent(best.Z, (squares-best.Z*best.Z)/float64(n-2), float64(n-2))
	}
	return best, best.Z != 0
}

// fromStudent turns z over the square root of an estimated variance into the
// normal value as far out.
func fromStudent(z, variance, dof float64) float64 {
	t := math.Inf(1)
	if variance > 0 {
		t = math.Abs(z) / math.Sqrt(variance)
	}
	tail := distuv.StudentsT{Nu: dof, Sigma: 1}.CDF(-t)
	return math.Copysign(-distuv.UnitNormal.Quantile(math.Max(tail, 1e-300)), z)
}
