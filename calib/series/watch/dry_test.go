package watch_test

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"

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

// flagDry runs a log through, and returns the flags without and with the rows
// that were told afterwards.
func flagDry(t *testing.T, s *tub) (live, after []bool) {
	d, err := watch.NewDry(watch.UsualDryLimits(s.floor))
	require.NoError(t, err)
	live, after = make([]bool, len(s.values)), make([]bool, len(s.values))
	for k, v := range s.values {
		is, back := d.Next(s.times[k], v)
		live[k] = is
		after[k] = is
		require.LessOrEqual(t, back, min(k, watch.MostBack))
		for j := k - back; j < k; j++ {
			after[j] = true
		}
	}
	return live, after
}

func TestDryIsFound(t *testing.T) {
	logs := 300
	if testing.Short() {
		logs = 60
	}
	var live, after tally
	for i := range logs {
		s := invent(rand.New(rand.NewPCG(uint64(i), 8)), 20000)
		now, later := flagDry(t, s)
		live.count(s, now)
		after.count(s, later)
		if os.Getenv("SHOW") != "" {
			var one tally
			one.count(s, later)
			if one.found*100 < one.dry*99 || one.wrong > 0 {
				show(t, s, later)
				t.Logf("log %d step %v min shown %v factor %v level %.0f noise %.4f zeros %v splash %.4f: %+v", i, s.step, s.shown, s.factor, s.level, s.noise, s.zeros > 0, s.splashing, one)
			}
		}
	}
	for what, n := range map[string]tally{"live": live, "afterwards": after} {
		t.Logf("%s: %d of %d dry rows found (%.3f %%), %d of %d wet rows flagged (1 in %.0f)", what, n.found, n.dry,
			100*float64(n.found)/float64(n.dry), n.wrong, n.wet, float64(n.wet)/math.Max(float64(n.wrong), 1))
	}
	assert.GreaterOrEqual(t, float64(after.found), 0.99*float64(after.dry))
	assert.LessOrEqual(t, float64(after.wrong), 1e-5*float64(after.wet))
}

func show(t *testing.T, s *tub, flags []bool) {
	n := 0
	for k := 0; k < len(flags) && n < 3; k++ {
		if math.IsNaN(s.values[k]) || flags[k] == s.dry[k] {
			continue
		}
		e := k
		for e < len(flags) && (math.IsNaN(s.values[e]) || flags[e] != s.dry[e]) {
			e++
		}
		t.Logf("   rows %d..%d dry %v flagged %v: before %.4g | %.4g | end %.4g after %.4g", k, e, s.dry[k], flags[k], s.values[max(k-6, 0):k], s.values[k:min(k+8, e)], s.values[max(e-4, k):e], s.values[e:min(e+4, len(flags))])
		k = e
		n++
	}
}
