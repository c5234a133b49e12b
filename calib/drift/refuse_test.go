package drift

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var noon = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

// at is a time so many days before noon.
func at(days float64) time.Time { return noon.Add(-time.Duration(days * 24 * float64(time.Hour))) }

// row is a check of 1413 uS/cm with stated uncertainties.
func row(days, reading float64) Entry {
	return Entry{Time: at(days), Ref: ptr(1413), Reading: ptr(reading), URef: ptr(6), UReading: ptr(4)}
}

func fivePercent() *quantity.Tolerance { return &quantity.Tolerance{Value: 0.05, Relative: true} }

func asked() Options { return Options{Tolerance: fivePercent(), Now: noon} }

func mustRun(t *testing.T, entries []Entry, o Options) *Result {
	t.Helper()
	r, err := Run(entries, o)
	require.NoError(t, err)
	return r
}

func TestRefusesWhatMakesNoSense(t *testing.T) {
	with := func(change func(*Entry)) []Entry {
		e := row(10, 1420)
		e.Row = 7
		change(&e)
		return []Entry{row(40, 1415), e}
	}
	for name, c := range map[string]struct {
		entries []Entry
		kind    check.Kind
		column  string
		cause   error
	}{
		"no time":            {with(func(e *Entry) { e.Time = time.Time{} }), check.EC, "time", ErrIncomplete},
		"in the future":      {with(func(e *Entry) { e.Time = noon.AddDate(0, 0, 2) }), check.EC, "time", ErrFuture},
		"unknown event":      {with(func(e *Entry) { e.Event = "shaken" }), check.EC, "event", ErrOutOfRange},
		"unknown state":      {with(func(e *Entry) { e.State = "as-is" }), check.EC, "state", ErrOutOfRange},
		"empty row":          {with(func(e *Entry) { e.Ref, e.Reading = nil, nil }), check.EC, "reading", ErrIncomplete},
		"no reference":       {with(func(e *Entry) { e.Ref = nil }), check.EC, "ref", ErrIncomplete},
		"no reading":         {with(func(e *Entry) { e.Reading = nil }), check.EC, "reading", ErrIncomplete},
		"reference of zero":  {with(func(e *Entry) { *e.Ref = 0 }), check.EC, "ref", ErrOutOfRange},
		"next to nothing":    {with(func(e *Entry) { *e.Ref, *e.Reading = 1e-300, 1e-300 }), check.EC, "ref", ErrOutOfRange},
		"NaN":                {with(func(e *Entry) { *e.Reading = math.NaN() }), check.EC, "reading", ErrOutOfRange},
		"infinite":           {with(func(e *Entry) { *e.Ref = math.Inf(1) }), check.Other, "ref", ErrOutOfRange},
		"mS beside uS":       {with(func(e *Entry) { *e.Reading = 1.42 }), check.EC, "reading", ErrWrongUnit},
		"negative u":         {with(func(e *Entry) { *e.URef = -1 }), check.EC, "u_ref", ErrOutOfRange},
		"shared by nobody":   {with(func(e *Entry) { e.URefShared = ptr(3) }), check.EC, "ref_source", ErrNoSource},
		"a potential for pH": {[]Entry{{Row: 7, Time: at(3), Ref: ptr(4), Reading: ptr(171)}}, check.PH, "reading", ErrOutOfRange},
		"no such humidity":   {[]Entry{{Row: 7, Time: at(3), Ref: ptr(175), Reading: ptr(71)}}, check.Humidity, "ref", ErrOutOfRange},
		"a part of no name":  {with(func(e *Entry) { e.Shared = []Part{{Size: 1}} }), check.EC, "u_ref_shared", ErrOutOfRange},
	} {
		_, err := Run(c.entries, Options{Kind: c.kind, Now: noon})
		var e *EntryError
		require.ErrorAs(t, err, &e, name)
		assert.Equal(t, 7, e.Row, name)
		assert.Equal(t, c.column, e.Column, name)
		assert.ErrorIs(t, err, c.cause, name)
		assert.NotEmpty(t, e.Want, name)
		assert.Contains(t, err.Error(), "row 7, column "+c.column, name)
	}
}

func TestRefusesOptionsAndNothing(t *testing.T) {
	list := []Entry{row(10, 1420)}
	for name, o := range map[string]Options{
		"no now":        {},
		"risk of 1":     {Now: noon, Risk: 1},
		"negative risk": {Now: noon, Risk: -0.1},
		"resolution":    {Now: noon, Resolution: -1},
		"no tolerance":  {Now: noon, Tolerance: &quantity.Tolerance{}},
		"risk of NaN":   {Now: noon, Risk: math.NaN()},
	} {
		_, err := Run(list, o)
		assert.ErrorIs(t, err, ErrOptions, name)
	}
	_, err := Run(nil, asked())
	assert.ErrorIs(t, err, ErrNothing)
	_, err = Run([]Entry{{Time: at(3), Event: Cleaned}}, asked())
	assert.ErrorIs(t, err, ErrNothing, "an event is no check")
}

// The order of rows changes nothing but a word about it.
func TestOrderOfRows(t *testing.T) {
	list := []Entry{row(100, 1410), row(70, 1415), row(40, 1424), row(10, 1429)}
	r := mustRun(t, list, asked())
	back := mustRun(t, []Entry{list[2], list[0], list[3], list[1]}, asked())
	assert.Equal(t, r.Error, back.Error)
	assert.Equal(t, r.Rate, back.Rate)
	assert.Equal(t, r.Due, back.Due)
	assert.Contains(t, fmt.Sprint(back.Warnings), "not in order of time; they were sorted")
	assert.NotContains(t, fmt.Sprint(r.Warnings), "sorted")
}

