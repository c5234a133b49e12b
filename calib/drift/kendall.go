package drift

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Kendall is the Mann-Kendall test for a trend (H.B. Mann, Econometrica 13
// (1945) 245; M.G. Kendall, Rank Correlation Methods).
type Kendall struct {
	N         int
	S         int     // pairs that rise less pairs that fall
	VarS      float64 // without a trend, ties taken into account
	Z         float64 // with the correction for continuity
	PTwoSided float64 // chance of an S as large either way without a trend
}

// MannKendall tests values y, at times t, for a trend. block names groups that
// are compared only within themselves (R.M. Hirsch, J.R. Slack, R.A. Smith,
// Water Resour. Res. 18 (1982) 107): checks before and after an adjustment, or
// with references of different sources. nil is one block.
func MannKendall(t, y []float64, block []int) Kendall {
	k := Kendall{N: len(y)}
	for _, list := range blocks(len(y), block) {
		for a, i := range list {
			for _, j := range list[:a] {
				k.S += sign(t[i]-t[j]) * sign(y[i]-y[j])
			}
		}
		k.VarS += kendallVariance(pick(t, list), pick(y, list))
	}
	k.PTwoSided = 1
	if k.VarS > 0 && k.S != 0 {
		k.Z = float64(k.S-sign(float64(k.S))) / math.Sqrt(k.VarS)
		k.PTwoSided = math.Erfc(math.Abs(k.Z) / math.Sqrt2)
	}
	return k
}

// kendallVariance is that of S with ties in both (M.G. Kendall, Rank
// Correlation Methods, 4th ed., equation 4.4).
func kendallVariance(t, y []float64) float64 {
	n := float64(len(y))
	if n < 2 {
		return 0
	}
	var five, three, two [2]float64
	for side, list := range [2][]float64{t, y} {
		for _, c := range ties(list) {
			five[side] += c * (c - 1) * (2*c + 5)
			three[side] += c * (c - 1) * (c - 2)
			two[side] += c * (c - 1)
		}
	}
	v := (n*(n-1)*(2*n+5) - five[0] - five[1]) / 18
	if n > 2 {
		v += three[0] * three[1] / (9 * n * (n - 1) * (n - 2))
	}
	return v + two[0]*two[1]/(2*n*(n-1))
}

// ties are the sizes of the groups of equal values.
func ties(list []float64) []float64 {
	s := slices.Clone(list)
	slices.Sort(s)
	var out []float64
	for i := 0; i < len(s); {
		j := i
		for j < len(s) && s[j] == s[i] {
			j++
		}
		out = append(out, float64(j-i))
		i = j
	}
	return out
}

// TheilSen is the median of the slopes of all pairs of one block with
// different times, with limits of the given level from the normal
// approximation to Kendall's S (P.K. Sen, J. Am. Stat. Assoc. 63 (1968) 1379).
// ok is false where there is no such pair.
func TheilSen(t, y []float64, block []int, level float64) (slope, low, high float64, ok bool) {
	groups := blocks(len(y), block)
	pairs := 0
	for _, list := range groups {
		pairs += len(list) * (len(list) - 1) / 2
	}
	slopes := make([]float64, 0, pairs) // of ten thousand checks, 400 MB: no more
	variance := 0.0
	for _, list := range groups {
		for a, i := range list {
			for _, j := range list[:a] {
				if t[i] != t[j] {
					slopes = append(slopes, (y[i]-y[j])/(t[i]-t[j]))
				}
			}
		}
		variance += kendallVariance(pick(t, list), pick(y, list))
	}
	n := len(slopes)
	if n == 0 {
		return 0, 0, 0, false
	}
	slices.Sort(slopes)
	slope = slopes[(n-1)/2]/2 + slopes[n/2]/2
	half := distuv.UnitNormal.Quantile((1+level)/2) * math.Sqrt(variance)
	// Ranks as in the worked example of Sen's paper: M1 = (N - C)/2 from below,
	// M2 + 1 = (N + C)/2 + 1 from above, counted from 1.
	first := int(math.Round((float64(n) - half) / 2))
	last := int(math.Round((float64(n) + half) / 2))
	low, high = math.Inf(-1), math.Inf(1)
	if first >= 1 {
		low = slopes[first-1]
	}
	if last < n {
		high = slopes[last]
	}
	return slope, low, high, true
}

// blocks lists the members of each block, in the order in which they begin.
func blocks(n int, block []int) [][]int {
	var out [][]int
	place := map[int]int{}
	for i := range n {
		b := 0
		if block != nil {
			b = block[i]
		}
		k, ok := place[b]
		if !ok {
			k, place[b] = len(out), len(out)
			out = append(out, nil)
		}
		out[k] = append(out[k], i)
	}
	return out
}

func pick(list []float64, at []int) []float64 {
	out := make([]float64, len(at))
	for k, i := range at {
		out[k] = list[i]
	}
	return out
}

func sign(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}
