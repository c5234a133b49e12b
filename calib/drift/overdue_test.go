package drift

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/stretchr/testify/assert"
)

// marchDay is the day a number of days after the first of March 2026.
func marchDay(n int) string { return day(time.Date(2026, 3, 1+n, 0, 0, 0, 0, time.UTC)) }

// laterAsked is the same question so many days later.
func laterAsked(o Options, days int) Options {
	o.Now = o.Now.AddDate(0, 0, days)
	return o
}

// Of meters of all kinds: a check is overdue from the day on that was foretold
// right after the last entry, and that day stays whatever the clock says; a meter
// that need not be checked before tomorrow is not overdue.
func TestOverdueSince(t *testing.T) {
	lives := 24
	if testing.Short() {
		lives = 8
	}
	rng := rand.New(rand.NewPCG(9, 2))
	found := 0
	for range lives {
		l := everything().draw(rng)
		last := l.entries[len(l.entries)-1].Time
		o := l.o
		o.Now = last
		foretold := mustRun(t, l.entries, o)
		assert.True(t, foretold.OverdueSince.IsZero(), "nothing is overdue on the day of the last entry")
		since := time.Time{}
		for _, days := range []int{1, 3, 10, 25, 40, 90, 400} {
			r := mustRun(t, l.entries, laterAsked(o, days))
			today := midnight(r.Now)
			assert.False(t, r.NextCheck.Before(today))
			assert.False(t, !r.Due.IsZero() && r.Due.Before(today), "due is never before now")
			if r.NextCheck.After(today) {
				assert.True(t, r.OverdueSince.IsZero())
			}
			if r.OverdueSince.IsZero() {
				assert.True(t, since.IsZero() || r.NextCheck.After(today), "what was overdue stays so")
				continue
			}
			found++
			assert.True(t, r.OverdueSince.Before(today))
			assert.Equal(t, day(foretold.NextCheck), day(r.OverdueSince), "%s, %d days later", l.o.Kind, days)
			assert.True(t, since.IsZero() || since.Equal(r.OverdueSince), "the day does not move")
			assert.Contains(t, r.Why, "(overdue since "+r.OverdueSince.Format("2 January 2006")+")")
			since = r.OverdueSince
		}
		assert.False(t, since.IsZero(), "400 days are more than any practice")
	}
	assert.Greater(t, found, 3*lives)
}

// The missed day in known cases: by common practice, by the risk, by a check that
// itself was outside, after something was done to the meter, and in another zone.
func TestWhichDayIsOverdue(t *testing.T) {
	steady := monthly(0.1, -0.2, 0.2, 0.1, -0.1, 0, 0.2, -0.1) // the last check is 10 days before noon of 1 March
	r := mustRun(t, steady, laterAsked(asked(), 20))
	assert.Equal(t, marchDay(20), day(r.NextCheck), "the 30th day after the check")
	assert.True(t, r.OverdueSince.IsZero(), "it is due today")
	assert.NotContains(t, r.Why, "overdue")
	for _, days := range []int{21, 60, 300} {
		r = mustRun(t, steady, laterAsked(asked(), days))
		assert.Equal(t, marchDay(20), day(r.OverdueSince))
		assert.Equal(t, marchDay(days), day(r.NextCheck), "the advice is never in the past")
	}
	without := laterAsked(asked(), 40)
	without.Tolerance = nil
	assert.Equal(t, marchDay(20), day(mustRun(t, steady, without).OverdueSince), "practice needs no tolerance")

	outside := mustRun(t, monthly(0, 1, 2, 3, 4, 5, 6, 7), asked())
	assert.Equal(t, conformity.Fail, outside.Verdict)
	assert.Equal(t, marchDay(-10), day(outside.OverdueSince), "the last check found it outside")

	drifting := monthly(0, 0.8, 1.6, 2.4, 3.2, 4)
	foretold := laterAsked(asked(), -10)
	due := mustRun(t, drifting, foretold).Due
	r = mustRun(t, drifting, laterAsked(asked(), 40))
	assert.True(t, due.After(at(10)) && due.Before(at(10).AddDate(0, 0, 30)), "the risk comes before the 30 days of practice")
	assert.Equal(t, day(due), day(r.OverdueSince))

	mended := append(monthly(0, 1, 2, 3, 4, 5, 6, 7), Entry{Time: at(9), Event: Adjusted})
	r = mustRun(t, mended, asked())
	assert.True(t, r.OverdueSince.IsZero() || day(r.OverdueSince) == marchDay(-9), "what was done to it begins the forecast anew: %v", r.OverdueSince)

	east := laterAsked(asked(), 21)
	east.Now = east.Now.In(time.FixedZone("", 14*3600)) // the check at noon fell on the next day there
	assert.Equal(t, marchDay(21), day(mustRun(t, steady, east).OverdueSince))
}

// A check with several readings is spoken of once.
func TestOneDoubtForACheck(t *testing.T) {
	var list []Entry
	for i, p := range []float64{0.1, -0.2, 0.2, 4, -0.1, 0, 0.2, -0.1} {
		for k, ref := range []float64{500, 1413} {
			e := Entry{Time: at(float64(240 - 30*i)), Ref: ptr(ref), Reading: ptr(ref * (1 + (p+0.1*float64(k))/100)), URef: ptr(0.002 * ref), UReading: ptr(0.002 * ref)}
			list = append(list, e)
		}
	}
	r := mustRun(t, list, asked())
	wrong := 0
	for _, a := range r.Alarms {
		if a.Kind == AlarmWrong {
			wrong++
			assert.Contains(t, a.Text, ", +4.1")
		}
	}
	for _, w := range r.Warnings {
		if assert.NotContains(t, w, "probability  "); len(w) > 9 && w[:9] == "the check" {
			wrong++
		}
	}
	assert.Equal(t, 1, wrong, "%v %v", r.Alarms, r.Warnings)
}

// A warning of several checks that may be wrong names each day once, and the
// largest of the probabilities.
func TestWarningOfDoubtfulChecks(t *testing.T) {
	r := &Result{Checks: []CheckView{{Time: at(30), Wrong: 0.2}, {Time: at(30), Wrong: 0.4}, {Time: at(30), Wrong: 0.99}, {Time: at(20), Wrong: 0.3}, {Time: at(10), Wrong: 0.05}}}
	r.warnWrong()
	assert.Equal(t, []string{"the check of 2026-01-30 may be wrong (probability up to 40 %)", "the check of 2026-02-09 may be wrong (probability 30 %)"}, r.Warnings)
}

// What is rounded to nothing has no sign.
func TestNothingHasNoSign(t *testing.T) {
	r := &Result{}
	assert.Equal(t, "0.00 ± 0.15", r.errorText(-0.001, 0.15))
	assert.Equal(t, "+0.01 ± 0.15", r.errorText(0.01, 0.15))
	assert.Equal(t, "-0.01 ± 0.15", r.errorText(-0.01, 0.15))
}