// A row pasted twice counts once; two readings at one time are one check,
// whose reference does not become better by it.
func TestSameTimeTwice(t *testing.T) {
	list := []Entry{row(100, 1410), row(70, 1415), row(40, 1424)}
	r := mustRun(t, list, asked())
	twice := mustRun(t, append(list, row(70, 1415)), asked())
	assert.Equal(t, r.Error, twice.Error)
	assert.Equal(t, 3, twice.N)
	assert.Contains(t, fmt.Sprint(twice.Warnings), "says the same as")

	repeated := mustRun(t, append(list, row(40, 1426)), asked())
	assert.Equal(t, 3, repeated.N)
	last := repeated.Checks[2]
	assert.InDelta(t, (1425.0-1413)/1413, last.Error, 1e-12)
	assert.Len(t, last.Rows, 2)
	own := math.Sqrt(6*6+4*4.0/2) / 1413
	assert.InEpsilon(t, own, last.U, 0.25, "u_ref stays, u_reading shrinks")
	assert.Less(t, last.U, repeated.Checks[1].U)
}

func TestGapOfYearsIsSpokenOf(t *testing.T) {
	r := mustRun(t, []Entry{row(1100, 1410), row(1070, 1415), row(10, 1424)}, asked())
	assert.Contains(t, fmt.Sprint(r.Warnings), "nothing is known between 2023-03-")
	assert.Contains(t, fmt.Sprint(r.Warnings), "(2.9 years)")
	old := mustRun(t, []Entry{row(1100, 1410), row(1070, 1415)}, asked())
	assert.Contains(t, fmt.Sprint(old.Warnings), "1070 days old")
	assert.Equal(t, "2026-03-01", day(old.NextCheck), "overdue: today")
}

// An entry later than now by less than a day is one of today.
func TestNowIsADay(t *testing.T) {
	e := row(0, 1420)
	e.Time = noon.Add(20 * time.Hour)
	r := mustRun(t, []Entry{row(40, 1415), e}, asked())
	assert.Equal(t, 2, r.N)
}

// One check, two checks, a check and an event: wide answers, not refusals.
func TestFewChecksGiveWideAnswers(t *testing.T) {
	one := mustRun(t, []Entry{row(10, 1420)}, asked())
	assert.InDelta(t, 7.0/1413, one.Error.Value, 0.002)
	assert.InDelta(t, 0, one.Rate.Value, 0.002)
	assert.Greater(t, one.Rate.U, 0.005, "a rate of half a per cent a month may well be")
	assert.Contains(t, fmt.Sprint(one.Warnings), "one check tells no rate")
	two := mustRun(t, []Entry{row(100, 1413), row(10, 1420)}, asked())
	many := mustRun(t, []Entry{row(100, 1413), row(77, 1415), row(54, 1417), row(32, 1418), row(10, 1420)}, asked())
	assert.Less(t, two.Rate.U, one.Rate.U)
	assert.Less(t, many.Rate.U, two.Rate.U)
	assert.False(t, one.Due.IsZero())
	assert.True(t, one.Due.Before(many.Due))
	for _, r := range []*Result{one, two, many} {
		assert.False(t, r.NextCheck.After(r.Due))
		assert.False(t, r.NextCheck.After(at(10).AddDate(0, 0, 30)))
		assert.Equal(t, 1, countSentences(r.Why), r.Why)
	}
}

func countSentences(text string) int {
	n := 1
	for i := 1; i+1 < len(text); i++ {
		if text[i] == '.' && text[i+1] == ' ' {
			n++
		}
	}
	return n
}

// Exact figures, equal readings, unknown scales: nothing divides by zero.
func TestExtremesStayNumbers(t *testing.T) {
	exact := row(10, 1413)
	exact.URef, exact.UReading = ptr(0), ptr(0)
	same := func(n int, ref, reading float64) (list []Entry) {
		for i := range n {
			list = append(list, Entry{Time: at(float64(10 * i)), Ref: ptr(ref), Reading: ptr(reading)})
		}
		return list
	}
	for name, c := range map[string]struct {
		entries []Entry
		kind    check.Kind
	}{
		"exact":         {[]Entry{exact, row(40, 1413)}, check.EC},
		"equal":         {same(8, 100, 100), check.Other},
		"equal and off": {same(8, 100, 250), check.Other},
		"zero":          {same(5, 0, 0), check.Other},
		"huge":          {same(5, 1e12, -1e12), check.Other},
		"tiny":          {same(5, 1e-6, 3e-6), check.EC},
		"other, apart":  {append(same(5, 1e-300, 2e-300), same(5, 1e12, 0.9e12)...), check.Other},
		"far apart":     {append(same(5, 1e-6, 1.1e-6), same(5, 1e9, 1.1e9)...), check.EC},
		"far off":       {same(5, 1, 1e5), check.EC},
		"one":           {same(1, 4, 4), check.PH},
	} {
		o := Options{Kind: c.kind, Now: noon}
		r := mustRun(t, c.entries, o)
		o.Tolerance = fivePercent()
		if c.kind == check.Other && *c.entries[0].Ref == 0 {
			o.Tolerance = &quantity.Tolerance{Value: 0.1}
		}
		judged := mustRun(t, c.entries, o)
		for _, r := range []*Result{r, judged} {
			for what, x := range map[string]float64{"error": r.Error.Value, "u": r.Error.U, "low": r.Error.Low, "high": r.Error.High, "rate": r.Rate.Value, "u rate": r.Rate.U} {
				assert.False(t, math.IsNaN(x) || math.IsInf(x, 0), "%s: %s is %v", name, what, x)
			}
			assert.True(t, r.Error.U >= 0, name)
		}
		assert.True(t, judged.PWithin >= 0 && judged.PWithin <= 1, "%s: %v", name, judged.PWithin)
	}
}
