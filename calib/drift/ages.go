package drift

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// agesAlarm is how unlikely a trend within the bottles must be by chance.
const agesAlarm = 0.003

// ages tells whether the errors move within the bottles, in the direction
// given: a bottle that ages does so before one's eyes. Where nobody says how far
// off bottles may be, a difference between one and the next tells of no ageing.
func (t *timeline) ages(direction float64) bool {
	type group struct {
		bottle  string
		cluster int
	}
	names := map[group]int{}
	var groups [][]*observation
	for i := range t.checks {
		c := &t.checks[i]
		g := group{bottle: c.bottle}
		if t.base > second {
			g.cluster = t.cluster(c.ref)
		}
		k, ok := names[g]
		if !ok {
			k = len(groups)
			names[g] = k
			groups = append(groups, nil)
		}
		groups[k] = append(groups[k], c)
	}
	sxx, sxy, syy := 0.0, 0.0, 0.0
	for _, list := range groups {
		x, y := 0.0, 0.0
		for _, c := range list {
			x, y = x+c.month/float64(len(list)), y+c.err/float64(len(list))
		}
		for _, c := range list {
			sxx, sxy, syy = sxx+(c.month-x)*(c.month-x), sxy+(c.month-x)*(c.err-y), syy+(c.err-y)*(c.err-y)
		}
	}
	free := len(t.checks) - len(groups) - 1
	if free < 1 || sxx == 0 || sxy*direction <= 0 {
		return false
	}
	rest := math.Max(syy-sxy*sxy/sxx, float64(free)*leastNoise*leastNoise) / float64(free)
	ratio := math.Abs(sxy) / math.Sqrt(rest*sxx)
	return distuv.StudentsT{Sigma: 1, Nu: float64(free)}.CDF(-ratio) < agesAlarm
}
