package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// monthly is a record of checks every 30 days, the last ten days ago, with
// errors in per cent and stated uncertainties of 0.3 % altogether.
func monthly(percents ...float64) []Entry {
	var out []Entry
	for i, p := range percents {
		e := row(10+30*float64(len(percents)-1-i), 1413*(1+p/100))
		e.URef, e.UReading = ptr(0.002*1413), ptr(0.002*1413)
		e.Row = i + 2
		out = append(out, e)
	}
	return out
}

func kinds(r *Result) (out []AlarmKind) {
	for _, a := range r.Alarms {
		out = append(out, a.Kind)
	}
	return out
}

func TestSteadyDriftIsFound(t *testing.T) {
	r := mustRun(t, monthly(0.1, 0.4, 1.1, 1.4, 2.1, 2.4, 3.1, 3.4), asked())
	assert.InDelta(t, 0.005, r.Rate.Value, 0.0005)
	assert.InDelta(t, 0.0365, r.Error.Value, 0.002)
	assert.Equal(t, conformity.Pass, r.Verdict)
	// On the straight line 5 % is reached 80 days after now; the risk exceeds 5 % before that.
	days := r.Due.Sub(midnight(noon)).Hours() / 24
	assert.True(t, days > 30 && days < 80, "%v", days)
	assert.NotEmpty(t, r.Alarms)
	assert.Contains(t, r.Why, "common practice")
}

func TestStableMeterIsLeftAlone(t *testing.T) {
	r := mustRun(t, monthly(0.1, -0.2, 0.2, 0.1, -0.1, 0, 0.2, -0.1, 0.1, -0.2, 0, 0.1), asked())
	assert.Empty(t, r.Alarms)
	assert.Less(t, math.Abs(r.Rate.Value), 0.0005)
	assert.True(t, r.Due.IsZero() || r.Due.After(noon.AddDate(0, 6, 0)), "%v", r.Due)
	assert.Equal(t, day(at(10).AddDate(0, 0, 30)), day(r.NextCheck), "common practice, whatever the drift")
	assert.Contains(t, r.Why, "30 days")
}

// One wrong bottle is no drift, wherever it stands in the record.
func TestOneWrongBottleIsNoDrift(t *testing.T) {
	steady := []float64{0.1, -0.2, 0.2, 0.1, -0.1, 0, 0.2, -0.1}
	clean := mustRun(t, monthly(steady...), asked())
	for i := range steady {
		for _, size := range []float64{-30, 4, 96} {
			list := slices.Clone(steady)
			list[i] += size
			r := mustRun(t, monthly(list...), asked())
			assert.False(t, r.hasAlarm(AlarmEWMA, AlarmCUSUM, AlarmTrend, AlarmStep), "check %d off by %v %%: %v", i+1, size, kinds(r))
			assert.Less(t, math.Abs(r.Rate.Value), 0.002, "check %d off by %v %%", i+1, size)
			if i < len(steady)-1 {
				least := 0.9
				if i == 0 {
					least = 0.5 // a step after it would explain it too
				}
				assert.Greater(t, r.Checks[i].Wrong, least, "check %d off by %v %%", i+1, size)
				assert.InDelta(t, clean.Error.Value, r.Error.Value, 0.003)
			} else if size < 96 && size > 0 {
				assert.Contains(t, fmt.Sprint(r.Warnings), "the check of", "the last one may be a step as well: nobody can tell yet")
			}
		}
	}
}

