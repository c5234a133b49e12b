package tempcomp_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// referenceBottle is 0.01 mol/kg potassium chloride, its strength known to u.
func referenceBottle(t *testing.T, u float64) tempcomp.Bottle {
	t.Helper()
	q, err := quantity.Parse("0.01mol/kg")
	require.NoError(t, err)
	strength := uncert.Must(uncert.New(0.01, 0.01*u, uncert.Source{ID: solutions.StrengthID, Label: "strength"}))
	r, err := solutions.NewSaltReference(solutions.KCl, q, strength, nil)
	require.NoError(t, err)
	b, err := tempcomp.ReferenceBottle(r)
	require.NoError(t, err)
	return b
}

// sheet is what a pen shows in the published solution, rounded to a step.
func sheet(show func(kappa, temp float64) float64, step float64, temps ...float64) []tempcomp.Observation {
	var out []tempcomp.Observation
	for _, temp := range temps {
		x := show(publishedKCl[temp], temp)
		if step > 0 {
			x = step * math.Round(x/step)
		}
		out = append(out, tempcomp.Observation{Reading: x, TempC: temp})
	}
	return out
}

func straight(alpha, ref float64) func(kappa, temp float64) float64 {
	return func(kappa, temp float64) float64 { return kappa / (1 + alpha*(temp-ref)) }
}

func natural(t *testing.T) func(kappa, temp float64) float64 {
	return func(kappa, temp float64) float64 {
		f, err := tempcomp.NaturalWater{}.Factor(temp)
		require.NoError(t, err)
		return kappa / f
	}
}

func bare(kappa, _ float64) float64 { return kappa }

func examine(t *testing.T, b tempcomp.Bottle, o tempcomp.ExamineOptions, sheet []tempcomp.Observation) tempcomp.Examination {
	t.Helper()
	exact := 0.0
	readings, err := tempcomp.Observed(sheet, &exact)
	require.NoError(t, err)
	if o.RefTempC == 0 {
		o.RefTempC = 25
	}
	if o.Scale.Factor == 0 {
		o.Scale = tempcomp.MicroSiemens()
	}
	e, err := tempcomp.Examine(b, readings, o)
	require.NoError(t, err)
	return e
}

// Pens computed from the primary table (Pratt, Koch, Wu, Berezansky, Pure Appl.
// Chem. 73 (2001) 1783) with a display of 1 uS/cm: coefficient, gain and rule
// come back.
func TestExamineFindsTheRuleFromPublishedKCl(t *testing.T) {
	temps := []float64{5, 10, 15, 20, 25, 30, 35}
	for _, c := range []struct {
		name string
		show func(kappa, temp float64) float64
		rule string
	}{
		{"2 %", straight(0.02, 25), "linear"},
		{"1.91 %", straight(0.0191, 25), "linear"},
		{"2.5 % to 20 C", straight(0.025, 20), "linear"},
		{"none", bare, "none"},
		{"natural water", natural(t), "natural-water"},
	} {
		e := examine(t, referenceBottle(t, 0.003), tempcomp.ExamineOptions{Resolution: 1}, sheet(c.show, 1, temps...))
		assert.Equal(t, c.rule, e.Rule, c.name)
		require.Len(t, e.Rules, 3)
		sum := 0.0
		for _, r := range e.Rules {
			sum += *r.Probability
			if r.Name == c.rule {
				assert.Less(t, r.RMS, 1e-3, c.name)
				assert.Greater(t, *r.Probability, 0.99, c.name)
			}
		}
		assert.InDelta(t, 1, sum, 1e-12)
	}
	e := examine(t, referenceBottle(t, 0.003), tempcomp.ExamineOptions{}, sheet(straight(0.02, 25), 0, temps...))
	assert.InDelta(t, 0.02, e.Alpha.Value, 3e-5)
	assert.InDelta(t, 1, e.MeterGain.Value, 1e-3)
	// The strength moves the meter's gain and nothing else.
	assert.InDelta(t, 0.003, *e.MeterGain.U, 4e-4)
	assert.Less(t, *e.Gain.U, 0.0007)
	assert.Nil(t, e.Own)
	at20, err := e.GainAt(20)
	require.NoError(t, err)
	assert.InDelta(t, 1/0.9, at20.Value, 1e-3)
}

