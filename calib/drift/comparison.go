package drift

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// The tests for a trend and for a step compare checks only where they can be
// compared, and their false alarms count over a whole history, beside those of
// the two charts (chartAlarm).
const (
	trendAlarm = 0.003
	apartAlarm = 0.001 // of what differs between references; taken off trendAlarm
	stepAlarm  = 0.003
)

// cluster counts the gaps among the references below one: references between
// which there is none are much the same.
func (t *timeline) cluster(ref float64) int {
	if t.clusters == nil {
		var refs []float64
		for i := range t.checks {
			refs = append(refs, t.checks[i].ref)
		}
		slices.Sort(refs)
		t.clusters = []float64{}
		for i := 1; i < len(refs); i++ {
			if refs[i]-refs[i-1] >= leastSpread*math.Max(math.Abs(refs[i]), math.Abs(refs[i-1])) {
				t.clusters = append(t.clusters, refs[i])
			}
		}
	}
	n, _ := slices.BinarySearch(t.clusters, math.Nextafter(ref, math.Inf(1)))
	return n
}

// comparable lists the checks that are not skipped, with the block in which
// each can be compared: one stretch between events, one source or bottle, one
// reference where zero and gain are told apart.
func (t *timeline) comparable(skip []bool) (checks, block []int) {
	names := map[string]int{}
	for i := range t.checks {
		if skip[i] {
			continue
		}
		c := &t.checks[i]
		name := fmt.Sprint(c.segment)
		for _, l := range c.loads {
			name += fmt.Sprint(" ", l.offset)
		}
		if t.base > second {
			name += fmt.Sprint(" at ", t.cluster(c.ref))
		}
		if _, ok := names[name]; !ok {
			names[name] = len(names)
		}
		checks, block = append(checks, i), append(block, names[name])
	}
	return checks, block
}

// kendall runs the test for a trend alone.
func (t *timeline) kendall(skip []bool) Trend {
	checks, block := t.comparable(skip)
	times, errs := t.courses(checks)
	return Trend{Kendall: MannKendall(times, errs, block), Slope: math.NaN(), Low: math.NaN(), High: math.NaN()}
}

func (t *timeline) courses(checks []int) (times, errs []float64) {
	for _, i := range checks {
		times, errs = append(times, t.checks[i].month), append(errs, t.checks[i].err*t.scale)
	}
	return times, errs
}

// middling is a loading so near the middle that it counts as neither low nor high.
const middling = 0.2

// apart runs the test for a trend of what differs between references: the
// errors at low ones, turned round, beside those at high ones. A slope that
// weakens lifts the one and lowers the other.
func (t *timeline) apart(skip []bool) Kendall {
	checks, block := t.comparable(skip)
	var times, errs []float64
	var where []int
	for k, i := range checks {
		c := &t.checks[i]
		if math.Abs(c.h) < middling {
			continue
		}
		times, errs, where = append(times, c.month), append(errs, c.err*float64(sign(c.h))), append(where, block[k])
	}
	return MannKendall(times, errs, where)
}

// trend runs both rank tests.
func (t *timeline) trend(skip []bool) Trend {
	out := t.kendall(skip)
	checks, block := t.comparable(skip)
	times, errs := t.courses(checks)
	if slope, low, high, ok := TheilSen(times, errs, block, Level); ok {
		out.Slope, out.Low, out.High = slope, low, high
	}
	return out
}

// shift finds the step that stands out most within one block, if it is beyond
// what chance gives once in 1/stepAlarm histories.
func (t *timeline) shift(skip []bool) (check int, s Shift, ok bool) {
	checks, block := t.comparable(skip)
	splits := 0
	type found struct {
		check int
		Shift
	}
	var best found
	for _, list := range blocks(len(checks), block) {
		var errs, variances []float64
		stated := true
		for _, k := range list {
			c := &t.checks[checks[k]]
			errs, variances = append(errs, c.err*t.scale), append(variances, math.Max(c.known, leastNoise*leastNoise)*t.scale*t.scale)
			stated = stated && !c.unstated
		}
		if !stated {
			variances = nil
		}
		splits += max(0, len(list)-1)
		if s, any := FindShift(errs, variances); any && math.Abs(s.Z) > math.Abs(best.Z) {
			best = found{checks[list[s.At]], s}
		}
	}
	if splits == 0 {
		return 0, s, false
	}
	// Bonferroni: every place counts as a test of its own.
	limit := -distuv.UnitNormal.Quantile(stepAlarm / 2 / float64(splits))
	return best.check, best.Shift, math.Abs(best.Z) > limit
}
