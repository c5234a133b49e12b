package line

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// LackOfFit splits the scatter about an ordinary line into what repeats show (pure error) and what
// the straight line misses. F is their ratio per degree of freedom, P the chance of one as large
// were the line straight (Kutner et al., Applied Linear Statistical Models, section 3.7).
type LackOfFit struct {
	SSPure, SSLack   float64
	DoFPure, DoFLack int
	F, P             float64
}

// JudgeLackOfFit tests the ordinary line of Y on X against repeats: points with the same X. To test
// repeats of a reference swap the two, so that the scattered quantity is Y. It needs at least one
// repeat, three different X, and repeats that do not agree exactly.
func JudgeLackOfFit(p Points) (LackOfFit, error) {
	var l LackOfFit
	fit, err := Ordinary(Points{X: p.X, Y: p.Y})
	if err != nil {
		return l, err
	}
	sum, count := map[float64]float64{}, map[float64]int{}
	for i, x := range p.X {
		sum[x] += p.Y[i]
		count[x]++
	}
	l.DoFPure, l.DoFLack = fit.N-len(count), len(count)-2
	switch {
	case l.DoFPure < 1:
		return l, fmt.Errorf("%w: lack of fit needs at least one repeated point", ErrTooFew)
	case l.DoFLack < 1:
		return l, fmt.Errorf("%w: two different values always lie on a line", ErrTooFew)
	}
	// Both parts from deviations, not from differences of large sums.
	for i, x := range p.X {
		m := sum[x] / float64(count[x])
		l.SSPure += (p.Y[i] - m) * (p.Y[i] - m)
		gap := m - fit.Corrected(x)
		l.SSLack += gap * gap
	}
	if l.SSPure == 0 {
		return l, fmt.Errorf("%w: the repeats agree exactly, so nothing shows how well the meter repeats", ErrNotAvailable)
	}
	l.F = (l.SSLack / float64(l.DoFLack)) / (l.SSPure / float64(l.DoFPure))
	l.P = distuv.F{D1: float64(l.DoFLack), D2: float64(l.DoFPure)}.Survival(l.F)
	return l, nil
}

// Repeatability is the pooled standard deviation of y within groups that share a key, with its
// degrees of freedom; dof 0 means that nothing was repeated and sd is NaN.
func Repeatability(keys []string, y []float64) (sd float64, dof int) {
	groups := map[string][]float64{}
	for i, k := range keys {
		groups[k] = append(groups[k], y[i])
	}
	var ss float64
	for _, k := range keys {
		g, ok := groups[k]
		if !ok || len(g) < 2 {
			continue
		}
		delete(groups, k)
		m := mean(g)
		for _, v := range g {
			ss += (v - m) * (v - m)
		}
		dof += len(g) - 1
	}
	if dof == 0 {
		return math.NaN(), 0
	}
	return math.Sqrt(ss / float64(dof)), dof
}