// Two rules that no display can tell apart are not told apart: over 20 to 30 C
// natural-water compensation is straight to 0.1 %.
func TestExamineLeavesOpenWhatItCannotTell(t *testing.T) {
	e := examine(t, referenceBottle(t, 0.003), tempcomp.ExamineOptions{Resolution: 10}, sheet(natural(t), 10, 20, 25, 30))
	assert.Empty(t, e.Rule)
	for _, r := range e.Rules[:2] {
		require.NotNil(t, r.Probability)
	}
	assert.Greater(t, *e.Rules[2].Probability, 0.01)
	// Beyond 35.9 C the natural-water rule is not defined, and the others share
	// what probability there is.
	hot := examine(t, referenceBottle(t, 0.003), tempcomp.ExamineOptions{Resolution: 1}, sheet(straight(0.02, 25), 1, 20, 30, 40))
	assert.Nil(t, hot.Rules[2].Probability)
	assert.Contains(t, hot.Rules[2].WhyNot, "0 to 35.9 C")
	assert.InDelta(t, 1, *hot.Rules[0].Probability+*hot.Rules[1].Probability, 1e-12)
	assert.Equal(t, "linear", hot.Rule)
}

// A gain known with the compensation switched off shows the meter's own
// reference temperature; the strength of the bottle is in its uncertainty.
func TestExamineOwnReferenceTemperature(t *testing.T) {
	show := func(kappa, temp float64) float64 { return 0.97 * straight(0.021, 20)(kappa, temp) }
	gain := uncert.Must(uncert.New(0.97, 0.002, uncert.Source{ID: "gain", Label: "gain"}))
	s := sheet(show, 1, 10, 15, 20, 25, 30, 35)
	e := examine(t, referenceBottle(t, 0.004), tempcomp.ExamineOptions{Resolution: 1, MeterGain: &gain}, s)
	require.NotNil(t, e.Own)
	assert.InDelta(t, 20, e.Own.RefTempC.Value, 0.1)
	assert.InDelta(t, 0.021, e.Own.Alpha.Value, 5e-5)
	// u: 0.2 % of gain and 0.4 % of strength at 2.1 %/C.
	assert.InDelta(t, math.Hypot(0.002/0.97, 0.004)/0.021, *e.Own.RefTempC.U, 0.02)
	assert.InDelta(t, 0.021/1.105, e.Alpha.Value, 5e-5, "what was asked for stands beside it")
	assert.NotContains(t, strings.Join(e.Warnings, "\n"), "was taken as")
	// Without a known strength there is no interval.
	unknownStrength := examine(t, kclBottle(t), tempcomp.ExamineOptions{Resolution: 1, MeterGain: &gain}, s)
	assert.Nil(t, unknownStrength.Own.RefTempC.U)
	assert.Nil(t, unknownStrength.MeterGain.U)
	assert.NotNil(t, unknownStrength.Alpha.U)
}

func TestExamineJudgesAClaim(t *testing.T) {
	temps := []float64{5, 10, 15, 20, 25, 30, 35}
	verdict := func(show func(kappa, temp float64) float64, claim tempcomp.Claim) tempcomp.Examination {
		return examine(t, referenceBottle(t, 0.003), tempcomp.ExamineOptions{Resolution: 1, Claim: &claim}, sheet(show, 1, temps...))
	}
	assert.Equal(t, conformity.Pass, verdict(straight(0.02, 25), tempcomp.Claim{Alpha: 0.02, Tolerance: 0.001}).Verdict)
	assert.Equal(t, conformity.Fail, verdict(straight(0.018, 25), tempcomp.Claim{Alpha: 0.02, Tolerance: 0.001}).Verdict)
	edge := verdict(straight(0.0191, 25), tempcomp.Claim{Alpha: 0.02, Tolerance: 0.0009})
	assert.Equal(t, conformity.Undecided, edge.Verdict)
	assert.InDelta(t, 0.5, *edge.PWithin, 0.45)
	none := verdict(straight(0.02, 25), tempcomp.Claim{Alpha: 0.02})
	assert.Empty(t, none.Verdict)
	assert.Nil(t, none.PWithin)
	// A meter of another rule does not do as claimed, though its slope at 25 C is near.
	other := verdict(natural(t), tempcomp.Claim{Alpha: 0.022, Tolerance: 0.004})
	assert.Equal(t, "natural-water", other.Rule)
	assert.Equal(t, conformity.Fail, other.Verdict)
}

// One percent at 20 C: what taking 2 %/C for 1.8 %/C costs, by hand.
func TestMisreading(t *testing.T) {
	e := examine(t, referenceBottle(t, 0.003), tempcomp.ExamineOptions{Resolution: 0.1}, sheet(straight(0.018, 25), 0.1, 10, 20, 30))
	off, err := e.Misreading(tempcomp.Linear{Alpha: 0.02, RefTempC: 25}, 20)
	require.NoError(t, err)
	assert.InDelta(t, 0.9/0.91-1, off.Value, 2e-4)
	assert.Greater(t, *off.U, 0.0)
	// From the meter's own reference temperature the answer is the same.
	one := uncert.Exact(1)
	own := examine(t, referenceBottle(t, 0), tempcomp.ExamineOptions{Resolution: 0.1, RefTempC: 20, MeterGain: &one}, sheet(straight(0.018, 25), 0.1, 10, 20, 30))
	require.NotNil(t, own.Own)
	again, err := own.Own.Misreading(tempcomp.Linear{Alpha: 0.02, RefTempC: 25}, 20)
	require.NoError(t, err)
	assert.InDelta(t, off.Value, again.Value, 1e-9)
	_, err = e.Misreading(tempcomp.Linear{Alpha: 0.02, RefTempC: 25}, 90)
	assert.ErrorIs(t, err, tempcomp.ErrOutOfRange)
}

func TestExamineWarns(t *testing.T) {
	b := referenceBottle(t, 0.003)
	// A display in steps of 0.01 mS/cm shows 1.41 all the way, and rightly so.
	s := sheet(func(k, temp float64) float64 { return straight(0.02, 25)(k, temp) / 1000 }, 0.01, 20, 25, 30, 35)
	e := examine(t, b, tempcomp.ExamineOptions{Scale: tempcomp.MilliSiemens(), Resolution: 0.01}, s)
	assert.Contains(t, strings.Join(e.Warnings, "\n"), "every reading is 1.41")
	assert.LessOrEqual(t, *e.Alpha.Low, 0.02)
	assert.GreaterOrEqual(t, *e.Alpha.High, 0.02)
	// A reading of a probe that was still cold.
	u := 1.0
	s = sheet(straight(0.02, 25), 1, 5, 10, 15, 20, 25, 30, 35)
	s[5].Reading -= 30
	for i := range s {
		s[i].UReading = &u
	}
	e = examine(t, b, tempcomp.ExamineOptions{}, s)
	assert.Equal(t, []bool{false, false, false, false, false, true, false}, e.Outlying)
	assert.Contains(t, strings.Join(e.Warnings, "\n"), "reading 6 stands out")
	s[5].Reading += 30
	e = examine(t, b, tempcomp.ExamineOptions{}, s)
	assert.NotContains(t, e.Outlying, true)
	// A display in ppm that nobody mentioned.
	s = sheet(func(k, temp float64) float64 { return straight(0.02, 25)(k, temp) / 2 }, 1, 10, 20, 30)
	assert.Contains(t, strings.Join(examine(t, b, tempcomp.ExamineOptions{}, s).Warnings, "\n"), "in ppm")
}

func TestExamineRefuses(t *testing.T) {
	b := referenceBottle(t, 0.003)
	ok := sheet(straight(0.02, 25), 1, 10, 20, 30)
	o := tempcomp.ExamineOptions{RefTempC: 25, Scale: tempcomp.MicroSiemens()}
	with := func(change func(*tempcomp.ExamineOptions)) tempcomp.ExamineOptions {
		c := o
		change(&c)
		return c
	}
	same := []tempcomp.Observation{{Reading: 1410, TempC: 10}, {Reading: 1410, TempC: 20}, {Reading: 1410, TempC: 30}}
	thousand := []tempcomp.Observation{{Reading: 1.42, TempC: 10}, {Reading: 1.41, TempC: 20}, {Reading: 1.4, TempC: 30}}
	var many []tempcomp.Observation
	for range 67 {
		many = append(many, ok...)
	}
	for _, c := range []struct {
		name  string
		sheet []tempcomp.Observation
		o     tempcomp.ExamineOptions
		cause error
		text  string
	}{
		{"two temperatures", append(ok[:2:2], ok[0]), o, tempcomp.ErrTooFew, "2 different temperatures"},
		{"two that are one", append(ok[:2:2], tempcomp.Observation{Reading: 1412, TempC: 20.9}), o, tempcomp.ErrTooFew, "3 or more"},
		{"one temperature", []tempcomp.Observation{ok[0], ok[0], ok[0]}, o, tempcomp.ErrOneTemp, "from 10 to 10 C"},
		{"constant", same, o, tempcomp.ErrNoScatter, "step of the display"},
		{"a thousand", thousand, o, tempcomp.ErrWrongUnit, "reading 1: 1.42 uS/cm, about a thousand times smaller"},
		{"too many", many, o, tempcomp.ErrTooMany, "at most 200"},
		{"resolution", ok, with(func(o *tempcomp.ExamineOptions) { o.Resolution = 2000 }), tempcomp.ErrOutOfRange, "step of the display"},
		{"negative resolution", ok, with(func(o *tempcomp.ExamineOptions) { o.Resolution = -1 }), tempcomp.ErrOutOfRange, "step of the display"},
		{"NaN resolution", ok, with(func(o *tempcomp.ExamineOptions) { o.Resolution = math.NaN() }), tempcomp.ErrOutOfRange, "NaN"},
		{"claim", ok, with(func(o *tempcomp.ExamineOptions) { o.Claim = &tempcomp.Claim{Alpha: 2, Tolerance: 0.1} }), tempcomp.ErrOutOfRange, "percent"},
		{"tolerance", ok, with(func(o *tempcomp.ExamineOptions) { o.Claim = &tempcomp.Claim{Alpha: 0.02, Tolerance: -0.1} }), tempcomp.ErrOutOfRange, "tolerance"},
	} {
		readings, err := tempcomp.Observed(c.sheet, nil)
		require.NoError(t, err)
		_, err = tempcomp.Examine(b, readings, c.o)
		require.ErrorIs(t, err, c.cause, c.name)
		assert.Contains(t, err.Error(), c.text, c.name)
	}
	minus := -1.0
	_, err := tempcomp.Observed([]tempcomp.Observation{{Reading: 1, UReading: &minus}}, nil)
	assert.ErrorIs(t, err, uncert.ErrNegative)
	var place *tempcomp.ReadingError
	_, err = tempcomp.Observed([]tempcomp.Observation{{Reading: 1}, {Reading: 1, UTempC: &minus}}, nil)
	require.ErrorAs(t, err, &place)
	assert.Equal(t, 1, place.Index)
	assert.Equal(t, tempcomp.OfTemperature, place.Of)
}

// Unknown, exact and zero: what is not stated is listed, what is exact is not.
func TestObservedKnowsUnknownFromZero(t *testing.T) {
	zero, half := 0.0, 0.5
	for _, c := range []struct {
		o        tempcomp.Observation
		shared   *float64
		unstated []int // of reading and temperature
		u        float64
	}{
		{tempcomp.Observation{}, nil, []int{1, 1}, 0},
		{tempcomp.Observation{UReading: &zero}, &zero, []int{0, 0}, 0},
		{tempcomp.Observation{UReading: &half, UTempC: &half}, &half, []int{0, 0}, math.Sqrt(0.5)},
		{tempcomp.Observation{UTempC: &half}, &zero, []int{1, 0}, 0.5},
		{tempcomp.Observation{}, &half, []int{1, 0}, 0.5},
	} {
		r, err := tempcomp.Observed([]tempcomp.Observation{c.o}, c.shared)
		require.NoError(t, err)
		assert.Len(t, r[0].Shown.Unstated(), c.unstated[0])
		assert.Len(t, r[0].TempC.Unstated(), c.unstated[1])
		assert.InDelta(t, c.u, r[0].TempC.U(), 1e-12)
	}
	// A thermometer is one error in all lines.
	r, err := tempcomp.Observed([]tempcomp.Observation{{TempC: 1}, {TempC: 2}}, &half)
	require.NoError(t, err)
	assert.InDelta(t, 1, uncert.Corr(r[0].TempC, r[1].TempC), 1e-12)
}
