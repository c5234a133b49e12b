package watch_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tally counts rows that have a value by what they are and what was said.
type tally struct{ dry, found, wet, wrong int }

func (n *tally) count(s *tub, flags []bool) {
	for k := range flags {
		switch {
		case math.IsNaN(s.values[k]):
		case s.dry[k] && flags[k]:
			n.dry, n.found = n.dry+1, n.found+1
		case s.dry[k]:
			n.dry++
		case flags[k]:
			n.wet, n.wrong = n.wet+1, n.wrong+1
		default:
			n.wet++
		}
	}
}

func (n tally) log(t *testing.T, what string) {
	t.Logf("%s: %d of %d dry rows found (%.2f %%), %d of %d wet rows flagged (1 in %.0f)", what, n.found, n.dry,
		100*float64(n.found)/float64(n.dry), n.wrong, n.wet, float64(n.wet)/math.Max(float64(n.wrong), 1))
}

// flagDry runs a log through, and returns the flags without and with the rows
// that were told afterwards.
func flagDry(t *testing.T, times []int64, values []float64, floor float64) (live, after []bool) {
	d, err := watch.NewDry(watch.UsualDryLimits(floor))
	require.NoError(t, err)
	live, after = make([]bool, len(values)), make([]bool, len(values))
	for k, v := range values {
		reach := d.Reach()
		is, back := d.Next(times[k], v)
		live[k], after[k] = is, is
		if back < 0 || back > min(k, watch.MostBack) || back > reach {
			require.FailNow(t, "more rows back than there are, or rows that were settled", "row %d: %d back, reach %d", k, back, reach)
		}
		for j := k - back; j < k; j++ {
			after[j] = true
		}
	}
	return live, after
}

// The rates of the guide, on the population that [tub] describes; see there.
func TestDryIsFound(t *testing.T) {
	logs := 300
	if testing.Short() {
		logs = 60
	}
	var live, after tally
	for i := range logs {
		s := invent(rand.New(rand.NewPCG(uint64(i), 8)), 20000)
		now, later := flagDry(t, s.times, s.values, s.floor)
		live.count(s, now)
		after.count(s, later)
	}
	live.log(t, "as they come")
	after.log(t, "afterwards")
	require.Greater(t, after.dry, 1000*logs, "rows in air")
	assert.GreaterOrEqual(t, float64(after.found), 0.99*float64(after.dry))
	assert.LessOrEqual(t, float64(after.wrong), 1e-5*float64(after.wet))
	assert.GreaterOrEqual(t, float64(live.found), 0.95*float64(live.dry))
	assert.LessOrEqual(t, float64(live.wrong), 1e-5*float64(live.wet))
}

// The population is hard enough to tell programs apart: a fixed limit, a share
// of the mean, and a fall by itself, all fail on it.
func TestSimplerRulesFail(t *testing.T) {
	var limit, share, fall tally
	for i := range 60 {
		s := invent(rand.New(rand.NewPCG(uint64(i), 8)), 20000)
		sum, n := 0.0, 0.0
		for _, v := range s.values {
			if !math.IsNaN(v) {
				sum, n = sum+v, n+1
			}
		}
		byLimit, byShare, byFall := make([]bool, len(s.values)), make([]bool, len(s.values)), make([]bool, len(s.values))
		before, dry := math.NaN(), false
		for k, v := range s.values {
			byLimit[k] = v <= s.floor
			byShare[k] = v <= 0.05*sum/n
			if v < 0.05*before {
				dry = true
			} else if dry && v > 0.1*before {
				dry = false
			}
			if !dry && !math.IsNaN(v) {
				before = v
			}
			byFall[k] = dry
		}
		limit.count(s, byLimit)
		share.count(s, byShare)
		fall.count(s, byFall)
	}
	for what, n := range map[string]tally{"a limit": limit, "a share of the mean": share, "a fall alone": fall} {
		n.log(t, what)
		passes := float64(n.found) >= 0.99*float64(n.dry) && float64(n.wrong) <= 1e-5*float64(n.wet)
		assert.False(t, passes, what)
	}
}

