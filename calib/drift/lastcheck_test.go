package drift

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/conformity"
)

// oneBottle are monthly checks of one bottle each, with what was found.
func oneBottle(errors ...float64) []Entry {
	var list []Entry
	for i, e := range errors {
		list = append(list, Entry{Time: noon.AddDate(0, i-len(errors)+1, 0), Ref: ptr(1413.0), Reading: ptr(1413 * (1 + e)), URef: ptr(7.0), UReading: ptr(1.0)})
	}
	return list
}

func verdictOf(t *testing.T, list []Entry) *Result {
	t.Helper()
	return mustRun(t, list, Options{Kind: check.EC, Tolerance: fivePercent(), Now: noon})
}

// A meter that shows far too little all at once is not passed: once may be a
// wrong bottle, twice in a row is the meter.
func TestSuddenStepIsNoPass(t *testing.T) {
	once := verdictOf(t, oneBottle(0, -0.005, 0, -0.36))
	assert.Equal(t, conformity.Undecided, once.Verdict)
	assert.Less(t, once.PWithin, 0.9)
	assert.True(t, once.NextCheck.Equal(midnight(noon)))

	twice := verdictOf(t, oneBottle(0, -0.005, 0, -0.36, -0.36))
	assert.Equal(t, conformity.Fail, twice.Verdict)
	assert.InDelta(t, -0.36, twice.Error.Value, 3*twice.Error.U)
	assert.True(t, twice.hasAlarm(AlarmStep))

	slip := verdictOf(t, oneBottle(0, -0.005, 0, -0.36, 0.002))
	assert.Equal(t, conformity.Pass, slip.Verdict)
	assert.True(t, slip.hasAlarm(AlarmWrong))
}

// Minutes after a good check a bad one is all but surely a slip, and yet the
// meter is not passed before it is repeated.
func TestLastCheckOutsideIsUnsettled(t *testing.T) {
	list := oneBottle(0, -0.005, 0.001, 0)
	bad := Entry{Time: noon.Add(10 * time.Minute), Ref: ptr(1413.0), Reading: ptr(904.0), URef: ptr(7.0), UReading: ptr(1.0)}
	o := func(list []Entry) *Result {
		return mustRun(t, list, Options{Kind: check.EC, Tolerance: fivePercent(), Now: noon.AddDate(0, 0, 3)})
	}
	r := o(append(list, bad))
	assert.Greater(t, r.PWithin, 0.95)
	assert.True(t, r.Unsettled)
	assert.Equal(t, conformity.Undecided, r.Verdict)
	assert.True(t, r.NextCheck.Equal(midnight(noon.AddDate(0, 0, 3))))
	assert.True(t, r.OverdueSince.Equal(midnight(noon)))
	assert.Contains(t, r.Why, "repeat the last check today with another bottle")

	again := Entry{Time: noon.Add(20 * time.Minute), Ref: ptr(1413.0), Reading: ptr(1415.0), URef: ptr(7.0), UReading: ptr(1.0)}
	r = o(append(list, bad, again))
	assert.Equal(t, conformity.Pass, r.Verdict, "repeated, and well")
	assert.False(t, r.Unsettled)

	within := bad
	within.Reading = ptr(1413 * 1.048)
	r = o(append(list, within))
	assert.False(t, r.Unsettled, "it does not fit, but is within tolerance")
}

// Whatever came before it, no last visit that lies clearly outside tolerance is
// passed.
func TestNoPassOnALastVisitOutside(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 7))
	for range 150 {
		var errors []float64
		drift := 0.004 * rng.NormFloat64()
		for i := range 1 + rng.IntN(8) {
			errors = append(errors, drift*float64(i)+0.004*rng.NormFloat64())
		}
		last := either(rng) * (0.06 + 0.5*rng.Float64())
		list := oneBottle(append(errors, last)...)
		if rng.IntN(3) == 0 { // the last soon after the one before
			list[len(list)-1].Time = list[len(list)-2].Time.Add(time.Duration(1+rng.IntN(48)) * time.Hour)
		}
		r := verdictOf(t, list)
		assert.NotEqual(t, conformity.Pass, r.Verdict, "%v, %v", errors, last)
	}
}
