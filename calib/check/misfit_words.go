package check

import (
	"fmt"
	"math"
	"strings"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/line"
	"gonum.org/v1/gonum/stat/distuv"
)

// noUse ends every word about a line that describes nothing.
const noUse = "do not use or save the line of this fit"

// bottleName is what a person calls the reference of a row.
func (r *Result) bottleName(row int) string {
	if b := r.Rows[row].Bottle; b != "" {
		return "bottle " + b
	}
	return "the reference of " + r.refText(r.Rows[row].Ref)
}

// swappedNames are the two bottles that seem to have changed places. Bottles without a name are named by
// their rows: what was typed for them is what is in doubt.
func (r *Result) swappedNames() (a, b string) {
	return r.bottleName(r.Misfit.Swapped[0][0]), r.bottleName(r.Misfit.Swapped[1][0])
}

// warnAboutMisfit says what does not fit, in place of what else would be said of single points.
func (r *Result) warnAboutMisfit() {
	m := r.Misfit
	switch {
	case m.Swapped != nil:
		a, b := r.swappedNames()
		r.warn(fmt.Sprintf("%s and %s seem to have changed places: %s", a, b, noUse))
	case m.Rows != nil:
		var where []string
		for _, i := range m.Rows {
			where = append(where, fmt.Sprintf("%s: ref %s, reading %s", name(r.Rows, i), r.refText(r.Rows[i].Ref), r.readingText(i)))
		}
		r.warn(fmt.Sprintf("%s (%s) does not fit the others, which lie on a line without it: %s", r.bottleName(m.Rows[0]), strings.Join(where, "; "), noUse))
	default:
		text := "the points do not lie on a line"
		if limit, ok := r.chi2Limit(); ok {
			text += fmt.Sprintf(" (chi-squared %.3g, 95 %% limit %.3g)", r.Fit.Chi2, limit)
		}
		r.warn(fmt.Sprintf("%s, and no single bottle explains it: %s", text, noUse))
	}
}

func (r *Result) chi2Limit() (float64, bool) {
	consistent, limit, ok := r.Fit.Consistent()
	return limit, ok && !consistent
}

// adviseMisfit takes the place of all advice that rests on the line.
func (r *Result) adviseMisfit() {
	m := r.Misfit
	switch {
	case m.Swapped != nil:
		a, b := r.swappedNames()
		r.say(fmt.Sprintf("%s and %s seem to have changed places: the readings stand the other way round than the references%s; look at the labels and at what was typed, and read both again", a, b, r.otherwise("put back")))
	case m.Rows != nil:
		r.say(fmt.Sprintf("%s does not fit the others%s; see that its reading was typed right, weigh or remake it, and read it again", r.bottleName(m.Rows[0]), r.otherwise("without it")))
		if top, low := r.topReadsLow(m.Rows[0]); top && low {
			r.say("it is the strongest, and reads low: a display at the end of its range does the same")
		}
	case r.Fit.Slope <= 0:
		r.say("what it shows does not rise with the references; look for rows or bottles that changed places, else clean or replace the probe")
	default:
		r.say("the points do not lie on a line, and no single bottle explains it: clean the probe, let meter and bottles come to one temperature, and read fresh portions of every reference again")
	}
	r.say(noUse + ": the points contradict it; no trim or correction by it either")
	r.sayWithout()
	if r.Tolerance == nil {
		r.say(noTolerance)
	}
}

// otherwise is the line with the fault taken out.
func (r *Result) otherwise(how string) string {
	if r.Misfit.Without == nil {
		return ""
	}
	return fmt.Sprintf(": %s the line is %s", how, strings.TrimPrefix(r.Misfit.Without.roughly(), "corrected = "))
}

// roughly writes the line with the digits of a first look.
func (r *Result) roughly() string {
	f := r.Fit
	sign, size := "+", f.Intercept
	if size < 0 {
		sign, size = "-", -size
	}
	switch f.Method {
	case line.MethodGain:
		return fmt.Sprintf("corrected = %.3f × reading", f.Slope)
	case line.MethodOffset:
		return fmt.Sprintf("corrected = reading %s %.2g", sign, size)
	}
	u := f.UIntercept
	if !(u > 0) { // no interval: to a thousandth of what was read
		_, high := f.ReadingRange()
		u = 0.001 * math.Abs(high)
	}
	return fmt.Sprintf("corrected = %.3f × reading %s %s", f.Slope, sign, short(size, u))
}

// sayWithout is the verdict with the fault taken out: a word, no verdict.
func (r *Result) sayWithout() {
	w := r.Misfit.Without
	if w == nil || r.Tolerance == nil {
		return
	}
	how, rests := "without "+r.bottleName(firstOf(r.Misfit.Rows)), "that bottle"
	if r.Misfit.Swapped != nil {
		how, rests = "with the two put back", "bottles in the wrong places"
	}
	would := map[conformity.Verdict]string{conformity.Pass: "pass", conformity.Fail: "fail", conformity.Undecided: "be undecided"}[w.Verdict]
	chance := fmt.Sprintf(" (probability of being within tolerance %s)", percent(w.PWithin))
	switch {
	case !w.known:
		r.say(fmt.Sprintf("the verdict (%s) rests on %s: %s there is no basis for one; state u_ref and u_reading, or read more references", r.Verdict, rests, how))
	case w.Verdict == r.Verdict:
		r.say(fmt.Sprintf("the verdict (%s) counts %s in: %s the meter would %s as well%s", r.Verdict, rests, how, would, chance))
	default:
		r.say(fmt.Sprintf("the verdict (%s) rests on %s: %s the meter would %s%s", r.Verdict, rests, how, would, chance))
	}
}

func firstOf(rows []int) int {
	if len(rows) == 0 {
		return 0
	}
	return rows[0]
}

// topReadsLow tells that a row has the strongest reference, and reads below what the others' line says.
func (r *Result) topReadsLow(row int) (top, low bool) {
	top = true
	for _, other := range r.Rows {
		top = top && other.Ref <= r.Rows[row].Ref
	}
	w := r.Misfit.Without
	return top, w != nil && w.Fit.Corrected(r.Rows[row].Reading) < r.Rows[row].Ref
}

// wrongModel tells that a gain through zero, or a shift, was asked for that the points contradict though
// they lie on a line.
func (r *Result) wrongModel() bool {
	f := r.Fit
	return !r.Chosen && f.Parameters == 1 && f.DoF > 0 && f.Chi2 > 0 && r.Rows[0].UReading != nil &&
		distinctRefs(r.Rows, alone(len(r.Rows))) > 1 && distuv.ChiSquared{K: float64(f.DoF)}.Survival(f.Chi2) < hopeless
}
