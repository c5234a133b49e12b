package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/line"
)

// What the advice takes as a sign that no adjustment helps. Common practice, no source.
const (
	// grossFactor is how many times the tolerance an error is gross.
	grossFactor = 5
	// gainLow and gainHigh bound the slope of a conductivity meter that is only out of adjustment.
	gainLow, gainHigh = 0.7, 1.4
	// drawnTemp is the spread of temperatures, in C, from which it is worth a word: 2 C is 4 % for a
	// meter that compensates wrongly altogether.
	drawnTemp = 2
)

const noTolerance = "no tolerance was given, so there is no verdict; give --tolerance, such as 2%"

func (r *Result) say(text string) { r.Advice = append(r.Advice, text) }

// advise puts into words what to do, about the meter and then about its electrode.
func (r *Result) advise(o Options) {
	r.adviseMeter(o)
	if r.Electrode != nil {
		for _, text := range r.Electrode.Advice {
			r.say("electrode: " + text)
		}
	}
}

func (r *Result) adviseMeter(o Options) {
	if r.Misfit != nil {
		r.adviseMisfit()
		return
	}
	if r.Tolerance == nil {
		r.sayScale()
		r.say(noTolerance)
		if why := r.unmendable(); why != "" {
			r.say("no correction: " + why)
			return
		}
		r.say(r.correction())
		return
	}
	if r.Verdict == conformity.Pass {
		r.say(fmt.Sprintf("within tolerance at every reference (probability %s): leave it as it is", percent(r.PWithin)))
		if r.worthCorrecting() && r.unmendable() == "" {
			r.say("a correction still improves it: " + r.correction())
		}
		return
	}
	if !r.sayScale() && !(r.overTolerance() && r.sayZero()) && r.thermometerExplains() {
		r.sayThermometer(o)
	}
	if r.Verdict == conformity.Undecided {
		r.sayUndecided(o)
	}
	if !r.overTolerance() {
		if r.Verdict == conformity.Fail {
			r.sayTooVague()
		}
		return
	}
	r.sayRepair()
	if why := r.unmendable(); why != "" {
		r.say("neither a trim nor a correction: " + why)
		return
	}
	r.sayAdjust(o)
	r.say("or leave the meter and correct what it shows: " + r.correction())
	if r.Verdict == conformity.Fail {
		r.say("after an adjustment read the references again and keep the result as as-left")
	}
}

// overTolerance tells that the worst error, as found, is outside tolerance.
func (r *Result) overTolerance() bool {
	return r.WorstRow >= 0 && math.Abs(r.Points[r.WorstRow].Error) > r.Points[r.WorstRow].Allowed
}

// sayThermometer comes first where temperature matters.
func (r *Result) sayThermometer(o Options) {
	switch o.Kind {
	case EC, PH, Oxygen:
	default:
		return
	}
	low, high, unknown := math.Inf(1), math.Inf(-1), 0
	for _, row := range r.Rows {
		if row.TempC == nil {
			unknown++
			continue
		}
		low, high = math.Min(low, *row.TempC), math.Max(high, *row.TempC)
	}
	text := "first the thermometer: "
	switch o.Kind {
	case EC:
		if o.Compensates {
			r.say("first the meter's own temperature sensor: it compensates by it, and half a degree wrong is one percent; leave the probe in the liquid for some minutes, and hold the temperature it shows against a thermometer in the same bottle")
			return
		}
		text += "half a degree wrong is one percent of conductivity"
	case PH:
		text += "a buffer's pH and the electrode's slope both follow temperature"
	case Oxygen:
		text += "half a degree is one percent of the oxygen that air-saturated water holds"
	}
	switch {
	case unknown == len(r.Rows):
		text += "; let meter and bottles come to one temperature, write it down (temp_C), and be sure that each ref is the value at that temperature"
	case high-low > drawnTemp:
		text += fmt.Sprintf("; the readings lie between %.1f and %.1f C, so let the bottles come to one temperature and read again", low, high)
	default:
		text += fmt.Sprintf("; check that %.1f C is right", (low+high)/2)
	}
	r.say(text)
}

