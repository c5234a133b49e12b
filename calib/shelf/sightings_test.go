package shelf

import (
	"encoding/json"
	"math"
	"strconv"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// checked is a calibration with a reading in each bottle that is off by so much.
func checked(meter string, at time.Time, off map[string]float64) *logbook.Calibration {
	c := &logbook.Calibration{
		Meter: meter, Time: at, State: "as-found", Quantity: "ec", Unit: "uS/cm", Method: "gain", N: 1, Slope: 1,
		UBasis: "none", ReadingHigh: 2000, Result: json.RawMessage(`{}`),
	}
	for _, bottle := range []string{"A", "B"} {
		if e, ok := off[bottle]; ok {
			c.Readings = append(c.Readings, logbook.Reading{Ref: 1000, Reading: 1000 * (1 + e), URef: known(3), URefShared: known(4), UReading: known(12), BottleID: bottle})
		}
	}
	c.Readings = append(c.Readings, logbook.Reading{Ref: 500, Reading: 500, Bottle: "typed"})
	return c
}

func TestSightings(t *testing.T) {
	book, err := logbook.Create(t.TempDir()+"/logbook.db", logbook.Options{Now: func() time.Time { return noon }})
	require.NoError(t, err)
	defer book.Close()
	p1, p2 := pen("uS/cm", nil), pen("uS/cm", nil)
	p2.Name, p2.Tolerance, p2.ToleranceRelative = "P2", known(0.02), true
	a, b := saltBottle("A", "NaCl", "uS/cm", 1000, 3), saltBottle("B", "NaCl", "uS/cm", 1000, 3)
	first := checked("P1", noon, map[string]float64{"A": 0.001, "B": 0.05})
	second := checked("P2", noon.Add(-time.Hour), map[string]float64{"A": 0, "B": 0.06})
	elsewhere := checked("P2", noon, map[string]float64{"A": 0.5})
	require.NoError(t, book.Save(&p1, &p2, &a, &b, first, second, elsewhere))

	all, err := Sightings(book, []string{"B"})
	require.NoError(t, err)
	require.Len(t, all, 4, "the other bottles of a session with B belong to it; sessions without B do not")
	assert.Equal(t, []string{"P2", "P2", "P1", "P1"}, []string{all[0].Meter, all[1].Meter, all[2].Meter, all[3].Meter}, "by time")
	assert.InDelta(t, 0.06, all[1].Error, 1e-12)
	assert.InDelta(t, 0.013, all[1].U, 1e-12, "3, 4 and 12 of 1000")
	assert.Equal(t, 0.02, all[1].Tolerance)
	assert.Zero(t, all[3].Tolerance, "P1 has none")
	assert.Len(t, LookOff("ec", all, "B"), 1)
	assert.Empty(t, LookOff("ec", all, "A"))

	all, err = Sightings(book, []string{"B"}, first.ID)
	require.NoError(t, err)
	assert.Len(t, all, 2, "what is being corrected does not count")

	// The record was wrong about B: what was found against it then says nothing now.
	right := b
	right.Head, right.Strength = logbook.Head{Supersedes: "B"}, saltBottle("B", "NaCl", "uS/cm", 1055, 3).Strength
	require.NoError(t, book.Save(&right))
	all, err = Sightings(book, []string{"B"})
	require.NoError(t, err)
	for _, s := range all {
		assert.Equal(t, "A", s.Bottle)
	}

	_, err = Sightings(book, nil)
	assert.NoError(t, err)
}

// An absolute tolerance is a fraction for conductivity, as the error is; a pH
// meter's error and tolerance are absolute.
func TestSight(t *testing.T) {
	reading := logbook.Reading{Ref: 500, Reading: 510, BottleID: "A/3"}
	s, ok := Sight(logbook.Calibration{Quantity: "ec"}, logbook.Meter{Tolerance: known(25)}, reading)
	assert.True(t, ok)
	assert.Equal(t, Sighting{Bottle: "A", Error: 0.02, Tolerance: 0.05}, s)
	s, ok = Sight(logbook.Calibration{Quantity: "ph"}, logbook.Meter{Tolerance: known(0.1)}, logbook.Reading{Ref: 7, Reading: 6.5, URef: known(0.01), BottleID: "B7"})
	assert.True(t, ok)
	assert.Equal(t, Sighting{Bottle: "B7", Error: -0.5, U: 0.01, Tolerance: 0.1}, s)
	_, ok = Sight(logbook.Calibration{Quantity: "ec"}, logbook.Meter{}, logbook.Reading{Ref: 500, Reading: 510, Bottle: "A"})
	assert.False(t, ok, "its reference is not from the record")
	_, ok = Sight(logbook.Calibration{Quantity: "ec"}, logbook.Meter{}, logbook.Reading{BottleID: "A"})
	assert.False(t, ok, "a fraction of 0 is nothing")
}

func TestDoubts(t *testing.T) {
	a := logbook.Bottle{Head: logbook.Head{ID: "A"}, Name: "A", MadeOn: "2026-02-20", BestBefore: "2026-05-20", FullG: known(550)}
	weighed := a
	weighed.Head, weighed.Since, weighed.FullG = logbook.Head{ID: "A/2", Supersedes: "A"}, noon.AddDate(0, 0, 10), known(545)
	versions := []logbook.Bottle{a, weighed}
	assert.Empty(t, Doubts(a, versions[:1], noon))
	assert.Empty(t, Doubts(weighed, versions, noon.AddDate(0, 0, 20)))
	assert.Equal(t, []string{"bottle A was weighed again on 2026-03-11; its reading of 2026-03-01 is held against what it was worth before, A: water lost by then is left out"},
		Doubts(a, versions, noon))
	assert.Equal(t, []string{"bottle A was made on 2026-02-20, after its reading of 2026-02-09: look at the dates, or at the name"}, Doubts(a, versions[:1], noon.AddDate(0, 0, -20)))
	assert.Len(t, Doubts(weighed, versions, noon.AddDate(1, 0, 0)), 1, "past its date")
}

func TestSplitNamesTheLargestSource(t *testing.T) {
	source := func(id string) uncert.Source { return uncert.Source{ID: id, Label: "label of " + id} }
	value := func(own, small, large float64) uncert.Value {
		v := uncert.Must(uncert.New(1000, own, source("own:"+strconv.FormatFloat(own, 'g', -1, 64))))
		return uncert.Must(uncert.Must(v.With(small, source("small"))).With(large, source("large")))
	}
	parts := Split([]string{"A", "B"}, []uncert.Value{value(9, 3, 4), value(8, 6, 8).Neg()})
	assert.Equal(t, []Part{{9, 5, "label of large"}, {8, 10, "label of large"}}, parts)
	assert.Equal(t, Part{Own: math.Sqrt(106)}, Split([]string{"A"}, []uncert.Value{value(9, 3, 4)})[0], "alone it shares nothing")
}