// What an adjustment, a cleaning and a replacement leave of the past.
func TestEventsBreakTheCourse(t *testing.T) {
	before := []float64{0, 0.5, 1, 1.5, 2, 2.5}
	after := []float64{0.1, 0.6, 1.1}
	list := monthly(append(slices.Clone(before), after...)...)
	event := Entry{Time: list[6].Time.Add(-time.Hour), Event: Adjusted}
	r := mustRun(t, slices.Insert(slices.Clone(list), 6, event), asked())
	assert.InDelta(t, 0.005, r.Rate.Value, 0.0005, "the rate goes on through an adjustment")
	assert.InDelta(t, 0.0125, r.Error.Value, 0.002)
	assert.False(t, r.hasAlarm(AlarmStep))
	require.Len(t, r.Events, 1)
	assert.Equal(t, 6, r.Events[0].Checks)

	// The same event beside the reading before, or the reading after it.
	beside := slices.Clone(list)
	beside[5].Event, beside[5].State = Adjusted, AsFound
	found := mustRun(t, beside, asked())
	assert.InDelta(t, r.Error.Value, found.Error.Value, 0.0005)
	beside = slices.Clone(list)
	beside[6].Event, beside[6].State = Adjusted, AsLeft
	left := mustRun(t, beside, asked())
	assert.InDelta(t, r.Error.Value, left.Error.Value, 0.0005)
	// Where it is not told, the checks tell, and a warning says so.
	for _, k := range []int{5, 6} {
		beside = slices.Clone(list)
		beside[k].Event = Adjusted
		unsure := mustRun(t, beside, asked())
		assert.InDelta(t, r.Error.Value, unsure.Error.Value, 0.001)
		assert.InDelta(t, r.Rate.Value, unsure.Rate.Value, 0.0005)
		assert.Contains(t, fmt.Sprint(unsure.Warnings), "before or after the event is not told")
	}

	event.Event = Replaced
	replaced := mustRun(t, slices.Insert(slices.Clone(list), 6, event), asked())
	assert.Greater(t, replaced.Rate.U, 1.5*r.Rate.U, "a new electrode has a rate of its own")

	event.Event = Cleaned
	cleaned := mustRun(t, slices.Insert(slices.Clone(list), 6, event), asked())
	assert.InDelta(t, 0.005, cleaned.Rate.Value, 0.0008)
	// Without the event the model finds a step by itself.
	assert.Greater(t, mustRun(t, list, asked()).near(6), 0.9)
}

// The error of a stock is not averaged away by checks with its bottles; a
// second stock tells.
func TestSharedErrorStays(t *testing.T) {
	of := func(source func(i int) string) *Result {
		var list []Entry
		for i, e := range monthly(make([]float64, 16)...) {
			e.RefSource, e.URefShared = source(i), ptr(0.01*1413)
			list = append(list, e)
		}
		return mustRun(t, list, asked())
	}
	one := of(func(int) string { return "jar 1" })
	assert.Greater(t, one.Error.U, 0.0085, "1 % shared, and a prior that hardly helps")
	assert.InDelta(t, 0.01, one.Checks[0].UShared, 1e-9)
	two := of(func(i int) string { return fmt.Sprint("jar ", i%2) })
	assert.InEpsilon(t, one.Error.U/math.Sqrt2, two.Error.U, 0.1)
	own := of(func(i int) string { return fmt.Sprint("jar ", i) })
	assert.Less(t, own.Error.U, 0.5*one.Error.U)
}

// Rows that name one bottle share its error: reading it ten times does not
// make it ten bottles.
func TestBottleErrorStays(t *testing.T) {
	of := func(name func(i int) string) float64 {
		var list []Entry
		for i, e := range monthly(make([]float64, 10)...) {
			e.Bottle, e.URef = name(i), ptr(0.01*1413)
			list = append(list, e)
		}
		return mustRun(t, list, asked()).Error.U
	}
	assert.Greater(t, of(func(int) string { return "A" }), 1.5*of(func(i int) string { return fmt.Sprint(i) }))
}