// Small logs by hand. Values are in uS/cm, "-" is a blank; in the wanted flags "."
// is wet and "D" dry, once afterwards and once as the rows come.
func TestDryByHand(t *testing.T) {
	for name, c := range map[string]struct {
		step        time.Duration
		floor       float64
		values      string
		after, live string
	}{
		"a fall and a return at once": {time.Minute, 4, "900 900 901 1 1 2 1 880 880 881 880",
			"...DDDD....", "....." + "DD" + "...."},
		"a film that runs off":                  {time.Minute, 4, "900 900 900 300 120 50 20 9 6 880 880", "...DDDDDD..", "........D.."},
		"one row of zero is a slip":             {time.Minute, 4, "900 900 900 0 900 900 900 0 900", ".........", "........."},
		"two within a minute are slips":         {time.Minute, 4, "900 900 900 0 0 900 900 900 900", ".........", "........."},
		"two an hour apart are not":             {time.Hour, 4, "900 900 900 0 0 900 900 900 900", "...DD....", "....D...."},
		"blanks around the fall":                {10 * time.Minute, 4, "900 900 900 - - - 0 - 0 0 - 900 900", "......D.DD...", "........DD..."},
		"a splash":                              {time.Minute, 4, "900 900 900 3 3 3 3 500 3 3 900 900 900", "...DDDDDDD...", ".....DD.DD..."},
		"a splash that runs off":                {time.Minute, 4, "900 900 900 3 3 3 400 200 90 40 15 5 3 900 900", "...DDDDDDDDDD..", ".....D.....DD.."},
		"the log begins in air":                 {time.Minute, 4, "0 0 1 900 900 900", "DDD...", "DDD..."},
		"the log begins in air above the floor": {time.Minute, 4, "9 9 8 9 900 900 900", "DDDD...", "......."},
		"it begins in air, unsteadily":          {time.Minute, 4, "9 6 9 5 5 2 8 9 900 900 900", "DDDDDDDD...", "..........."},
		"it begins in weak water, then air":     {time.Minute, 4, "18 18 19 18 1 1 1 300 301 300 301 300 600 601 600", "....DDD........", "......D........"},
		"the log ends in air":                   {time.Minute, 4, "900 900 900 0 0 0", "...DDD", ".....D"},
		"it begins in weak water":               {time.Hour, 4, "30 30 31 30 60 120 300 600 900", ".........", "........."},
		"water is changed, then the probe is dry": {5 * time.Minute, 4, "900 900 901 130 131 130 130 131 130 130 1 1 1 130",
			"..........DDD.", "...........DD."},
		"a refill at a fifth":             {time.Minute, 4, "900 900 900 2 2 2 2 180 181 180 180", "...DDDD....", ".....DD...."},
		"a refill at three times":         {time.Minute, 4, "300 300 300 2 2 2 2 900 901 900 900", "...DDDD....", ".....DD...."},
		"a spike, and no fall from it":    {time.Minute, 4, "900 900 900 90000 900 900 900 900", "........", "........"},
		"two spikes":                      {time.Minute, 4, "900 900 900 90000 90000 900 900 900", "........", "........"},
		"rows are missing for four hours": {4 * time.Hour, 4, "900 900 900 0 0 800 800", "...DD..", "....D.."},
		"a share of the level without a floor": {time.Minute, 0, "900 900 900 30 31 30 29 900 900 900",
			"...DDDD...", ".....DD..."},
		"diluted within hours": {30 * time.Minute, 4, "900 800 700 600 500 400 300 200 100 20 20 20 20 20", "..............", ".............."},
		"flushed within minutes, evenly": {time.Minute, 4, "900 860 820 780 740 700 660 620 580 540 500 460 420 380 340 300 260 220 180 140 100 60 20 20 20",
			".........................", "........................."},
		"as weak as water": {time.Hour, 4, "9 8 9 9 1 0 1 2 9", ".........", "........."},
		"below zero":       {time.Minute, 4, "900 900 900 -5 -4 -6 -5 900 900", "...DDDD..", ".....DD.."},
	} {
		t.Run(name, func(t *testing.T) {
			var times []int64
			var values []float64
			for i, word := range strings.Fields(c.values) {
				times = append(times, int64(i)*int64(c.step))
				values = append(values, number(t, word))
			}
			live, after := flagDry(t, times, values, c.floor)
			assert.Equal(t, c.after, dots(after, values), "afterwards")
			assert.Equal(t, c.live, dots(live, values), "as they come")
		})
	}
}

