package electrode_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/electrode"
	"github.com/brinemark/brinemark/calib/uncert"
)

// trials makes the standard deviation of a 95 % coverage 0.22 %; the band
// asked for, 95 % ± 1 %, is 4.6 of them.
const trials = 10000

// bench is one way of calibrating.
type bench struct {
	name    string
	buffers []float64
	temps   []float64
	uPH     float64 // each buffer's own
	uKit    float64 // shared by all buffers
	uMV     float64
	uTemp   float64 // the thermometer's error, shared by all points
	stated  bool
}

// simulate counts how often the 95 % intervals hold the truth.
func simulate(t *testing.T, c bench, seed uint64) map[string]float64 {
	rng := rand.New(rand.NewPCG(seed, 20))
	hits := map[string]int{}
	count := func(what string, e *electrode.Estimate, truth float64) {
		require.NotNil(t, e.Low, what)
		if truth >= *e.Low && truth <= *e.High {
			hits[what]++
		}
	}
	for range trials {
		f, e7 := 0.9+0.12*rng.Float64(), 60*rng.Float64()-30
		kit, thermo := c.uKit*rng.NormFloat64(), c.uTemp*rng.NormFloat64()
		var points []electrode.Point
		meanTrueT := 0.0
		for i, ph := range c.buffers {
			trueT := c.temps[i]
			meanTrueT += trueT / float64(len(c.buffers))
			s, err := electrode.IdealSlope(trueT)
			require.NoError(t, err)
			truePH := ph - c.uPH*rng.NormFloat64() - kit
			mv := e7 - f*s*(truePH-7) + c.uMV*rng.NormFloat64()
			p := electrode.Point{PH: unknown(ph), MV: unknown(mv)}
			temp := known(trueT+thermo, c.uTemp, "thermometer")
			p.TempC = &temp
			if c.stated {
				p.PH = uncert.Must(known(ph, c.uPH, fmt.Sprint("ph", i)).With(c.uKit, uncert.Source{ID: "kit", Label: "kit"}))
				p.MV = known(mv, c.uMV, fmt.Sprint("mv", i))
			}
			points = append(points, p)
		}
		r, err := electrode.FromMV(points)
		require.NoError(t, err)
		s, err := electrode.IdealSlope(meanTrueT)
		require.NoError(t, err)
		count("slope", r.SlopePercent, 100*f)
		count("offset", r.OffsetMV, e7)
		count("zero point", r.ZeroPointPH, 7+e7/(f*s))
		for _, sample := range []struct {
			what string
			ph   float64
		}{{"inside", 6.2}, {"end", c.buffers[0]}, {"beyond", 2.1}} {
			what, ph := sample.what, sample.ph
			e := e7 - f*s*(ph-7) + 0.3*rng.NormFloat64()
			p, err := r.FromMV(known(e, 0.3, "sample"), uncert.Exact(meanTrueT))
			require.NoError(t, err)
			count(what, &p.PH, ph)
		}
	}
	out := map[string]float64{}
	for what, n := range hits {
		out[what] = float64(n) / trials
	}
	return out
}

func TestCoverage(t *testing.T) {
	at25 := []float64{25, 25, 25, 25, 25}
	for i, c := range []bench{
		{name: "two buffers", buffers: []float64{4, 7}, temps: at25, uPH: 0.01, uMV: 0.3, stated: true},
		{name: "two buffers of one kit", buffers: []float64{4, 7}, temps: at25, uPH: 0.003, uKit: 0.02, uMV: 0.3, stated: true},
		{name: "three buffers, three temperatures", buffers: []float64{4, 7, 10}, temps: []float64{15, 25, 30}, uPH: 0.01, uMV: 0.5, stated: true},
		{name: "three buffers, doubtful thermometer", buffers: []float64{4, 7, 10}, temps: at25, uPH: 0.005, uMV: 0.2, uTemp: 1.5, stated: true},
		{name: "five buffers", buffers: []float64{2.5, 4, 7, 9.2, 10}, temps: at25, uPH: 0.02, uMV: 0.3, stated: true},
		{name: "three buffers, scatter", buffers: []float64{4, 7, 10}, temps: at25, uMV: 0.6},
		{name: "five buffers, scatter", buffers: []float64{2.5, 4, 7, 9.2, 10}, temps: at25, uMV: 0.6},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := simulate(t, c, uint64(i+1))
			t.Log(got)
			for what, p := range got {
				if !c.stated && (what == "inside" || what == "end" || what == "beyond") {
					// Scatter and a known uncertainty together: not too
					// narrow, and wider than need be by little.
					assert.Greater(t, p, 0.945, what)
					assert.Less(t, p, 0.98, what)
					continue
				}
				assert.InDelta(t, 0.95, p, 0.01, what)
			}
			assert.Len(t, got, 6)
		})
	}
}

func TestMoreBuffersNarrow(t *testing.T) {
	u := func(buffers ...float64) float64 {
		var in []float64
		for _, ph := range buffers {
			in = append(in, ph, -59*(ph-7))
		}
		r, err := electrode.FromMV(stated(25, in...))
		require.NoError(t, err)
		return *r.SlopePercent.U
	}
	assert.Less(t, u(4, 7, 10), u(4, 7))
	assert.Less(t, u(2, 4, 7, 10, 12), u(4, 7, 10))
	assert.False(t, math.IsNaN(u(4, 7)))
}
