package series_test

import (
	"math"
	"math/rand/v2"
	"sync/atomic"
	"testing"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ownDrifter is a kind of pen with monthly checks of its own.
type ownDrifter struct {
	name       string
	rate, walk float64 // sizes in 30 days, and per root of 30 days
	checks     int
}

// draw makes one pen, takes its growth from its own checks, and looks once up to
// two months after the last: whether the truth lies within 1.96 u.
func (p ownDrifter) draw(t *testing.T, r *rand.Rand) bool {
	const own = 0.004 // standard uncertainty of a check, a fraction
	rate, level := p.rate*r.NormFloat64(), 0.03*r.NormFloat64()
	ref, u, exact := 1000.0, 1000*own, 0.0
	var entries []drift.Entry
	var last series.Calibration
	for k := range p.checks {
		if k > 0 {
			level += rate + p.walk*r.NormFloat64()
		}
		seen := ref * (1 + level + own*r.NormFloat64())
		entries = append(entries, drift.Entry{Time: day(30 * float64(k)), Ref: &ref, Reading: &seen, URef: &u, UReading: &exact})
		slope := ref / seen
		last = series.Calibration{Time: day(30 * float64(k)), Line: series.Line{Slope: slope, VarSlope: slope * slope * own * own, High: 2000}}
	}
	result, err := drift.Run(entries, drift.Options{Kind: check.EC, Now: last.Time})
	require.NoError(t, err)
	growth, ok := series.DriftGrowth(result)
	require.True(t, ok)
	months := 2 * r.Float64()
	level += rate*months + p.walk*math.Sqrt(months)*r.NormFloat64()
	pen := corrector(t, []series.Calibration{last}, nil, growth)
	value, uValue, _ := pen.At(day(30*(float64(p.checks-1)+months)).UnixNano(), ref*(1+level), math.NaN())
	return math.Abs(value-ref) <= 1.959963984540054*uValue
}

// Where the growth is taken from a meter's own checks, ±1.96 u covers the truth in
// 95 of 100 cases over meters that stand still, drift steadily and wander, and in
// 90 of 100 of each kind: few checks do not tell a meter that wanders from one
// that drifts evenly, so that it is believed a little too long, and the others
// not long enough.
func TestCoverageOfAMetersOwnDrift(t *testing.T) {
	trials := 60
	if testing.Short() {
		trials = 12
	}
	kinds := []ownDrifter{
		{"still", 0, 0, 4}, {"steady", 0.015, 0, 4}, {"steady, two checks", 0.015, 0, 2}, {"fast", 0.05, 0, 6}, {"wandering", 0, 0.01, 6},
	}
	band := func(p float64, n int) float64 { return 4 * math.Sqrt(p*(1-p)/float64(n)) }
	var all atomic.Int64
	t.Run("each", func(t *testing.T) {
		for i, kind := range kinds {
			t.Run(kind.name, func(t *testing.T) {
				t.Parallel()
				r := rand.New(rand.NewPCG(77, uint64(i)))
				inside := 0
				for range trials {
					if kind.draw(t, r) {
						inside++
					}
				}
				all.Add(int64(inside))
				share := float64(inside) / float64(trials)
				t.Logf("%s: %.1f %% inside", kind.name, 100*share)
				assert.GreaterOrEqual(t, share, 0.90-band(0.90, trials))
			})
		}
	})
	n := trials * len(kinds)
	share := float64(all.Load()) / float64(n)
	t.Logf("all: %.1f %% inside", 100*share)
	assert.GreaterOrEqual(t, share, 0.95-band(0.95, n))
}
