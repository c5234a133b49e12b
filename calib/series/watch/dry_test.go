package watch_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tub invents a log of a tub, with the rows in which its probe hung in air.
//
// Population: a row each 10 s to 30 min; a level of 300 to 3000 uS/cm that
// plants and evaporation move by up to 3 % a day, with noise of 0.1 to 1 % and
// a daily swing of up to 3 %; top-ups (down to 60 to 98 %), doses (up to 140 %)
// and changes for tap water (down to 10 to 40 %), at once or mixing in over up
// to 20 minutes; once in 3 to 20 days the probe hangs in air for 10 minutes to
// two days: the reading falls at once or with a film that runs off with a time
// constant of up to 3 minutes, to 0 to 1.5 % of the level; it returns at once.
type tub struct {
	rng    *rand.Rand
	step   time.Duration
	times  []int64
	values []float64
	dry    []bool
}

func invent(rng *rand.Rand, rows int) *tub {
	steps := []time.Duration{10 * time.Second, time.Minute, time.Minute, 5 * time.Minute, 15 * time.Minute, 30 * time.Minute}
	s := &tub{rng: rng, step: steps[rng.IntN(len(steps))]}
	minutes := s.step.Minutes()
	level := 300 * math.Pow(10, rng.Float64())
	target, mixing := level, 1.0
	noise, swing, trend := 0.001+0.009*rng.Float64(), 0.03*rng.Float64(), 0.06*(rng.Float64()-0.5)
	air, before, film, until, fell := 0.0, 0.0, 0.0, -1.0, 0.0
	nextAir := s.between(3, 20) * 1440
	nextDeed := s.between(0.5, 8) * 1440
	for i := range rows {
		now := float64(i) * minutes
		target *= 1 + trend*minutes/1440
		level += (target - level) * math.Min(1, minutes/mixing)
		if now >= nextDeed {
			nextDeed = now + s.between(0.5, 8)*1440
			mixing = []float64{0.1, 1, 7}[rng.IntN(3)]
			switch rng.IntN(4) {
			case 0:
				target *= s.between(1.02, 1.4)
			case 1, 2:
				target *= s.between(0.6, 0.98)
			case 3:
				target *= s.between(0.1, 0.4)
			}
			if target < 150 || target > 5000 {
				target = s.between(300, 3000)
			}
		}
		if now >= nextAir && until < 0 && math.Abs(target/level-1) < 0.5 {
			until, fell, film = now+s.between(10, 10*288), now, []float64{0, 1, 3}[rng.IntN(3)]
			air, before = 0.015*rng.Float64()*level, level
			nextAir = now + s.between(3, 20)*1440
		}
		if until >= 0 && now >= until {
			until = -1
		}
		value := level * (1 + swing*math.Sin(2*math.Pi*now/1440)) * (1 + noise*rng.NormFloat64())
		if until >= 0 {
			share := 0.0
			if film > 0 {
				share = math.Exp(-(now - fell + minutes*rng.Float64()) / film)
			}
			value = math.Max(air*(1+0.1*rng.NormFloat64())+before*share, 0)
		}
		s.times = append(s.times, int64(now*float64(time.Minute)))
		s.values = append(s.values, value)
		s.dry = append(s.dry, until >= 0)
	}
	return s
}

func (s *tub) between(low, high float64) float64 { return low + (high-low)*s.rng.Float64() }

func TestDryIsFound(t *testing.T) {
	logs := 300
	if testing.Short() {
		logs = 60
	}
	var dry, found, wet, wrong int
	for i := range logs {
		s := invent(rand.New(rand.NewPCG(uint64(i), 8)), 20000)
		d, err := watch.NewDry(watch.UsualDryLimits(2))
		require.NoError(t, err)
		flags := make([]bool, len(s.values))
		for k, v := range s.values {
			is, back := d.Next(s.times[k], v)
			flags[k] = is
			require.LessOrEqual(t, back, k)
			for j := k - back; j < k; j++ {
				flags[j] = true
			}
		}
		for k := range flags {
			switch {
			case s.dry[k] && flags[k]:
				dry, found = dry+1, found+1
			case s.dry[k]:
				dry++
			case flags[k]:
				wet, wrong = wet+1, wrong+1
			default:
				wet++
			}
		}
	}
	t.Logf("%d of %d dry rows found (%.3f %%), %d of %d wet rows flagged (1 in %.0f)", found, dry, 100*float64(found)/float64(dry), wrong, wet, float64(wet)/math.Max(float64(wrong), 1))
	assert.GreaterOrEqual(t, float64(found), 0.99*float64(dry))
	assert.LessOrEqual(t, float64(wrong), 1e-5*float64(wet))
}
