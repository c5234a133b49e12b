package drift

import "math"

// gaussian is one part of a mixture of one dimension.
type gaussian struct{ weight, mean, sd float64 }

type mixture []gaussian

func (m mixture) moments() (mean, sd float64) {
	for _, g := range m {
		mean += g.weight * g.mean
	}
	v := 0.0
	for _, g := range m {
		v += g.weight * (g.sd*g.sd + (g.mean-mean)*(g.mean-mean))
	}
	return mean, math.Sqrt(v)
}

// below is the probability of a value at or below x.
func (m mixture) below(x float64) float64 {
	sum := 0.0
	for _, g := range m {
		switch {
		case g.sd > 0:
			sum += g.weight * normalCDF((x-g.mean)/g.sd)
		case g.mean <= x:
			sum += g.weight
		}
	}
	return sum
}

// quantile is the value with probability p at or below it, to a millionth of
// the standard deviation.
func (m mixture) quantile(p float64) float64 {
	mean, sd := m.moments()
	if sd == 0 {
		return mean
	}
	low, high := mean-3*sd, mean+3*sd
	for k := 1; m.below(low) > p && k < 60; k++ {
		low -= math.Ldexp(sd, k)
	}
	for k := 1; m.below(high) < p && k < 60; k++ {
		high += math.Ldexp(sd, k)
	}
	for high-low > 1e-6*sd {
		mid := low + (high-low)/2
		if mid == low || mid == high {
			break
		}
		if m.below(mid) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return low + (high-low)/2
}

// about is how far from a value one must go to either side to cover so much.
func (m mixture) about(x, p float64) float64 {
	low, high := 0.0, math.Max(m.quantile(p+(1-p)/2)-x, x-m.quantile((1-p)/2))
	for high-low > 1e-6*high {
		if mid := (low + high) / 2; m.below(x+mid)-m.below(x-mid) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// lean is the mixture without its lightest parts, for drawing.
func (m mixture) lean() mixture {
	var out mixture
	total := 0.0
	for _, g := range m {
		if g.weight > 2e-3 {
			out = append(out, g)
			total += g.weight
		}
	}
	for i := range out {
		out[i].weight /= total
	}
	return out
}

func normalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }
