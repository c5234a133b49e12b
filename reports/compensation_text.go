package reports

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/scatter"
	"github.com/brinemark/brinemark/calib/tempcomp"
)

// compensationCautions go with every bench of this kind. Common practice.
var compensationCautions = List[string]{
	"warm and cool the cup in a bath of warm or iced water; no mains heater, immersion coil or heating pad in bottle or bath, and no mains gear near a wet bench",
	"let probe and liquid reach one temperature before each reading: stir, wait until the reading has stood still for a minute, and only then write both down",
	"cover 10 to 30 C in five steps, and go up and down once: if the two ways differ, the probe had not caught up",
	"cover the cup: what evaporates makes the liquid stronger, by about 1 % for each 1 % of mass",
	"water above 45 C scalds; the liquid is not for drinking, dosing or the tub, and is thrown away after use",
}

// usualAlpha is what reference takes a meter to do unless told, 1/C. Common
// practice, no source.
const usualAlpha = 0.02

// gainNotable is a gain so far from 1 that another reference temperature may
// explain it, and gainExplained how much nearer to 1 that must bring it.
const (
	gainNotable   = 0.05
	gainExplained = 1.0 / 3
)

// say puts the result into words.
func (r *Compensation) say(q CompensationQuestion) {
	advise := func(format string, args ...any) { r.Advice = append(r.Advice, fmt.Sprintf(format, args...)) }
	straight := fmt.Sprintf("%s to %g C", r.alphaText(plainPlace), r.RefTempC)
	switch wordOrEmpty(r.Rule) {
	case tempcomp.LinearName:
		r.Meaning = "the meter corrects by " + straight
	case tempcomp.NoneName:
		r.Meaning = "the meter does not correct for temperature: its readings rise with the conductivity itself, by about 2 % for each degree"
		advise("in brinemark reference give --compensation none; compare readings of this meter at one temperature only")
	case tempcomp.NaturalWaterName:
		r.Meaning = "the meter corrects by the natural-water rule (ISO 7888), not along a straight line; the nearest line is " + straight
		advise("in brinemark reference give --compensation natural-water")
	default:
		r.Meaning = "the readings cannot tell which rule the meter follows (" + r.chances() + "); along a straight line it corrects by " + straight
		advise("to tell the rules apart, read the bottle at five or more temperatures from 5 to 35 C, and state the uncertainty of the readings; over the temperatures read here the rules differ by little, or not by more than the readings scatter")
	}
	a := r.examined.Alpha
	builds := tempcomp.AlphaRange().Contains(a.Value) && a.Value > 0
	linear := r.Rule == nil || *r.Rule == tempcomp.LinearName
	if linear && builds {
		advise("in brinemark reference give --alpha %s%% --ref-temp %gC: ref is then what this meter should show", r.alphaDigits(a, plainPlace), r.RefTempC)
	}
	if linear && builds {
		r.sayClaim(q, advise)
	}
	explained := linear && builds && r.sayOtherReference(advise)
	if wordOrEmpty(r.Verdict) == "undecided" {
		advise("undecided: read more temperatures further apart, several times each, with the thermometer's uncertainty stated")
	}
	if e := r.examined.MeterGain; !explained && e.Low != nil && (*e.Low > 1 || *e.High < 1) {
		advise("at %g C it shows %s times what the bottle holds; that is its gain, which brinemark calibrate finds and corrects, and no matter of temperature", r.RefTempC, Significant(e.Value, 4))
	}
}

// chances lists the rules with their probabilities.
func (r *Compensation) chances() string {
	var parts []string
	for _, rule := range r.Rules {
		if p, known := rule.Probability.Get(); known {
			parts = append(parts, rule.Rule+" "+chanceText(p))
		}
	}
	return strings.Join(parts, ", ")
}

// chanceText writes a probability as a percentage that never says 0 or 100.
func chanceText(p float64) string {
	switch {
	case p < 0.001:
		return "under 0.1 %"
	case p > 0.999:
		return "over 99.9 %"
	}
	return Percent(p, 2)
}

// sayClaim compares with the coefficient claimed, or with the usual one.
func (r *Compensation) sayClaim(q CompensationQuestion, advise func(string, ...any)) {
	claim, given := q.Claimed.Get()
	if !given {
		claim = usualAlpha
	}
	text := fmt.Sprintf("%g %%/C", 100*claim)
	if !given {
		text += ", which brinemark reference takes unless told,"
	}
	a := r.examined.Alpha
	if a.Low == nil {
		return
	}
	if *a.Low <= claim && claim <= *a.High {
		advise("%s lies within the interval: these readings do not speak against it", text)
		return
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, x := range r.Readings {
		low, high = math.Min(low, x.TempC), math.Max(high, x.TempC)
	}
	var costs []string
	for _, t := range []float64{low, high} {
		if off, err := r.examined.Misreading(tempcomp.Linear{Alpha: claim, RefTempC: r.RefTempC}, t); err == nil {
			costs = append(costs, fmt.Sprintf("%s at %g C", plus(off.Value, Percent(off.Value, 2)), t))
		}
	}
	advise("%s lies outside the interval; taken for it, the meter would seem to be off by %s", text, strings.Join(costs, " and "))
}

// sayOtherReference mentions a usual reference temperature from which the
// meter's gain looks right, where from this one it does not, and tells whether
// there is one.
func (r *Compensation) sayOtherReference(advise func(string, ...any)) bool {
	gain := r.examined.Gain.Value
	if math.Abs(math.Log(gain)) < gainNotable {
		return false
	}
	best := slices.MinFunc(append([]SameMeterAt{{Gain: Known(gain)}}, r.SameAt...), func(a, b SameMeterAt) int {
		x, _ := a.Gain.Get()
		y, _ := b.Gain.Get()
		if math.Abs(math.Log(x)) < math.Abs(math.Log(y)) {
			return -1
		}
		return 1
	})
	g, _ := best.Gain.Get()
	if best.RefTempC == 0 || math.Abs(math.Log(g)) > gainExplained*math.Abs(math.Log(gain)) {
		return false
	}
	alpha, _ := best.Alpha.Get()
	advise("seen from %g C the same readings mean %s %%/C and a gain of %s: if the manual says %g C, give --alpha %s%% --ref-temp %gC instead",
		best.RefTempC, Significant(alpha, 3), Significant(g, 3), best.RefTempC, Significant(alpha, 3), best.RefTempC)
	return true
}

// plainPlace is the finest decimal place of a coefficient in %/C that is worth
// typing: half of it is 0.1 % of a reading over 20 C. House rule.
const plainPlace = -2

// alphaText is the coefficient with its interval, no finer than 10^finest.
func (r *Compensation) alphaText(finest int) string {
	a := r.examined.Alpha
	text := r.alphaDigits(a, finest) + " %/C"
	if a.Low == nil {
		return text + " (uncertainty unknown)"
	}
	place := max(r.alphaPlace(a), finest)
	return fmt.Sprintf("%s (95 %% interval %s to %s)", text, toPlace(100**a.Low, place), toPlace(100**a.High, place))
}

// alphaDigits writes a coefficient in % to two digits of its uncertainty, no
// finer than 10^finest.
func (r *Compensation) alphaDigits(a scatter.Estimate, finest int) string {
	return toPlace(100*a.Value, max(r.alphaPlace(a), finest))
}

func (r *Compensation) alphaPlace(a scatter.Estimate) int {
	if a.U == nil || !(*a.U > 0) {
		return plainPlace
	}
	return leadingPlace(100**a.U, uncertaintyDigits) - (uncertaintyDigits - 1)
}
