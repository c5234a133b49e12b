package logbook

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// Only what is the same in all that was read, and in the line, is one.
func TestTwins(t *testing.T) {
	u, other := 1.0, 2.0
	at := time.Date(2026, 2, 20, 9, 0, 0, 0, time.UTC)
	base := func() Calibration {
		v := u
		return Calibration{Meter: "P1", Time: at, State: "as-found", Quantity: "ec", Method: "gain", Slope: 1, USlope: &v,
			Readings: []Reading{{Ref: 1413, Reading: 1400, URef: &v, Bottle: "A", BottleID: "A/2"}}}
	}
	same := base()
	same.ID, same.Note, same.Meter, same.Readings[0].BottleID = "x", "again", "p1", "a/2"
	same.Time = at.Add(time.Nanosecond) // kept in whole microseconds
	assert.True(t, base().Twin(same))
	for name, change := range map[string]func(*Calibration){
		"meter":   func(c *Calibration) { c.Meter = "P2" },
		"time":    func(c *Calibration) { c.Time = at.Add(time.Second) },
		"state":   func(c *Calibration) { c.State = "as-left" },
		"reading": func(c *Calibration) { c.Readings[0].Reading++ },
		"ref":     func(c *Calibration) { c.Readings[0].Ref++ },
		"u_ref":   func(c *Calibration) { c.Readings[0].URef = &other },
		"unknown": func(c *Calibration) { c.Readings[0].URef = nil },
		"bottle":  func(c *Calibration) { c.Readings[0].BottleID = "A/3" },
		"row":     func(c *Calibration) { c.Readings = append(c.Readings, c.Readings[0]) },
		"at":      func(c *Calibration) { c.Readings[0].Time = at },
	} {
		c := base()
		change(&c)
		assert.False(t, base().sameReadings(c), name)
		assert.Len(t, once(Current, []Calibration{base(), c}), 2, name)
	}
	c := base()
	c.Slope = 2
	assert.True(t, base().sameReadings(c))
	assert.False(t, base().Twin(c), "another line of the same readings")
	left := base()
	left.State = "as-left"
	assert.Equal(t, []Calibration{base(), left}, once(Current, []Calibration{base(), left, base(), left}))
	assert.Len(t, once(All, []Calibration{base(), base()}), 2)
}

// The first of the readings, by their own times, is when a calibration began.
func TestBegan(t *testing.T) {
	at := time.Date(2026, 2, 20, 18, 8, 0, 0, time.UTC)
	assert.Equal(t, at, Calibration{Time: at}.Began())
	assert.Equal(t, at, Calibration{Time: at, Readings: []Reading{{}, {}}}.Began())
	early := at.Add(-8 * time.Minute)
	assert.Equal(t, early, Calibration{Time: at, Readings: []Reading{{}, {Time: early}}}.Began())
	assert.Equal(t, at, Calibration{Time: early, Readings: []Reading{{Time: at}, {Time: at.Add(time.Minute)}}}.Began())
}