// Drift seen with one bottle may be the bottle's; a fresh one settles it.
func TestOneAgeingBottle(t *testing.T) {
	rising := []float64{0, 1.3, 2.6, 3.9, 5.2, 6.5, 7.8}
	with := func(last float64, name string) []Entry {
		list := monthly(append(slices.Clone(rising), last)...)
		for i := range list {
			list[i].Bottle = "A"
		}
		list[len(list)-1].Bottle = name
		return list
	}
	alone := mustRun(t, with(9.1, "A"), asked())
	assert.Equal(t, "A", alone.Bottle)
	assert.Less(t, alone.PWithin, 0.05)
	assert.Equal(t, conformity.Undecided, alone.Verdict, "not the meter's yet")
	assert.Contains(t, fmt.Sprint(alone.Warnings), "with bottle A, which ages too (1 % of its water lost, and a meter seems to read about 1 % more); a drift is not the meter's until a second, fresh bottle agrees")

	assert.Contains(t, alone.Why, "with a fresh bottle")

	agreed := mustRun(t, with(9.1, "B"), asked())
	assert.Empty(t, agreed.Bottle)
	assert.Equal(t, conformity.Fail, agreed.Verdict)
	assert.NotContains(t, fmt.Sprint(agreed.Warnings), "fresh bottle")

	contradicted := mustRun(t, with(0.1, "B"), asked())
	assert.Equal(t, "A", contradicted.Bottle)
	assert.True(t, contradicted.hasAlarm(AlarmBottle), kinds(contradicted))
	assert.NotEqual(t, conformity.Fail, contradicted.Verdict)

	// A meter that was off in the fresh bottle already is off.
	list := monthly(8, 8.1, 7.9, 8.2)
	for i := range list {
		list[i].Bottle = "A"
	}
	assert.Equal(t, conformity.Fail, mustRun(t, list, asked()).Verdict)
}

// Bottles that were all there from the beginning age together, and are named in
// order.
func TestBottlesOfOneAgeAreNamedInOrder(t *testing.T) {
	list := monthly(0, 0, 1.2, 1.3, 2.4, 2.5, 3.6, 3.7, 4.8, 4.9, 6, 6.1)
	for i := range list {
		list[i].Time = at(10 + 30*float64(5-i/2))
		list[i].Bottle = []string{"C", "A"}[i%2]
	}
	r := mustRun(t, list, asked())
	assert.Equal(t, "A, C", r.Bottle)
	assert.Contains(t, fmt.Sprint(r.Warnings), "were made with bottles A, C, which age too (1 % of their water lost, and a meter seems to read about 1 % more); a drift")
	for i := range list {
		*list[i].Reading = 2*1413 - *list[i].Reading
	}
	assert.Contains(t, fmt.Sprint(mustRun(t, list, asked()).Warnings), "about 1 % more, not less as here; but", "a loss of water explains no fall")
}

// A bottle that was opened while nothing drifted confirms no drift that is
// seen with itself alone later; the next fresh one does.
func TestSecondBottleAgesToo(t *testing.T) {
	list := monthly(0, 0.1, -0.1, 0, 1.3, 2.6, 3.9, 5.2, 6.5, 7.8, 9.1)
	for i := range list {
		list[i].Bottle = []string{"A", "B"}[min(i/3, 1)]
	}
	r := mustRun(t, list, asked())
	assert.Equal(t, "B", r.Bottle)
	assert.NotEqual(t, conformity.Fail, r.Verdict)
	assert.Contains(t, fmt.Sprint(r.Warnings), "were made with bottle B")
	next := append(slices.Clone(list), list[len(list)-1])
	last := &next[len(next)-1]
	last.Time, last.Reading, last.Bottle, last.Row = at(2), ptr(1413*1.093), "C", 20
	r = mustRun(t, next, asked())
	assert.Empty(t, r.Bottle)
	assert.Equal(t, conformity.Fail, r.Verdict)

	unnamed := mustRun(t, monthly(0, 1.3, 2.6, 3.9, 5.2), asked())
	assert.Contains(t, fmt.Sprint(unnamed.Warnings), "a column bottle would tell")
	assert.NotContains(t, fmt.Sprint(mustRun(t, monthly(0, 0.1, -0.1, 0.1), asked()).Warnings), "bottle")
}