func dots(flags []bool, values []float64) string {
	text := ""
	for i, f := range flags {
		if f && !math.IsNaN(values[i]) {
			text += "D"
		} else {
			text += "."
		}
	}
	return text
}

// What is dry does not depend on the unit, nor on when the log was written, nor
// on a clock that was set back in the liquid.
func TestDryKnowsNoUnitAndNoDate(t *testing.T) {
	for i := range 20 {
		s := invent(rand.New(rand.NewPCG(uint64(i), 30)), 5000)
		_, want := flagDry(t, s.times, s.values, s.floor)
		scaled, later := make([]float64, len(s.values)), make([]int64, len(s.times))
		for k := range s.values {
			scaled[k], later[k] = s.values[k]/1024, s.times[k]+1_700_000_000e9
		}
		_, got := flagDry(t, s.times, scaled, s.floor/1024)
		assert.Equal(t, want, got, "log %d in another unit", i)
		_, got = flagDry(t, later, s.values, s.floor)
		assert.Equal(t, want, got, "log %d at another time", i)
	}
}

func TestClockSetBackFarStillTells(t *testing.T) {
	var times []int64
	var values []float64
	for i := range 200 {
		at := int64(i) * 60e9
		if i > 100 {
			at -= 365 * 24 * 3600e9
		}
		times = append(times, at)
		values = append(values, 900)
	}
	for i := 150; i < 170; i++ {
		values[i] = 1
	}
	_, after := flagDry(t, times, values, 4)
	for i, dry := range after {
		assert.Equal(t, i >= 150 && i < 170, dry, "row %d", i)
	}
}

func TestDryLimitsAreChecked(t *testing.T) {
	usual := watch.UsualDryLimits(4)
	require.NoError(t, usual.Check())
	for name, spoil := range map[string]func(*watch.DryLimits){
		"near 0":          func(l *watch.DryLimits) { l.Near = 0 },
		"near above back": func(l *watch.DryLimits) { l.Near = 0.2 },
		"near unknown":    func(l *watch.DryLimits) { l.Near = math.NaN() },
		"back of a half":  func(l *watch.DryLimits) { l.Back = 0.5 },
		"a fall below 0":  func(l *watch.DryLimits) { l.Fall = -1 },
		"a film below 0":  func(l *watch.DryLimits) { l.Film = -1 },
		"floor below 0":   func(l *watch.DryLimits) { l.Floor = -1 },
		"floor unknown":   func(l *watch.DryLimits) { l.Floor = math.NaN() },
		"floor without end": func(l *watch.DryLimits) {
			l.Floor = math.Inf(1)
		},
	} {
		limits := usual
		spoil(&limits)
		_, err := watch.NewDry(limits)
		assert.ErrorIs(t, err, watch.ErrLimits, name)
		assert.ErrorContains(t, err, "want", name)
	}
}

// Values that no probe shows do no harm.
func TestDryTakesAnything(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	d, err := watch.NewDry(watch.UsualDryLimits(4))
	require.NoError(t, err)
	odd := []float64{0, 1, -1, 1e300, -1e300, math.Inf(1), math.Inf(-1), math.NaN(), 5e-324, 900, 900, 900}
	for i := range 200000 {
		_, back := d.Next(rng.Int64()-rng.Int64(), odd[rng.IntN(len(odd))])
		require.True(t, back >= 0 && back <= min(i, watch.MostBack), "row %d: %d rows back", i, back)
	}
}
