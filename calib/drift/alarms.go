package drift

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/conformity"
	"gonum.org/v1/gonum/stat/distuv"
)

// False alarm probabilities of the tests beside the two charts (chartAlarm),
// over a whole history.
const (
	trendAlarm = 0.003
	stepAlarm  = 0.003
)

// Probabilities from which a branch of the model is worth an alarm.
const (
	wrongAlarm  = 0.97
	stepBelieve = 0.5
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
			name += fmt.Sprint(" ", l.state)
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

// charted is an alarm of drift with the stretch between events it belongs to.
type charted struct {
	kind    AlarmKind
	stretch int
}

// found is where an alarm of drift stands, and what it says.
type found struct {
	check int
	text  string
}

// drifting runs charts and tests, with some checks left out.
func (r *Result) drifting(t *timeline, skip []bool, c Control, trend Trend) map[charted]found {
	out := map[charted]found{}
	add := func(kind AlarmKind, stretch, check int, text string) {
		if _, ok := out[charted{kind, stretch}]; !ok {
			out[charted{kind, stretch}] = found{check, text}
		}
	}
	for _, p := range c.Points {
		stretch := t.checks[p.Check].segment
		if p.EWMA.Out {
			add(AlarmEWMA, stretch, p.Check, "the weighted mean of the checks has left its limits: "+way(p.EWMA.Value))
		}
		if p.CUSUM.Out {
			add(AlarmCUSUM, stretch, p.Check, "the sum of small deviations has left its limit: "+way(p.CUSUM.High-p.CUSUM.Low))
		}
	}
	if trend.PTwoSided < trendAlarm {
		add(AlarmTrend, 0, len(t.checks)-1, fmt.Sprintf("%s: a trend by Mann and Kendall's test (p = %.1g), %s per 30 days by Theil and Sen",
			way(trend.Z), trend.PTwoSided, r.plain(trend.Slope)))
	}
	if i, s, ok := t.shift(skip); ok && r.near(i) > stepBelieve {
		add(AlarmStep, 0, i, fmt.Sprintf("a sudden step of about %s before the check of %s: a knock, a cleaning or a changed bottle nobody wrote down?",
			r.plain(s.Size), day(t.checks[i].time)))
	}
	return out
}

// mostLeftOut bounds how many checks are left out in turn, of a hundred or
// less; of more, one hardly matters.
const (
	mostLeftOut = 40
	fewLeftOut  = 5
)

// raise lists the alarms, by time. An alarm of drift counts where it stands
// without any single one of the checks: one wrong bottle is no drift.
func (r *Result) raise(t *timeline, skip []bool) {
	add := func(a Alarm) { r.Alarms = append(r.Alarms, a) }
	for _, c := range r.Checks {
		if c.Wrong > wrongAlarm {
			add(Alarm{c.Time, AlarmWrong, fmt.Sprintf("the check of %s (%s) does not fit those around it: a wrong bottle, or a slip? It hardly counts",
				day(c.Time), r.errorText(c.Error, c.U))})
		}
	}
	alarms := r.drifting(t, skip, r.Control, r.Trend)
	for _, i := range r.suspects(skip) {
		if len(alarms) == 0 {
			break
		}
		without := slices.Clone(skip)
		without[i] = true
		still := r.drifting(t, without, t.control(without), t.kendall(without))
		for key := range alarms {
			if _, ok := still[key]; !ok {
				delete(alarms, key)
			}
		}
	}
	for key, f := range alarms {
		add(Alarm{t.checks[f.check].time, key.kind, f.text})
	}
	if r.Verdict == conformity.Fail {
		add(Alarm{r.Now, AlarmOutside, fmt.Sprintf("the error is outside tolerance: %s", r.errorText(r.Error.Value, r.Error.U))})
	}
	slices.SortFunc(r.Alarms, func(a, b Alarm) int {
		return cmp.Or(a.Time.Compare(b.Time), strings.Compare(string(a.Kind), string(b.Kind)))
	})
}

// suspects lists the checks that are left out in turn: all of them, or those
// furthest from what was foretold.
func (r *Result) suspects(skip []bool) []int {
	far := make([]float64, len(skip))
	for _, p := range r.Control.Points {
		far[p.Check] = math.Abs(p.Q)
	}
	var list []int
	for i := range skip {
		if !skip[i] {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int {
		return cmp.Or(cmp.Compare(r.Checks[b].Wrong, r.Checks[a].Wrong), cmp.Compare(far[b], far[a]))
	})
	most := mostLeftOut
	if len(skip) > 100 {
		most = fewLeftOut
	}
	return list[:min(len(list), most)]
}

// near is the probability of a step within one check of a place.
func (r *Result) near(i int) float64 {
	sum := 0.0
	for k := max(0, i-1); k <= min(len(r.Checks)-1, i+1); k++ {
		sum += r.Checks[k].Stepped
	}
	return sum
}

func way(x float64) string {
	if x < 0 {
		return "the readings are falling against the references"
	}
	return "the readings are rising against the references"
}

// hasAlarm tells whether there is one of the kinds.
func (r *Result) hasAlarm(kinds ...AlarmKind) bool {
	return slices.ContainsFunc(r.Alarms, func(a Alarm) bool { return slices.Contains(kinds, a.Kind) })
}
