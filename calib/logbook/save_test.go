package logbook

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is saved is read back, field for field.
func TestEveryKindComesBackAsItWas(t *testing.T) {
	b := newBook(t)
	fill(t, b)
	h := sound(t, b)
	assert.Equal(t, 2+1+2+6+1+2, h.Records)
	assert.Empty(t, h.Warnings)

	want := aMeter("P1")
	want.Kind, want.ID, want.RecordedAt = KindMeter, "P1", noon
	got, err := b.Meter("p1")
	require.NoError(t, err)
	assert.Equal(t, *want, got)

	bottle, err := b.Bottle("A", time.Time{})
	require.NoError(t, err)
	strength, err := bottle.Strength.Uncertain()
	require.NoError(t, err)
	other, err := b.Bottle("B", time.Time{})
	require.NoError(t, err)
	strengthB, err := other.Strength.Uncertain()
	require.NoError(t, err)
	// Two bottles of one jar, read back apart, still share its purity.
	assert.InEpsilon(t, 0.00005*0.00005, uncert.Cov(strength, strengthB), 1e-12)
	water, err := bottle.WaterEC25.Uncertain()
	require.NoError(t, err)
	assert.Len(t, water.Unstated(), 1, "unknown stays unknown")

	r := rand.New(rand.NewPCG(9, 9))
	c := aCalibration("P1", noon.Add(1234567*time.Microsecond), r, 6)
	require.NoError(t, b.Save(c))
	list, err := b.Calibrations("P1", Current)
	require.NoError(t, err)
	var found *Calibration
	for i := range list {
		if list[i].ID == c.ID {
			found = &list[i]
		}
	}
	require.NotNil(t, found)
	assert.Equal(t, c, found)
	assert.Nil(t, found.Readings[1].URef, "unknown")
	assert.Zero(t, *found.Readings[0].URefShared, "zero")
}

func TestACorrectionSupersedesAndNothingIsDeleted(t *testing.T) {
	b := newBook(t)
	fill(t, b)
	current, err := b.Calibrations("P1", Current)
	require.NoError(t, err)
	all, err := b.Calibrations("P1", All)
	require.NoError(t, err)
	assert.Len(t, current, 5)
	assert.Len(t, all, 6)

	retired, err := b.Meter("P2")
	require.NoError(t, err)
	assert.True(t, retired.Retired())
	assert.Equal(t, "P2/2", retired.ID)
	meters, err := b.Meters(All)
	require.NoError(t, err)
	assert.Len(t, meters, 3)

	again := aMeter("P2")
	again.Supersedes = "P2"
	err = b.Save(again)
	require.ErrorIs(t, err, ErrSuperseded)
	assert.ErrorContains(t, err, "meter P2: superseded already, by P2/2")

	for _, k := range kinds {
		for _, statement := range []string{"DELETE FROM ", "UPDATE OR REPLACE "} {
			text := statement + string(k.kind)
			if statement != "DELETE FROM " {
				text += " SET recorded_at = recorded_at"
			}
			_, err := b.db.Exec(text)
			assert.ErrorContains(t, err, "append-only", text)
		}
	}
	for _, text := range []string{"DELETE FROM reading", "UPDATE reading SET ref = 0", "DELETE FROM compared", "UPDATE compared SET reading = 0"} {
		_, err := b.db.Exec(text)
		assert.ErrorContains(t, err, "append-only", text)
	}
}

func TestABottleHasTheStateOfTheTime(t *testing.T) {
	b := newBook(t)
	require.NoError(t, b.Save(aBottle("A")))
	name := "A"
	for day := 10; day <= 110; day += 10 { // more than nine versions: their order is that of numbers
		later := aBottle("A")
		later.Supersedes, later.Since = name, noon.AddDate(0, 0, day)
		later.FullG = known(552.31 - float64(day)/100)
		require.NoError(t, b.Save(later))
		name = later.ID
	}
	assert.Equal(t, "A/12", name)
	for day, want := range map[int]string{-400: "A", 9: "A", 10: "A/2", 105: "A/11", 110: "A/12"} {
		got, err := b.Bottle("A", noon.AddDate(0, 0, day))
		require.NoError(t, err)
		assert.Equal(t, want, got.ID, "day %d", day)
	}
	now, err := b.Bottle("A", time.Time{})
	require.NoError(t, err)
	assert.Equal(t, "A/12", now.ID)
}

