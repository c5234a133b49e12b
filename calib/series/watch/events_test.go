package watch_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// eventTally counts events of one kind, and false ones in logs whose rows are
// at most a minute apart.
type eventTally struct {
	there, found, wrong int
	wrongDense          int
}

// The rates of the guide, on the population that [rig] describes; see there. An
// event counts as found where one of its kind is told of its column, within half an hour or
// three rows of it; one that matches nothing is a false alarm.
func TestEventsAreFound(t *testing.T) {
	logs := 360
	if testing.Short() {
		logs = 45
	}
	tallies := map[watch.Kind]*eventTally{}
	for _, kind := range []watch.Kind{watch.Refill, watch.TopUp, watch.OutOfLiquid, watch.Stuck, watch.Jump} {
		tallies[kind] = &eventTally{}
	}
	months, dense := 0.0, 0.0
	for i := range logs {
		s := inventRig(rand.New(rand.NewPCG(uint64(i), 21)), 20000)
		length := float64(len(s.times)) * s.step / (30 * 1440)
		if months += length; s.step <= 1 {
			dense += length
		}
		for _, got := range s.match(t) {
			if !s.tells(watch.Jump) && got.Kind == watch.TopUp {
				continue
			}
			if tallies[got.Kind].wrong++; s.step <= 1 {
				tallies[got.Kind].wrongDense++
			}
		}
		for _, want := range s.truths {
			if s.tells(want.kind) {
				if tallies[want.kind].there++; want.found {
					tallies[want.kind].found++
				}
			}
		}
	}
	for kind, n := range tallies {
		t.Logf("%-8s %4d of %4d found (%.1f %%), %d false in %.0f months, %d in %.1f months of rows a minute apart or less", kind, n.found, n.there,
			100*float64(n.found)/float64(n.there), n.wrong, months, n.wrongDense, dense)
		require.Greater(t, n.there, logs, "%s: too few to tell", kind)
		assert.GreaterOrEqual(t, float64(n.found), 0.95*float64(n.there), "%s found", kind)
		assert.Less(t, float64(n.wrong), 0.1*months, "%s false", kind)
		assert.LessOrEqual(t, float64(n.wrongDense), dense, "%s false where rows are dense", kind)
	}
}

// match runs a log through, marks what is found, and returns the rest.
func (s *rig) match(t *testing.T) (wrong []watch.Event) {
	slack := int64(math.Max(30, 3*s.step) * float64(time.Minute))
	e, err := watch.NewEvents(s.columns, func(got watch.Event) {
		assert.False(t, got.To.Before(got.From), "an event ends before it starts")
		from, to := got.From.UnixNano(), got.To.UnixNano()
		for k := range s.truths {
			want := &s.truths[k]
			if want.kind != got.Kind || want.column >= 0 && want.column != got.Column || from > want.to+slack || to < want.from-slack {
				continue
			}
			if stretch := want.kind == watch.OutOfLiquid || want.kind == watch.Stuck; stretch && to < want.to-slack {
				continue
			}
			want.found = true
			return
		}
		wrong = append(wrong, got)
	})
	require.NoError(t, err)
	for k := range s.times {
		e.Row(s.times[k], s.temps[k], s.seen[k])
	}
	e.Finish()
	return wrong
}

// calm is a log by hand: an hour of rows each minute, and what is done to it.
type calm struct {
	columns []watch.Column
	times   []int64
	temps   []float64
	seen    [][]watch.Seen
}

const start = 1_767_225_600e9 // 2026-01-01T00:00:00Z

// newCalm has conductivity, pH and temperature, or conductivity alone, that move
// as a display with small steps does.
func newCalm(rows int, step time.Duration, columns ...watch.Column) *calm {
	rng := rand.New(rand.NewPCG(7, 7))
	c := &calm{columns: columns}
	for i := range rows {
		c.times = append(c.times, start+int64(i)*int64(step))
		c.temps = append(c.temps, 20+0.1*float64(rng.IntN(3)))
		row := make([]watch.Seen, len(columns))
		for k, column := range columns {
			v := 6 + 0.01*float64(rng.IntN(4))
			if column.Conductivity {
				v = 1500 + float64(rng.IntN(7))
			}
			row[k] = watch.Seen{Reading: v, Value: v}
		}
		c.seen = append(c.seen, row)
	}
	return c
}

// change has a column's values changed from a row on.
func (c *calm) change(column, from, to int, by func(i int, v float64) float64) {
	for i := from; i < to; i++ {
		s := &c.seen[i][column]
		s.Value = by(i, s.Value)
		s.Reading = s.Value
	}
}

func (c *calm) events(t *testing.T) []string {
	var got []string
	e, err := watch.NewEvents(c.columns, func(v watch.Event) {
		got = append(got, fmt.Sprintf("%s of %d with %v, %s to %s, %s to %s, rows %d", v.Kind, v.Column, v.With,
			v.From.Format("02 15:04"), v.To.Format("02 15:04"), roughly(v.Before), roughly(v.After), v.Rows))
	})
	require.NoError(t, err)
	for i := range c.times {
		e.Row(c.times[i], c.temps[i], c.seen[i])
	}
	e.Finish()
	return got
}

