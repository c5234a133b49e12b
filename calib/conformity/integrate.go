package conformity

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// farthest is where the normal density of a common error is cut off: beyond it lies 1e-16.
const farthest = 8.3

// oneShared integrates over a single common error, f, against the normal density. Values without
// an uncertainty of their own confine f to an interval exactly; where the others pass their limits
// the integrand bends, so the range is broken there.
func (j Joint) oneShared(sd, s []float64, tolerance float64) float64 {
	low, high := -farthest, farthest
	var bends []float64
	for i, y := range j.Value {
		l := j.Limits[i]
		if s[i] == 0 {
			continue
		}
		a, b := (l.Low-y)/s[i], (l.High-y)/s[i]
		a, b = math.Min(a, b), math.Max(a, b)
		if sd[i] == 0 {
			low, high = math.Max(low, a), math.Min(high, b)
			continue
		}
		width := sd[i] / math.Abs(s[i])
		for _, edge := range []float64{a, b} {
			bends = append(bends, edge-6*width, edge, edge+6*width)
		}
	}
	if low >= high {
		return 0
	}
	breaks := []float64{low, high}
	for k := -8.0; k <= 8; k += 2 {
		bends = append(bends, k)
	}
	for _, b := range bends {
		if b > low && b < high {
			breaks = append(breaks, b)
		}
	}
	slices.Sort(breaks)
	shared := [][]float64{s}
	f := make([]float64, 1)
	return integrate(func(z float64) float64 {
		f[0] = z
		return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * j.product(sd, shared, f)
	}, breaks, tolerance)
}

// lattice is the number of points of the rule for two and more common errors.
const lattice = 1 << 15

// manyShared averages over the points of the lattice rule.
func (j Joint) manyShared(sd []float64, shared, points [][]float64) float64 {
	var sum float64
	for _, f := range points {
		sum += j.product(sd, shared, f)
	}
	return sum / float64(len(points))
}

// latticeNormals are count normal vectors of dimension k from a Kronecker lattice (square roots of
// primes, R.D. Richtmyer 1951) with the periodising tent, from eight fixed shifts; nil for a k that
// needs none.
func latticeNormals(k, count int) [][]float64 {
	if k < 2 {
		return nil
	}
	step := primeRoots(k)
	const shifts = 8
	points := make([][]float64, 0, count)
	for shift := range shifts {
		for n := range count / shifts {
			f := make([]float64, k)
			for d := range k {
				x := float64(n+1)*step[d] + float64(shift)*0.6180339887498949*float64(d+1)
				x -= math.Floor(x)
				x = 1 - math.Abs(2*x-1)
				f[d] = distuv.UnitNormal.Quantile(math.Min(math.Max(x, 1e-16), 1-1e-16))
			}
			points = append(points, f)
		}
	}
	return points
}

// primeRoots are the square roots of the first k primes.
func primeRoots(k int) []float64 {
	var roots []float64
	for p := 2; len(roots) < k; p++ {
		prime := true
		for d := 2; d*d <= p; d++ {
			if p%d == 0 {
				prime = false
				break
			}
		}
		if prime {
			roots = append(roots, math.Sqrt(float64(p)))
		}
	}
	return roots
}

// deepest bounds the halvings of one interval.
const deepest = 24

// integrate is adaptive Simpson over the pieces between breaks, to an absolute tolerance.
func integrate(f func(float64) float64, breaks []float64, tolerance float64) float64 {
	var total float64
	for i := range len(breaks) - 1 {
		a, b := breaks[i], breaks[i+1]
		if b <= a {
			continue
		}
		// Two panels to begin with, so that a hump between breaks is not stepped over.
		const panels = 2
		h := (b - a) / panels
		for p := range panels {
			l, r := a+float64(p)*h, a+float64(p+1)*h
			fl, fm, fr := f(l), f((l+r)/2), f(r)
			total += simpson(f, l, r, fl, fm, fr, (r-l)/6*(fl+4*fm+fr), tolerance/panels/float64(len(breaks)), deepest)
		}
	}
	return total
}

func simpson(f func(float64) float64, a, b, fa, fm, fb, whole, tolerance float64, depth int) float64 {
	m := (a + b) / 2
	fl, fr := f((a+m)/2), f((m+b)/2)
	left, right := (m-a)/6*(fa+4*fl+fm), (b-m)/6*(fm+4*fr+fb)
	if d := left + right - whole; depth == 0 || math.Abs(d) <= 15*tolerance {
		return left + right + d/15
	}
	return simpson(f, a, m, fa, fl, fm, left, tolerance/2, depth-1) + simpson(f, m, b, fm, fr, fb, right, tolerance/2, depth-1)
}