// Zero and gain part where references lie apart: an error of 20 uS/cm beside
// one of 2 %.
func TestZeroAndGain(t *testing.T) {
	var list []Entry
	for i := range 8 {
		for _, ref := range []float64{500, 2760} {
			m := float64(i)
			reading := ref*(1+0.01+0.001*m) + 10 + 2*m
			list = append(list, Entry{Time: at(10 + 30*(7-m)), Ref: ptr(ref), Reading: ptr(reading), URef: ptr(0.003 * ref), UReading: ptr(2)})
		}
	}
	r := mustRun(t, list, asked())
	require.NotNil(t, r.Zero)
	require.NotNil(t, r.Gain)
	assert.InDelta(t, 10+2*7+2.0/3, r.Zero.Now.Value, 3*r.Zero.Now.U)
	assert.InDelta(t, 2, r.Zero.Rate.Value, 3*r.Zero.Rate.U)
	assert.Less(t, r.Zero.Rate.U, 0.5)
	assert.InDelta(t, 0.017+0.001/3, r.Gain.Now.Value, 3*r.Gain.Now.U)
	assert.Equal(t, 500.0, r.Ref, "the zero error weighs most where the reference is small")
	assert.InDelta(t, 0.0173+24.7/500, r.Error.Value, 3*r.Error.U)
	assert.Equal(t, conformity.Fail, r.Verdict)

	// pH: zero at pH 7, gain as what the slope lacks.
	list = nil
	for i := range 8 {
		for _, ref := range []float64{4, 7, 10} {
			m := float64(i)
			list = append(list, Entry{Time: at(10 + 14*(7-m)), Ref: ptr(ref), Reading: ptr(ref + 0.02 - 0.004*m*(ref-7)), URef: ptr(0.005), UReading: ptr(0.01)})
		}
	}
	r = mustRun(t, list, Options{Kind: check.PH, Now: noon, Tolerance: &quantity.Tolerance{Value: 0.1}})
	require.NotNil(t, r.Gain)
	assert.InDelta(t, 0.02, r.Zero.Now.Value, 0.02)
	assert.InDelta(t, -0.028, r.Gain.Now.Value, 0.008)

	assert.Nil(t, mustRun(t, monthly(0, 0, 0, 0), asked()).Zero, "one reference tells no zero from a gain")
}

// What is measured in another unit, or the other way round, drifts the same.
func TestUnitsAndSigns(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	for range 6 {
		l := everything().but("", func(p *population) { p.step = 1e-9 }).draw(rng)
		r := mustRun(t, l.entries, l.o)
		scaled := slices.Clone(l.entries)
		factor := 1.0
		if l.o.Kind == check.EC {
			factor = 10
		}
		if l.o.Kind == check.Other {
			factor = 0.1
			tolerance := *l.o.Tolerance
			tolerance.Value *= factor
			l.o.Tolerance = &tolerance
		}
		for i := range scaled {
			for _, x := range []**float64{&scaled[i].Ref, &scaled[i].Reading, &scaled[i].URef, &scaled[i].UReading, &scaled[i].URefShared} {
				if *x != nil {
					*x = ptr(**x * factor)
				}
			}
		}
		again := mustRun(t, scaled, l.o)
		if l.o.Kind == check.EC {
			factor = 1
		}
		assert.InEpsilon(t, r.Error.U*factor, again.Error.U, 1e-6)
		assert.InDelta(t, r.Error.Value*factor, again.Error.Value, 1e-6*again.Error.U)
		assert.Equal(t, r.Due, again.Due)

		mirrored := slices.Clone(l.entries)
		for i := range mirrored {
			if e := &mirrored[i]; e.Ref != nil {
				e.Reading = ptr(2**e.Ref - *e.Reading)
			}
		}
		if l.o.Kind == check.Other {
			continue // its tolerance was scaled above
		}
		mirror := mustRun(t, mirrored, l.o)
		assert.InDelta(t, -r.Error.Value, mirror.Error.Value, 1e-6*r.Error.U)
		assert.InDelta(t, -r.Rate.Value, mirror.Rate.Value, 1e-6*r.Rate.U)
		assert.InDelta(t, r.PWithin, mirror.PWithin, 1e-9)
	}
}

