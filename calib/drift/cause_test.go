package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// visits is a record of so many visits, with the errors that wrong tells, and
// a scatter and uncertainties as growers have them.
func visits(n int, days float64, kind check.Kind, wrong func(ref, years float64) float64, refs ...float64) []Entry {
	rng := rand.New(rand.NewPCG(31, uint64(n)))
	var out []Entry
	for i := range n {
		for k, ref := range refs {
			uRef, uReading, step := 0.01, 0.015, 0.01
			if kind == check.EC {
				uRef, uReading, step = 0.004*ref, 0.004*ref, 1
			}
			ago := days * float64(n-1-i)
			reading := ref + wrong(ref, days*float64(i)/365.25) + math.Hypot(uRef, uReading)*rng.NormFloat64()
			out = append(out, Entry{Time: at(ago + 1).Add(time.Duration(k) * 5 * time.Minute), Ref: ptr(ref), Reading: ptr(math.Round(reading/step) * step),
				URef: ptr(uRef), UReading: ptr(uReading)})
		}
	}
	return out
}

func phAsked(tolerance float64) Options {
	return Options{Kind: check.PH, Tolerance: &quantity.Tolerance{Value: tolerance}, Now: noon}
}

func alarmOf(r *Result, kind AlarmKind) string {
	for _, a := range r.Alarms {
		if a.Kind == kind {
			return a.Text
		}
	}
	return ""
}

// An electrode whose slope falls from 100 % to 88 % in a year, checked every
// fortnight: it is off at the buffer away from pH 7, and no check is bad.
func TestWeakSlopeIsNoBadCheck(t *testing.T) {
	falling := func(ref, years float64) float64 { return -0.12 * years * (ref - 7) }
	for _, c := range []struct {
		refs []float64
		at   float64
	}{{[]float64{7, 4}, 4}, {[]float64{4, 7}, 4}, {[]float64{7, 10}, 10}, {[]float64{4, 7, 10}, 4}} {
		for _, stated := range []bool{true, false} {
			list := visits(27, 14, check.PH, falling, c.refs...)
			for i := range list {
				if !stated {
					list[i].URef, list[i].UReading = nil, nil
				}
			}
			r := mustRun(t, list, phAsked(0.1))
			assert.Equal(t, conformity.Fail, r.Verdict, "%v", c.refs)
			assert.False(t, r.hasAlarm(AlarmWrong), "%v: %v", c.refs, kinds(r))
			assert.True(t, r.hasAlarm(AlarmTrend), "%v: %v", c.refs, kinds(r))
			assert.Contains(t, alarmOf(r, AlarmWeakSlope), "the electrode's slope has weakened: what is shown moves only 8", "%v", c.refs)
			if len(c.refs) == 2 {
				assert.Equal(t, c.at, r.Ref)
			}
			assert.Contains(t, alarmOf(r, AlarmOutside), fmt.Sprintf("outside tolerance at %v: ", r.Ref))
			assert.InDelta(t, falling(r.Ref, 26*14/365.25), r.Error.Value, 3*r.Error.U, "%v", c.refs)
			assert.Less(t, r.Error.U, 0.02)
			require.NotNil(t, r.Gain)
			assert.InDelta(t, -0.12, r.Gain.Now.Value, 0.012)
			assert.InDelta(t, 0, r.Zero.Now.Value, 0.03)
		}
	}
}

// An electrode that dried out lost its slope between two visits.
func TestSlopeThatFallsAtOnce(t *testing.T) {
	dried := func(ref, years float64) float64 {
		if years*365.25 > 16.5*14 {
			return -0.1 * (ref - 7)
		}
		return 0
	}
	for _, refs := range [][]float64{{7, 4}, {4, 7}, {7, 10}} {
		r := mustRun(t, visits(20, 14, check.PH, dried, refs...), phAsked(0.2))
		assert.Equal(t, conformity.Fail, r.Verdict, "%v", refs)
		assert.False(t, r.hasAlarm(AlarmWrong), "%v: %v", refs, kinds(r))
		assert.True(t, r.hasAlarm(AlarmStep), "%v: %v", refs, kinds(r))
		assert.True(t, r.hasAlarm(AlarmWeakSlope), "%v: %v", refs, kinds(r))
	}
	// At the first visit that shows it, it may as well be the buffer.
	first := mustRun(t, visits(17, 14, check.PH, func(ref, years float64) float64 {
		if years*365.25 > 15.5*14 {
			return -0.1 * (ref - 7)
		}
		return 0
	}, 7, 4), phAsked(0.2))
	assert.Equal(t, conformity.Undecided, first.Verdict)
	assert.Contains(t, fmt.Sprint(first.Warnings), "the last check does not fit those before it")
}

// What two or three bottles show on a first visit is not averaged away.
func TestFirstVisitWithSeveralReferences(t *testing.T) {
	weak := mustRun(t, visits(1, 14, check.PH, func(ref, _ float64) float64 { return -0.0667 * (ref - 7) }, 7, 4), phAsked(0.1))
	assert.Equal(t, 4.0, weak.Ref)
	assert.Less(t, weak.PWithin, 0.5)
	assert.True(t, weak.Error.Low < 0.2 && weak.Error.High > 0.2, "%+v", weak.Error)
	assert.False(t, weak.hasAlarm(AlarmWrong))

	zero := mustRun(t, visits(1, 30, check.EC, func(_, _ float64) float64 { return 20 }, 200, 700, 1400), asked())
	assert.Equal(t, 200.0, zero.Ref)
	assert.Less(t, zero.PWithin, 0.5)
	assert.True(t, zero.Error.Low < 0.1 && zero.Error.High > 0.1, "%+v", zero.Error)
	assert.False(t, zero.hasAlarm(AlarmWrong))
}

// A zero error is named, with what it comes to in weak and in strong solutions.
func TestZeroErrorIsNamed(t *testing.T) {
	for _, refs := range [][]float64{{200, 1400}, {200, 700, 1400}, {1400, 700, 200}} {
		for _, size := range []float64{20, -20} {
			r := mustRun(t, visits(12, 30, check.EC, func(_, _ float64) float64 { return size }, refs...), asked())
			assert.Equal(t, conformity.Fail, r.Verdict)
			assert.Equal(t, 200.0, r.Ref)
			assert.InDelta(t, size/200, r.Error.Value, 3*r.Error.U)
			assert.False(t, r.hasAlarm(AlarmWrong))
			word := "high"
			if size < 0 {
				word = "low"
			}
			assert.Regexp(t, "a zero error: it reads about (19|2[01])\\.?[0-9]* ± [0-9.]+ too "+word+" at any strength", alarmOf(r, AlarmZero))
		}
	}
	// A gain error is the same at all of them: nothing differs that needs a name.
	r := mustRun(t, visits(12, 30, check.EC, func(ref, years float64) float64 { return 0.09 * years * ref }, 200, 700, 1400), asked())
	assert.Equal(t, conformity.Fail, r.Verdict)
	assert.False(t, r.hasAlarm(AlarmZero, AlarmGain, AlarmWrong), kinds(r))
	assert.InDelta(t, 0.09*330/365.25, r.Error.Value, 3*r.Error.U)
	// Nor does a pH electrode's zero point.
	ph := mustRun(t, visits(20, 14, check.PH, func(_, _ float64) float64 { return 0.15 }, 7, 4), phAsked(0.1))
	assert.Equal(t, conformity.Fail, ph.Verdict)
	assert.InDelta(t, 0.15, ph.Error.Value, 3*ph.Error.U)
	assert.False(t, ph.hasAlarm(AlarmWeakSlope, AlarmGain, AlarmWrong), kinds(ph))
	// A slope that is too steep points to a buffer.
	steep := mustRun(t, visits(20, 14, check.PH, func(ref, _ float64) float64 { return 0.05 * (ref - 7) }, 7, 4), phAsked(0.1))
	assert.Contains(t, alarmOf(steep, AlarmGain), "a buffer that was not what its label says")
	assert.False(t, steep.hasAlarm(AlarmWeakSlope))
	other := mustRun(t, visits(20, 14, check.Humidity, func(ref, _ float64) float64 { return 0.2 * (ref - 50) }, 33, 75),
		Options{Kind: check.Humidity, Tolerance: &quantity.Tolerance{Value: 5}, Now: noon})
	assert.Contains(t, alarmOf(other, AlarmGain), "from a reference of 33 to one of 75 the error moves by +8.4")
}

// A meter adjusted at one reference alone keeps its zero error: it is no bad
// check after every adjustment.
func TestAdjustedAtOneReference(t *testing.T) {
	list := visits(12, 30, check.EC, func(ref, _ float64) float64 { return 12 * (1 - ref/1413) }, 84, 1413)
	var out []Entry
	for i, e := range list {
		out = append(out, e)
		if i%6 == 5 && i < len(list)-1 {
			out = append(out, Entry{Time: e.Time.Add(time.Minute), Event: Adjusted})
		}
	}
	r := mustRun(t, out, Options{Kind: check.EC, Tolerance: &quantity.Tolerance{Value: 0.03, Relative: true}, Now: noon})
	assert.False(t, r.hasAlarm(AlarmWrong), kinds(r))
	assert.Equal(t, 84.0, r.Ref)
	assert.InDelta(t, 12*(1-84/1413.0)/84, r.Error.Value, 3*r.Error.U)
	assert.Equal(t, conformity.Fail, r.Verdict)
}

// One check of a reference long ago says little of it now; one of the last
// visit does.
func TestReferencesInUse(t *testing.T) {
	list := visits(12, 14, check.PH, func(_, _ float64) float64 { return 0 }, 7)
	old := list[3]
	old.Time, old.Ref, old.Reading = old.Time.Add(time.Minute), ptr(4.0), ptr(4.3)
	r := mustRun(t, append(list[:len(list):len(list)], old), phAsked(0.1))
	assert.Equal(t, 7.0, r.Ref)
	last := list[len(list)-1]
	last.Time, last.Ref, last.Reading = last.Time.Add(time.Minute), ptr(4.0), ptr(4.3)
	r = mustRun(t, append(list[:len(list):len(list)], last), phAsked(0.1))
	assert.Equal(t, 4.0, r.Ref)
	assert.NotEqual(t, conformity.Pass, r.Verdict)
}

// An electrode that died shows pH 7 in every buffer. Twice in a row may still be
// a buffer; three times is no slip.
func TestDeadElectrodeDoesNotPass(t *testing.T) {
	dead := func(ref, years float64) float64 {
		if years*365.25 > 8.5*14 {
			return 7 - ref
		}
		return 0
	}
	for _, refs := range [][]float64{{7, 4}, {4, 7}, {7, 10}, {4, 7, 10}} {
		list := visits(12, 14, check.PH, dead, refs...)
		twice := mustRun(t, list[:11*len(refs)], phAsked(0.1))
		assert.NotEqual(t, conformity.Pass, twice.Verdict, "%v", refs)
		r := mustRun(t, list, phAsked(0.1))
		assert.Equal(t, conformity.Fail, r.Verdict, "%v", refs)
		bad := 0
		for _, c := range r.Checks {
			bad += int(one(c.Wrong > 0.5))
		}
		assert.LessOrEqual(t, bad, 1, "%v: the first buffer that showed it at most", refs)
		assert.InDelta(t, dead(r.Ref, 1), r.Error.Value, 3*r.Error.U, "%v", refs)
		assert.Greater(t, math.Abs(r.Error.Value), 2.0)
	}
}