// roughly leaves out what the display's noise does to a level.
func roughly(x float64) string {
	if x > 100 {
		return fmt.Sprintf("%.0f", 10*math.Round(x/10))
	}
	return fmt.Sprintf("%.1f", x)
}

var (
	ec = watch.Column{Conductivity: true, Least: 0.03, Relative: true}
	ph = watch.Column{Least: 0.08}
	// celsius is a temperature that is corrected, and so a column of its own.
	celsius = watch.Column{Aside: true, Least: 0.5}
)

// Events by hand. A program that takes any step for a jump, that does not look
// at the other columns, that tells an event where it was noticed, or that
// takes a slip for an event, gives other lines.
func TestEventsByHand(t *testing.T) {
	times := func(f float64) func(int, float64) float64 {
		return func(_ int, v float64) float64 { return f * v }
	}
	for name, c := range map[string]struct {
		log  func() *calm
		want []string
	}{
		"nothing happens": {func() *calm { return newCalm(3000, time.Minute, ec, ph) }, nil},
		"a jump": {func() *calm {
			c := newCalm(600, time.Minute, ec, ph)
			c.change(0, 300, 600, times(1.1))
			return c
		}, []string{"jump of 0 with [], 01 04:59 to 01 05:00, 1500 to 1650, rows 1"}},
		"a jump of pH": {func() *calm {
			c := newCalm(600, time.Minute, ec, ph)
			c.change(1, 300, 600, func(_ int, v float64) float64 { return v - 0.3 })
			return c
		}, []string{"jump of 1 with [], 01 04:59 to 01 05:00, 6.0 to 5.7, rows 1"}},
		"a top-up moves both": {func() *calm {
			c := newCalm(600, time.Minute, ec, ph)
			c.change(0, 300, 600, times(0.9))
			c.change(1, 300, 600, func(_ int, v float64) float64 { return v + 0.2 })
			return c
		}, []string{"top-up of 0 with [1], 01 04:59 to 01 05:00, 1500 to 1350, rows 1"}},
		"cold water moves the temperature": {func() *calm {
			c := newCalm(600, time.Minute, ec)
			c.change(0, 300, 600, times(0.9))
			for i := 300; i < 600; i++ {
				c.temps[i] -= 2
			}
			return c
		}, []string{"top-up of 0 with [], 01 04:59 to 01 05:00, 1500 to 1350, rows 1"}},
		"concentrate mixes in": {func() *calm {
			c := newCalm(600, time.Minute, ec, ph)
			c.change(0, 300, 600, func(i int, v float64) float64 { return v * (1 + 0.2*min(1, float64(i-299)/6)) })
			return c
		}, []string{"top-up of 0 with [], 01 04:59 to 01 05:05, 1500 to 1800, rows 6"}},
		"a refill": {func() *calm {
			c := newCalm(600, time.Minute, ec, ph)
			c.change(0, 300, 600, func(i int, v float64) float64 { return v * (1 - 0.5*min(1, float64(i-299)/4)) })
			return c
		}, []string{"refill of 0 with [], 01 04:59 to 01 05:03, 1500 to 750, rows 4"}},
		"slips": {func() *calm {
			c := newCalm(600, time.Minute, ec, ph)
			c.change(0, 300, 301, times(0))
			c.change(0, 400, 402, times(3))
			return c
		}, nil},
		"a slow change": {func() *calm {
			c := newCalm(4000, time.Minute, ec, ph)
			c.change(0, 500, 4000, func(i int, v float64) float64 { return v * (1 - 0.3*float64(i-499)/3500) })
			return c
		}, nil},
		"stuck": {func() *calm {
			c := newCalm(2000, time.Minute, ec, ph)
			c.change(1, 500, 1100, func(int, float64) float64 { return 6.01 })
			c.change(1, 499, 500, func(int, float64) float64 { return 6.02 })
			c.change(1, 1100, 1101, func(int, float64) float64 { return 6.02 })
			return c
		}, []string{"stuck of 1 with [], 01 08:20 to 01 18:19, 6.0 to 6.0, rows 600"}},
		"all stand still for two hours": {func() *calm {
			c := newCalm(2000, time.Minute, ec, ph)
			for i := 500; i < 620; i++ {
				c.seen[i] = c.seen[499]
				c.temps[i] = c.temps[499]
			}
			return c
		}, nil},
		"dry, and back": {func() *calm {
			c := newCalm(600, time.Minute, ec, ph)
			c.change(0, 200, 300, times(0.01))
			for i := 200; i < 300; i++ {
				c.seen[i][0].State = watch.InAir
			}
			c.change(0, 300, 600, times(0.8))
			return c
		}, []string{"dry of 0 with [], 01 03:20 to 01 04:59, 1500 to NaN, rows 100",
			"refill of 0 with [], 01 04:59 to 01 05:00, 1500 to 1200, rows 1"}},
		"flags that looked back only": {func() *calm {
			// A film ran off for five rows before the flag came; the stretch begins with the
			// fall all the same.
			c := newCalm(600, time.Minute, ec, ph)
			c.change(0, 200, 300, func(i int, v float64) float64 { return v * math.Max(0.01, 0.4*math.Pow(0.5, float64(i-200))) })
			for i := 205; i < 300; i++ {
				c.seen[i][0].State = watch.InAir
			}
			return c
		}, []string{"dry of 0 with [], 01 03:20 to 01 04:59, 1500 to NaN, rows 100",
			"refill of 0 with [], 01 04:59 to 01 05:00, 1500 to 1500, rows 1"}},
		"dry at the end": {func() *calm {
			c := newCalm(600, time.Minute, ec, ph)
			for i := 550; i < 600; i++ {
				c.seen[i][0] = watch.Seen{State: watch.InAir}
			}
			return c
		}, []string{"dry of 0 with [], 01 09:10 to 01 09:59, 1500 to NaN, rows 50"}},
		"one column, rows far apart": {func() *calm {
			// How concentrate mixes cannot be seen here, so that it is no jump.
			c := newCalm(600, 15*time.Minute, ec)
			for i := range c.temps {
				c.temps[i] = math.NaN()
			}
			c.change(0, 300, 600, times(1.1))
			return c
		}, []string{"top-up of 0 with [], 04 02:45 to 04 03:00, 1500 to 1650, rows 1"}},
		"a temperature that stands still is no witness, rows far apart": {func() *calm {
			c := newCalm(600, 10*time.Minute, ec, celsius)
			c.change(0, 300, 600, times(0.9))
			return c
		}, []string{"top-up of 0 with [], 03 01:50 to 03 02:00, 1500 to 1350, rows 1"}},
		"a pH that stands still is one": {func() *calm {
			c := newCalm(600, 10*time.Minute, ec, celsius, ph)
			c.change(0, 300, 600, times(0.9))
			return c
		}, []string{"jump of 0 with [], 03 01:50 to 03 02:00, 1500 to 1350, rows 1"}},
		"nothing is told of a pH beside a temperature alone, rows far apart": {func() *calm {
			c := newCalm(600, 10*time.Minute, ph)
			c.change(0, 300, 600, func(_ int, v float64) float64 { return v + 0.4 })
			return c
		}, nil},
		"readings that stand still, and a jump": {func() *calm {
			c := newCalm(600, time.Minute, ec, ph)
			c.change(0, 0, 600, func(i int, _ float64) float64 { return 1500 + 150*float64(i/300) })
			return c
		}, []string{"jump of 0 with [], 01 04:59 to 01 05:00, 1500 to 1650, rows 1"}},
		"a display with coarse steps": {func() *calm {
			c := newCalm(3000, time.Minute, ec, ph)
			c.change(1, 0, 3000, func(i int, _ float64) float64 { return 6 + 0.1*float64(i/500) })
			return c
		}, nil},
		"two conductivity probes show one change": {func() *calm {
			c := newCalm(600, time.Minute, ec, ec)
			c.change(0, 300, 600, times(0.9))
			c.change(1, 300, 600, times(0.9))
			return c
		}, []string{"top-up of 0 with [1], 01 04:59 to 01 05:00, 1500 to 1350, rows 1"}},
		"one of two conductivity probes jumps": {func() *calm {
			c := newCalm(600, time.Minute, ec, ec)
			c.change(1, 300, 600, times(0.9))
			return c
		}, []string{"jump of 1 with [], 01 04:59 to 01 05:00, 1500 to 1350, rows 1"}},
	} {
		t.Run(name, func(t *testing.T) { assert.Equal(t, c.want, c.log().events(t)) })
	}
}

