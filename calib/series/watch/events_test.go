package watch_test

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// eventTally counts events of one kind.
type eventTally struct{ there, found, wrong int }

func TestEventsAreFound(t *testing.T) {
	logs := 360
	if testing.Short() {
		logs = 90
	}
	tallies := map[watch.Kind]*eventTally{}
	for _, kind := range []watch.Kind{watch.Refill, watch.TopUp, watch.OutOfLiquid, watch.Stuck, watch.Jump} {
		tallies[kind] = &eventTally{}
	}
	months := 0.0
	for i := range logs {
		s := inventRig(rand.New(rand.NewPCG(uint64(i), 21)), 20000)
		months += float64(len(s.times)) * s.step / (30 * 1440)
		slack := int64(math.Max(30, 3*s.step) * float64(time.Minute))
		var wrong []watch.Event
		e, err := watch.NewEvents(s.columns, func(got watch.Event) {
			assert.False(t, got.To.Before(got.From), "an event ends before it starts")
			for k := range s.truths {
				want := &s.truths[k]
				column := want.column < 0 || want.column == got.Column
				if want.kind == got.Kind && column && got.From.UnixNano() <= want.to+slack && got.To.UnixNano() >= want.from-slack {
					if (want.kind == watch.OutOfLiquid || want.kind == watch.Stuck) && got.To.UnixNano() < want.to-slack {
						continue
					}
					want.found = true
					return
				}
			}
			wrong = append(wrong, got)
		})
		require.NoError(t, err)
		for k := range s.times {
			e.Row(s.times[k], s.temps[k], s.seen[k])
		}
		e.Finish()
		for _, want := range s.truths {
			if s.tells(want.kind) {
				tallies[want.kind].there++
				if want.found {
					tallies[want.kind].found++
				} else if os.Getenv("SHOW") != "" {
					t.Logf("log %d step %.3g columns %d temp %v: missed %s of %d at %v", i, s.step, len(s.columns), s.temp, want.kind, want.column, time.Unix(0, want.from).UTC().Format(time.DateTime))
				}
			}
		}
		for _, got := range wrong {
			if s.tells(watch.Jump) || got.Kind != watch.TopUp {
				tallies[got.Kind].wrong++
				if os.Getenv("SHOW") != "" {
					t.Logf("log %d step %.3g columns %d temp %v: WRONG %s of %d with %v at %v..%v %.4g -> %.4g", i, s.step, len(s.columns), s.temp, got.Kind, got.Column, got.With, got.From.Format(time.DateTime), got.To.Format(time.DateTime), got.Before, got.After)
				}
			}
		}
	}
	for kind, n := range tallies {
		t.Logf("%-8s %4d of %4d found (%.1f %%), %d false in %.0f months (%.2f a month)", kind, n.found, n.there, 100*float64(n.found)/float64(n.there), n.wrong, months, float64(n.wrong)/months)
		assert.GreaterOrEqual(t, float64(n.found), 0.95*float64(n.there), "%s found", kind)
		assert.Less(t, float64(n.wrong), months, "%s false", kind)
	}
}
