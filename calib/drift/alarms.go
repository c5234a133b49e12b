package drift

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/conformity"
)

// Probabilities from which a branch of the model is worth an alarm: by itself,
// or beside the test for a step.
const (
	wrongAlarm  = 0.97
	steppedSure = 0.97
	stepBelieve = 0.5
)

// charted is an alarm of drift with the stretch between events it belongs to.
type charted struct {
	kind    AlarmKind
	stretch int
}

// apart stands in the place of a stretch for a trend of what differs between
// references.
const apart = -1

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
	limit := trendAlarm
	if t.base > second { // two tests share it
		limit -= apartAlarm
		if k := t.apart(skip); k.PTwoSided < apartAlarm {
			add(AlarmTrend, apart, len(t.checks)-1, fmt.Sprintf("the errors at low and at high references are moving apart: a trend by Mann and Kendall's test (p = %.1g)", k.PTwoSided))
		}
	}
	if trend.PTwoSided < limit {
		add(AlarmTrend, 0, len(t.checks)-1, fmt.Sprintf("%s: a trend by Mann and Kendall's test (p = %.1g), %s per 30 days by Theil and Sen",
			way(trend.Z), trend.PTwoSided, r.plain(trend.Slope)))
	}
	if i, s, ok := t.shift(skip); ok && r.near(i) > stepBelieve {
		add(AlarmStep, 0, i, r.stepText(i, s.Size))
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
	for i := 0; i < len(r.Checks); { // one for a check, however many readings it has
		c, errors := r.Checks[i], []string(nil)
		for ; i < len(r.Checks) && day(r.Checks[i].Time) == day(c.Time); i++ {
			if r.Checks[i].Wrong > wrongAlarm {
				errors = append(errors, r.errorText(r.Checks[i].Error, r.Checks[i].U))
			}
		}
		if len(errors) > 0 {
			add(Alarm{c.Time, AlarmWrong, fmt.Sprintf("the check of %s (%s) does not fit those around it: a wrong bottle, or a slip? It hardly counts",
				day(c.Time), strings.Join(errors, ", "))})
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
	for i, c := range r.Checks {
		f, any := alarms[charted{AlarmStep, 0}]
		if c.Stepped > steppedSure && !(any && f.check >= i-1 && f.check <= i+1) {
			add(Alarm{c.Time, AlarmStep, r.stepText(i, r.rise(i))})
		}
	}
	for key, f := range alarms {
		add(Alarm{t.checks[f.check].time, key.kind, f.text})
	}
	r.cause(t)
	if r.Verdict == conformity.Fail {
		add(Alarm{r.Now, AlarmOutside, fmt.Sprintf("the error is outside tolerance%s: %s", r.where(), r.errorText(r.Error.Value, r.Error.U))})
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

func (r *Result) stepText(i int, size float64) string {
	c := &r.Checks[i]
	text := fmt.Sprintf("a sudden step of about %s before the check of %s", r.plain(size), day(c.Time))
	if i > 0 && c.Bottle != "" && !slices.ContainsFunc(r.Checks[:i], func(b CheckView) bool { return b.Bottle == c.Bottle && b.Time.Before(c.Time) }) {
		return text + ", the first with bottle " + c.Bottle + ": the bottle, or a knock or a cleaning nobody wrote down?"
	}
	return text + ": a knock, a cleaning or a changed bottle nobody wrote down?"
}

// rise is the median of up to three checks from one on less that of up to
// three before it.
func (r *Result) rise(i int) float64 {
	var before, after []float64
	for k := max(0, i-3); k < min(len(r.Checks), i+3); k++ {
		if k < i {
			before = append(before, r.Checks[k].Error)
		} else {
			after = append(after, r.Checks[k].Error)
		}
	}
	if len(before) == 0 {
		return r.Checks[i].Error
	}
	return median(after) - median(before)
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