// Bad values are refused with the row, the field, what was found and what would
// be right, and then nothing of the save is kept.
func TestRefusals(t *testing.T) {
	b := newBook(t)
	require.NoError(t, b.Save(aMeter("P1"), aBottle("A")))
	before := exported(t, b)
	r := rand.New(rand.NewPCG(1, 1))
	calibration := func(change func(*Calibration)) Record {
		c := aCalibration("P1", noon, r, 3)
		change(c)
		return c
	}
	meter := func(change func(*Meter)) Record {
		m := aMeter("P7")
		change(m)
		return m
	}
	bottle := func(change func(*Bottle)) Record {
		m := aBottle("C")
		change(m)
		return m
	}
	for _, c := range []struct {
		row   Record
		cause error
		text  string
	}{
		{aMeter("P1"), ErrExists, "meter P1: already on record"},
		{aMeter("p1"), ErrExists, "meter P1: already on record"},
		{meter(func(m *Meter) { m.Name = "P/1" }), ErrImpossible, `a name without '/'`},
		{meter(func(m *Meter) { m.Name = "-P" }), ErrImpossible, "dash"},
		{meter(func(m *Meter) { m.Name = "" }), ErrImpossible, "1 to 64 characters"},
		{meter(func(m *Meter) { m.PPMFactor = known(500) }), ErrImpossible, "meter P7, ppm_factor: found 500; want a factor in ppm per uS/cm such as 0.5"},
		{meter(func(m *Meter) { m.PPMFactor = nil }), ErrImpossible, "ppm_factor"},
		{meter(func(m *Meter) { m.RangeLow = known(2000) }), ErrImpossible, "range_high"},
		{meter(func(m *Meter) { m.Quantity = "length" }), ErrImpossible, `found "length"; want ec, ph`},
		{meter(func(m *Meter) { m.Note = "\xff" }), ErrImpossible, "not UTF-8"},
		{meter(func(m *Meter) { m.Supersedes = "P9" }), ErrImpossible, `found "P9/2"; want "P9/2" as the identity of this version of P7`},
		{meter(func(m *Meter) { m.Supersedes = "P7" }), ErrNotFound, "meter P7/2, supersedes: meter P7 is not on record"},
		{bottle(func(m *Bottle) { m.Buffer = "7.00" }), ErrImpossible, "both salt and buffer"},
		{bottle(func(m *Bottle) { m.Strength.Value = math.NaN() }), ErrImpossible, "strength: found NaN"},
		{bottle(func(m *Bottle) { m.BestBefore = "20.8.2026" }), ErrImpossible, "want a day such as 2026-03-01"},
		{bottle(func(m *Bottle) { m.BestBefore = "2025-08-20" }), ErrImpossible, "a day not before"},
		{bottle(func(m *Bottle) { m.EmptyG = known(600) }), ErrImpossible, "empty_g"},
		{bottle(func(m *Bottle) { m.Strength.Parts = append(m.Strength.Parts, m.Strength.Parts[0]) }), ErrImpossible, "appears twice"},
		{calibration(func(c *Calibration) { c.Meter = "P9" }), ErrNotFound, "meter: meter P9 is not on record"},
		{calibration(func(c *Calibration) { c.Readings[2].BottleID = "Z" }), ErrNotFound, "reading 3, bottle_id: bottle Z is not on record"},
		{calibration(func(c *Calibration) { c.Readings[1].URef = known(-1) }), ErrImpossible, "reading 2, u_ref: found -1; want 0 (exact) or more"},
		{calibration(func(c *Calibration) { c.Readings[1].Reading = math.Inf(1) }), ErrImpossible, "reading 2, reading: found +Inf"},
		{calibration(func(c *Calibration) { c.Readings[0].TempC = known(-300) }), ErrImpossible, "absolute zero"},
		{calibration(func(c *Calibration) { c.Readings = nil }), ErrImpossible, "readings: found 0"},
		{calibration(func(c *Calibration) { c.Time = time.Time{} }), ErrImpossible, "time"},
		{calibration(func(c *Calibration) { c.State = "adjusted" }), ErrImpossible, "as-found, as-left"},
		{calibration(func(c *Calibration) { c.Result = nil }), ErrImpossible, "result: found no JSON object"},
		{calibration(func(c *Calibration) { c.Result = []byte(`{"a":1,"a":2}`) }), ErrImpossible, "twice"},
		{&Event{Meter: "P1", Time: noon, Event: "dropped"}, ErrImpossible, "adjusted, cleaned, replaced, battery, note"},
		{&Event{Meter: "P1", Time: noon, Event: "note"}, ErrImpossible, "the words of the note"},
	} {
		err := b.Save(aMeter("P8"), c.row)
		require.ErrorIs(t, err, c.cause, c.text)
		assert.ErrorContains(t, err, c.text)
		assert.True(t, c.row.head().RecordedAt.IsZero(), "the row is as it was")
	}
	assert.Equal(t, before, exported(t, b), "nothing of a refused save is kept")
}