// An adjustment written beside both bottles of a day is one adjustment, and
// what was found in either was found before it, in whatever order the rows are.
func TestOneEventBesideSeveralReadings(t *testing.T) {
	check := func(days, ref, percent float64, event Event, state State) Entry {
		return Entry{Time: at(days), Ref: ptr(ref), Reading: ptr(ref * (1 + percent/100)), URef: ptr(0.002 * ref), UReading: ptr(0.002 * ref), Event: event, State: state}
	}
	var before []Entry
	for i, percent := range []float64{0, -2, -4} {
		before = append(before, check(float64(100-30*i), 300, percent, "", ""), check(float64(100-30*i), 900, percent, "", ""))
	}
	run := func(day ...Entry) *Result { return mustRun(t, append(slices.Clone(before), day...), asked()) }
	low, high := func(e Event, s State) Entry { return check(10, 300, -6, e, s) }, func(e Event, s State) Entry { return check(10, 900, -6, e, s) }
	right := func(ref float64, e Event, s State) Entry { return check(10, ref, 0, e, s) }
	alone := Entry{Time: at(10), Event: Adjusted}

	want := run(low("", ""), high("", ""), alone, right(300, "", ""), right(900, "", ""))
	require.Len(t, want.Events, 1)
	for name, r := range map[string]*Result{
		"beside both as found":            run(low(Adjusted, AsFound), high(Adjusted, AsFound), right(300, "", AsLeft), right(900, "", AsLeft)),
		"beside both as left":             run(low("", AsFound), high("", AsFound), right(300, Adjusted, AsLeft), right(900, Adjusted, AsLeft)),
		"beside all":                      run(low(Adjusted, AsFound), right(300, Adjusted, AsLeft), high(Adjusted, AsFound), right(900, Adjusted, AsLeft)),
		"between the readings as found":   run(low("", AsFound), alone, high("", AsFound), right(300, "", AsLeft), right(900, "", AsLeft)),
		"in front, and backwards":         run(alone, right(300, "", AsLeft), low("", AsFound), right(900, "", AsLeft), high("", AsFound)),
		"alone and beside a reading":      run(low(Adjusted, AsFound), high("", AsFound), alone, right(300, "", AsLeft), right(900, "", AsLeft)),
		"a row of its own, and no states": want,
	} {
		require.Len(t, r.Events, 1, name)
		assert.Equal(t, 8, r.Events[0].Checks, name)
		assert.InDelta(t, want.Error.Value, r.Error.Value, 1e-9, name)
		assert.InDelta(t, want.Error.U, r.Error.U, 1e-9, name)
		assert.InDelta(t, want.Rate.U, r.Rate.U, 1e-9, name)
	}

	// With nothing read after it, the meter is not where it was found.
	after := run(low(Adjusted, AsFound), high(Adjusted, AsFound))
	same := run(low("", ""), high("", ""), alone)
	assert.InDelta(t, same.Error.Value, after.Error.Value, 1e-9)
	assert.InDelta(t, same.Error.U, after.Error.U, 1e-9)

	// Without a state, both readings stand on one side of one event. One
	// reference read twice is one before and one after.
	require.Len(t, run(low(Adjusted, ""), high(Adjusted, "")).Events, 1)
	require.Len(t, run(low(Adjusted, ""), high(Adjusted, ""), right(300, Adjusted, ""), right(900, Adjusted, "")).Events, 2)
}