func TestEventsRefuseColumnsWithoutALeastChange(t *testing.T) {
	for _, least := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		_, err := watch.NewEvents([]watch.Column{ec, {Least: least}}, func(watch.Event) {})
		assert.ErrorIs(t, err, watch.ErrLimits, "%v", least)
		assert.ErrorContains(t, err, "column 1", "%v", least)
	}
}

// Values and times that no log should hold do no harm, and no event ends before it
// begins.
func TestEventsTakeAnything(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	odd := []float64{0, 1, -1, 1e300, -1e300, math.Inf(1), math.NaN(), 900, 900, 901, 1200}
	e, err := watch.NewEvents([]watch.Column{ec, ph}, func(v watch.Event) {
		require.False(t, v.To.Before(v.From), "%+v", v)
	})
	require.NoError(t, err)
	at := int64(0)
	for range 200000 {
		if at += rng.Int64N(600e9) - 100e9; rng.IntN(1000) == 0 {
			at = rng.Int64() - rng.Int64()
		}
		a, b := odd[rng.IntN(len(odd))], odd[rng.IntN(len(odd))]
		e.Row(at, odd[rng.IntN(len(odd))], []watch.Seen{{a, b, watch.State(rng.IntN(4))}, {b, a, watch.State(rng.IntN(4))}})
	}
	e.Finish()
}