func TestTheNearestNameIsOffered(t *testing.T) {
	b := newBook(t)
	_, err := b.Meter("P1")
	require.ErrorIs(t, err, ErrNotFound)
	assert.ErrorContains(t, err, "there is no meter yet")
	require.NoError(t, b.Save(aMeter("tent pen"), aMeter("blue pen")))
	_, err = b.Meter("tent pne")
	assert.ErrorContains(t, err, `meter "tent pne" is not on record; the nearest is tent pen`)
	_, err = b.Bottle("A", time.Time{})
	assert.ErrorContains(t, err, "there is no bottle yet")
}

// A clock that runs backwards changes neither what is kept nor which version is
// the current one.
// The history is what the calibrations are, without the sources of their
// references.
func TestTheHistoryOfAMeter(t *testing.T) {
	b := newBook(t)
	fill(t, b)
	for _, scope := range []Scope{Current, All} {
		want, err := b.Calibrations("P1", scope)
		require.NoError(t, err)
		parts := 0
		for i := range want {
			for j := range want[i].Readings {
				parts += len(want[i].Readings[j].RefParts)
				want[i].Readings[j].RefParts = nil
			}
		}
		require.Positive(t, parts)
		got, err := b.History("P1", scope)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
}

func TestAClockThatRunsBackwards(t *testing.T) {
	now := noon
	b, err := Create(t.TempDir()+"/logbook.db", Options{Now: func() time.Time { now = now.Add(-24 * time.Hour); return now }})
	require.NoError(t, err)
	defer b.Close()
	require.NoError(t, b.Save(aMeter("P1")))
	for range 12 {
		m, err := b.Meter("P1")
		require.NoError(t, err)
		m.Supersedes, m.ID, m.RecordedAt = m.ID, "", time.Time{}
		require.NoError(t, b.Save(&m))
	}
	m, err := b.Meter("P1")
	require.NoError(t, err)
	assert.Equal(t, "P1/13", m.ID)
	last, err := b.LastSaved()
	require.NoError(t, err)
	assert.Equal(t, noon.Add(-24*time.Hour), last)

	text := exported(t, b)
	other := newBook(t)
	_, err = other.Import(reader(text), "export")
	require.NoError(t, err)
	m, err = other.Meter("P1")
	require.NoError(t, err)
	assert.Equal(t, "P1/13", m.ID, "also where the rows came in the order of the wrong clock")
	assert.Equal(t, text, exported(t, other))
}

func TestIdentitiesDiffer(t *testing.T) {
	seen := map[string]bool{}
	for range 10000 {
		id := newID(noon)
		require.Regexp(t, `^2026-03-01-[0-9a-z]{12}$`, id)
		require.NoError(t, CheckName(id))
		seen[id] = true
	}
	assert.Len(t, seen, 10000)
	for from, want := range map[string]string{"P1": "P1/2", "P1/2": "P1/3", "P1/9": "P1/10", "P1/x": "P1/2"} {
		assert.Equal(t, want, nextVersion(from))
	}
	assert.NoError(t, errors.Join(CheckName("Zelt-Stift 2"), CheckName("7.00"), CheckName("a+b_(c)#1")))
}