// sayUndecided says what would decide.
func (r *Result) sayUndecided(o Options) {
	if !r.known {
		r.say("undecided: nothing shows how sure the readings are; state u_ref and u_reading, or read three references or more")
		return
	}
	i, u := r.tightest()
	e, allowed := r.joint.Value[i], r.joint.Limits[i].High
	byLine := ""
	if r.byLine {
		byLine = ", by the line of all errors,"
	}
	text := fmt.Sprintf("undecided (probability %s of being within): at %s the error is%s %s with a standard uncertainty of %s against a tolerance of %s",
		percent(r.PWithin), r.refText(r.refs[i]), byLine, short(e, u), short(u, u), short(allowed, u))
	if room := math.Abs(allowed - math.Abs(e)); room > 0 && u > room/1.645 {
		text += fmt.Sprintf("; an uncertainty of %s would decide", strings.TrimSpace(short(room/1.645, room/1.645)+" "+o.Unit))
	}
	r.say(text)
	if !r.overTolerance() && r.sayTooVague() && r.sharedShare <= 0.5 && r.refShare > 0.5 {
		return
	}
	another := ""
	if len(groups(r.Rows)) > 1 {
		another = ", or add a reference"
	}
	switch {
	case r.sharedShare > 0.5:
		r.say(fmt.Sprintf("what would decide: a reference from another source, or a better known stock; %s of the doubt is shared by the bottles and no further reading shrinks it", percent(r.sharedShare)))
	case r.refShare > 0.5:
		r.say(fmt.Sprintf("what would decide: better known references; %s of the doubt is theirs", percent(r.refShare)))
	default:
		r.say("what would decide: read each reference several more times" + another)
	}
}

// sayTooVague says where even a meter without any error could not pass, and tells whether.
func (r *Result) sayTooVague() bool {
	if !r.known {
		return false
	}
	if r.joint.DoF == 0 && len(r.joint.Value) <= 2 && r.narrowest() > surelyPasses {
		return false
	}
	perfect := r.joint
	perfect.Value = make([]float64, len(r.joint.Value))
	p, err := perfect.Probability()
	if err != nil || conformity.Default.Decide(p) == conformity.Pass {
		return false
	}
	what := refWord(r.Kind)
	if r.readShare > 0.5 {
		what = "readings"
	}
	r.say(fmt.Sprintf("the %s are too uncertain for this tolerance: even a perfect meter could not pass (probability %s); better known %s decide, or a wider tolerance", what, percent(p), what))
	return true
}

// surelyPasses is the room on both sides of 0, in standard uncertainties, with which two perfect values
// are both within in more than 99 of 100 cases.
const surelyPasses = 3

// narrowest is the least tolerance judged, in standard uncertainties.
func (r *Result) narrowest() float64 {
	least := math.Inf(1)
	for i, limit := range r.joint.Limits {
		if u := r.uncertaintyOf(i); u > 0 {
			least = math.Min(least, limit.High/u)
		}
	}
	return least
}

// uncertaintyOf is the standard uncertainty of a value that is judged.
func (r *Result) uncertaintyOf(i int) float64 {
	v := orZero(r.joint.Own, i) * orZero(r.joint.Own, i)
	v += orZero(r.joint.Scatter, i) * orZero(r.joint.Scatter, i)
	for _, s := range slices.Concat(r.joint.Shared, r.joint.SharedScatter) {
		v += s[i] * s[i]
	}
	return math.Sqrt(v)
}

