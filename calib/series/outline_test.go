package series_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/series"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func seen(at time.Time, reading, value, u float64, flag series.Flag) *series.Row {
	return &series.Row{Time: at.UnixNano(), Seen: []series.Seen{{Reading: reading, Value: value, U: u, Flag: flag}}}
}

var outlineBegins = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)

// A log of few rows keeps each of them.
func TestOutlineKeepsFewRows(t *testing.T) {
	o := series.NewOutline(1)
	for i := range 300 {
		o.Observe(seen(outlineBegins.Add(time.Duration(i)*time.Hour), float64(i), 2*float64(i), 1, series.Believed))
	}
	list := o.Pieces()
	require.Len(t, list, 300)
	for i, p := range list {
		at := outlineBegins.Add(time.Duration(i) * time.Hour).UnixNano()
		x := float64(i)
		assert.Equal(t, [3]int64{at, at, 1}, [3]int64{p.From, p.To, p.Rows})
		assert.Equal(t, series.Extremes{Least: x, Greatest: x}, p.Probes[0].Reading)
		assert.Equal(t, series.Extremes{Least: 2*x - 1, Greatest: 2*x - 1}, p.Probes[0].Low)
		assert.Equal(t, series.Extremes{Least: 2*x + 1, Greatest: 2*x + 1}, p.Probes[0].High)
	}
}

// However many rows come and in whatever order, there are at most 1024
// stretches, no fewer than a quarter of what fits, and no row and no extreme is
// lost: all is compared with the rows themselves, stretch by stretch.
func TestOutlineLosesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 9))
	for name, order := range map[string]func(i, n int) int{
		"forward":   func(i, n int) int { return i },
		"backward":  func(i, n int) int { return n - 1 - i },
		"at random": func(i, n int) int { return rng.IntN(n) },
	} {
		t.Run(name, func(t *testing.T) {
			const n = 50_000
			o := series.NewOutline(1)
			type row struct {
				at   int64
				x, u float64
				flag series.Flag
			}
			var rows []row
			for i := range n {
				at := outlineBegins.Add(time.Duration(order(i, n)) * 7 * time.Minute)
				r := row{at.UnixNano(), rng.NormFloat64(), rng.Float64(), series.Believed}
				if rng.IntN(5) == 0 {
					r.flag, r.x = series.Dry, 1000*r.x
				}
				rows = append(rows, r)
				o.Observe(seen(at, r.x, r.x+1, r.u, r.flag))
			}
			list := o.Pieces()
			assert.LessOrEqual(t, len(list), 1024)
			assert.Greater(t, len(list), 256)
			for i, p := range list {
				if i > 0 {
					require.Greater(t, p.From, list[i-1].To)
				}
				reading, low := series.Extremes{Least: math.Inf(1), Greatest: math.Inf(-1)}, math.Inf(1)
				count, dry := int64(0), int64(0)
				for _, r := range rows {
					if r.at < p.From || r.at > p.To {
						continue
					}
					count++
					if r.flag == series.Dry {
						dry++
						continue
					}
					reading.Least, reading.Greatest = math.Min(reading.Least, r.x), math.Max(reading.Greatest, r.x)
					low = math.Min(low, r.x+1-r.u)
				}
				require.Equal(t, count, p.Rows)
				require.Equal(t, dry, p.Probes[0].Flagged[series.Dry])
				if p.Probes[0].Sound {
					require.Equal(t, reading, p.Probes[0].Reading)
					require.InDelta(t, low, p.Probes[0].Low.Least, 1e-12)
				}
			}
		})
	}
}

// Where nothing can be believed, the others show; a number that is not there
// changes nothing, and a row without a time has no place.
func TestOutlineOfWhatCannotBeBelieved(t *testing.T) {
	o := series.NewOutline(1)
	assert.Empty(t, o.Pieces())
	o.Observe(&series.Row{Time: math.MinInt64 + 1, Seen: []series.Seen{{Reading: 1, Flag: series.NotANumber}}})
	assert.Empty(t, o.Pieces())
	o.Observe(seen(outlineBegins, 5, 6, math.NaN(), series.Dry))
	o.Observe(seen(outlineBegins, math.NaN(), math.NaN(), math.NaN(), series.Blank))
	p := o.Pieces()[0].Probes[0]
	assert.False(t, p.Sound)
	assert.Equal(t, series.Extremes{Least: 5, Greatest: 5}, p.Reading)
	assert.False(t, p.Low.Known(), "the uncertainty is not known")
	o.Observe(seen(outlineBegins, 8, 9, 1, series.Stale))
	p = o.Pieces()[0].Probes[0]
	assert.True(t, p.Sound)
	assert.Equal(t, series.Extremes{Least: 8, Greatest: 8}, p.Reading)
	assert.Equal(t, int64(1), p.Flagged[series.Dry])
	o.Observe(seen(outlineBegins, 9, math.NaN(), math.NaN(), series.BeforeCalibration))
	p = o.Pieces()[0].Probes[0]
	assert.Equal(t, series.Extremes{Least: 8, Greatest: 9}, p.Reading, "a sound reading")
	assert.Equal(t, series.Extremes{Least: 9, Greatest: 9}, p.Value, "but no value")
	// The ends of time fit in one outline.
	o.Observe(seen(time.Unix(0, math.MaxInt64), 1, 1, 1, series.Believed))
	o.Observe(seen(time.Unix(0, math.MinInt64+2), 1, 1, 1, series.Believed))
	assert.Len(t, o.Pieces(), 3)
}

func TestObserversAreToldInOrder(t *testing.T) {
	var said []string
	list := series.Observers{teller(func() { said = append(said, "a") }), teller(func() { said = append(said, "b") })}
	list.Observe(&series.Row{})
	assert.Equal(t, []string{"a", "b"}, said)
}

type teller func()

func (f teller) Observe(*series.Row) { f() }