// unmendable says why neither a trim nor a correction helps; "" where one does.
func (r *Result) unmendable() string {
	f := r.Fit
	switch {
	case r.frozen:
		return "the display is the same in every buffer"
	case r.Electrode != nil && r.Electrode.Verdict == conformity.Fail:
		return "the electrode fails, see below; mend or replace it first"
	case r.wrongModel():
		return fmt.Sprintf("%s, as asked, does not describe these points (chi-squared %.3g); fit a line to them (--fit errors-in-both)", r.Fit.Method, f.Chi2)
	case r.slopeOfScale():
		return "the unit or the scale comes first"
	case r.Kind == Other:
		return "" // a raw signal may have any slope
	case f.Slope <= 0:
		return "what it shows does not rise with the references; look for rows or bottles that changed places, else clean or replace the probe"
	case f.Slope < gainLow || f.Slope > gainHigh:
		return fmt.Sprintf("a slope of %.3g is no matter of adjustment; look for a wrong unit or scale, clean the probe, and replace it if that stays", f.Slope)
	}
	low, high, _, _ := f.ParameterLimits(line.Level)
	if f.Parameters == 2 && low <= 0 && high >= 0 {
		return "the slope is not told from flat; read more references, further apart"
	}
	return ""
}

// tightest is the value nearest to leaving its limits, in standard uncertainties, and its
// uncertainty.
func (r *Result) tightest() (at int, u float64) {
	nearest := math.Inf(1)
	for i := range r.joint.Value {
		s := r.uncertaintyOf(i)
		if s == 0 {
			continue
		}
		if room := (r.joint.Limits[i].High - math.Abs(r.joint.Value[i])) / s; room < nearest {
			nearest, at, u = room, i, s
		}
	}
	return at, u
}

// sayRepair comes before adjusting a meter that is more than out of adjustment.
func (r *Result) sayRepair() {
	gross := math.Abs(r.Points[r.WorstRow].Error) > grossFactor*r.Points[r.WorstRow].Allowed
	if r.Kind == EC && r.Fit.Method != line.MethodOffset && (r.Fit.Slope < gainLow || r.Fit.Slope > gainHigh) {
		gross = true
	}
	consistent, _, ok := r.Fit.Consistent()
	bent := r.bent()
	flagged := false
	for _, p := range r.Points {
		flagged = flagged || p.Flagged
	}
	switch {
	case r.slopeOfScale():
	case gross:
		r.say("the error is gross: clean the probe, use fresh portions of the references and repeat before adjusting anything; replace the probe if it stays")
	case flagged || bent || (ok && !consistent):
		r.say("the points do not lie on one line: clean the probe, use fresh portions of the references and repeat before adjusting anything")
	}
}

// worthCorrecting tells a correction apart from noise: at some reference the corrected value
// differs from the reading by more than its 95 % interval.
func (r *Result) worthCorrecting() bool {
	for _, row := range r.Rows {
		e, err := r.Fit.At(row.Reading, line.Level)
		if err != nil || math.IsNaN(e.Low) {
			continue
		}
		if row.Reading < e.Low || row.Reading > e.High {
			return true
		}
	}
	return false
}

// correction writes the line.
func (r *Result) correction() string {
	f := r.Fit
	sign, size := "+", f.Intercept
	if size < 0 {
		sign, size = "-", -size
	}
	switch f.Method {
	case line.MethodGain:
		return fmt.Sprintf("corrected = %s × reading", number(f.Slope))
	case line.MethodOffset:
		return fmt.Sprintf("corrected = reading %s %s", sign, number(size))
	}
	return fmt.Sprintf("corrected = %s × reading %s %s", number(f.Slope), sign, number(size))
}

// percent writes a probability or share.
func percent(p float64) string {
	switch {
	case p > 0.9995 && p <= 1:
		return "over 99.9 %"
	case p < 0.0005 && p >= 0:
		return "under 0.1 %"
	}
	return fmt.Sprintf("%.1f %%", 100*p)
}

// short writes v to the place of the second digit of u.
func short(v, u float64) string {
	if u <= 0 || math.IsInf(u, 0) || math.IsNaN(u) {
		return number(v)
	}
	places := 1 - int(math.Floor(math.Log10(u)))
	return fmt.Sprintf("%.*f", min(max(places, 0), 9), v)
}
