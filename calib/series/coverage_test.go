package series_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An invented pen, which shows true·(1+error), is calibrated in two bottles every
// 30 days and logs in between and after. The simulation shares nothing with the
// code under test: its course is drawn day by day, its calibrations are fitted
// here.
type inventedPen struct {
	steady    bool    // drifts evenly, by a rate that is normal of size rate
	fixed     bool    // by exactly that rate
	rate      float64 // in 30 days
	walk      float64 // per root of 30 days
	oneStock  bool    // the bottles of all calibrations are from one stock
	adjusted  bool    // set right at the second calibration
	uTemp     float64 // of the thermometer beside a pen without compensation
	from, to  float64 // days that are looked at; calibrated on days 0, 30 and 60
	low, high float64 // share inside that is right
}

// Errors of the invented calibrations: of each bottle, of the stock and of a
// reading, as fractions.
const (
	ownPart, stockPart, readingPart = 0.003, 0.007, 0.002
	dayStep                         = 0.25
)

// draw makes one pen with its calibrations, and looks once: whether the truth
// lies within 1.96 u of what it is corrected to.
func (p inventedPen) draw(t *testing.T, r *rand.Rand) bool {
	rate := 0.0
	switch {
	case p.fixed:
		rate = p.rate
	case p.steady:
		rate = p.rate * r.NormFloat64()
	}
	at := p.from + (p.to-p.from)*r.Float64()
	at = math.Round(at/dayStep) * dayStep
	stock := r.NormFloat64()
	gain := 1 + 0.05*r.NormFloat64() // as it comes
	var cals []series.Calibration
	var seen float64
	for d := 0.0; d <= max(at, 60); d += dayStep {
		if math.Mod(d, 30) == 0 && d <= 60 {
			if !p.oneStock {
				stock = r.NormFloat64()
			}
			cals = append(cals, p.calibrate(r, d, series.AsFound, gain, stock))
			if p.adjusted && d == 30 {
				gain = 1
				cals = append(cals, p.calibrate(r, d, series.AsLeft, gain, stock))
			}
		}
		if d == at {
			seen = gain
		}
		gain += rate*dayStep/30 + p.walk*math.Sqrt(dayStep/30)*r.NormFloat64()
	}
	line, err := series.NewTimeline(cals, nil, series.Growth{Rate: p.rate, Walk: p.walk, Relative: true})
	require.NoError(t, err)
	probe := &series.Probe{Timeline: line, Low: math.NaN(), High: math.NaN(), UTemp: p.uTemp}
	truth := 350 + 500*r.Float64()
	shown, tempC := truth, math.NaN()
	if p.uTemp > 0 {
		tempC = 15 + 15*r.Float64()
		shown = truth * (1 + 0.02*(tempC-25))
		tempC += p.uTemp * r.NormFloat64()
		probe.Conversion = series.Conversion{Does: tempcomp.None{}, Wanted: tempcomp.Linear{Alpha: 0.02, RefTempC: 25}}
	}
	probe.URead = readingPart * shown
	reading := shown * seen * (1 + readingPart*r.NormFloat64())
	c, err := series.NewCorrector(probe)
	require.NoError(t, err)
	value, u, _ := c.At(day(at).UnixNano(), reading, tempC)
	return math.Abs(value-truth) <= 1.959963984540054*u
}

// calibrate reads two bottles and lays the line through them, with its
// covariance by the propagation of uncertainty.
func (p inventedPen) calibrate(r *rand.Rand, d float64, state series.State, gain, stock float64) series.Calibration {
	refs := [2]float64{300, 900}
	var x [2]float64
	var cov [2][2]float64
	for i, ref := range refs {
		truth := ref * (1 + ownPart*r.NormFloat64() + stockPart*stock)
		x[i] = truth * gain * (1 + readingPart*r.NormFloat64())
		for j, other := range refs {
			cov[i][j] = stockPart * stockPart * ref * other
		}
		cov[i][i] += (ownPart*ownPart + readingPart*readingPart) * ref * ref
	}
	span := x[1] - x[0]
	slope := (refs[1] - refs[0]) / span
	ds := [2]float64{-1 / span, 1 / span}
	di := [2]float64{1 + x[0]/span, -x[0] / span}
	form := func(a, b [2]float64) (sum float64) {
		for i := range 2 {
			for j := range 2 {
				sum += a[i] * cov[i][j] * b[j]
			}
		}
		return sum
	}
	return series.Calibration{Time: day(d), State: state, Name: "calibration", Line: series.Line{
		Intercept: refs[0] - slope*x[0], Slope: slope, Low: x[0], High: x[1],
		VarIntercept: form(di, di), VarSlope: form(ds, ds), Cov: form(di, ds),
	}}
}

// ±1.96 u covers the truth in 95 of 100 cases where the growth is what it is said
// to be. Between calibrations that share no stock it covers more, since nobody
// says what they share and u is then the most it can be; a drift that is as large
// as it may be, and known to be steady, is covered always.
func TestCoverage(t *testing.T) {
	trials := 20000
	if testing.Short() {
		trials = 3000
	}
	const all, most = 0.95, 0.995
	for i, c := range []struct {
		name string
		pen  inventedPen
	}{
		{"still, one stock, between", inventedPen{oneStock: true, from: 0, to: 60, low: all, high: most}},
		{"still, one stock, at the last", inventedPen{oneStock: true, from: 60, to: 60, low: all, high: all}},
		{"still, fresh stocks, between", inventedPen{from: 0, to: 60, low: all, high: most}},
		{"steady, one stock, between", inventedPen{steady: true, rate: 0.03, oneStock: true, from: 0, to: 60, low: all, high: most}},
		{"steady, fresh stocks, between", inventedPen{steady: true, rate: 0.03, from: 0, to: 60, low: all, high: most}},
		{"steady and fast, between", inventedPen{fixed: true, rate: 0.10, oneStock: true, from: 0, to: 60, low: all, high: most}},
		{"steady, after", inventedPen{steady: true, rate: 0.03, from: 60, to: 150, low: all, high: all}},
		{"steady at the full rate, after", inventedPen{fixed: true, rate: 0.03, from: 60, to: 150, low: all, high: 1}},
		{"wandering, one stock, between", inventedPen{walk: 0.015, oneStock: true, from: 0, to: 60, low: all, high: most}},
		{"wandering, fresh stocks, between", inventedPen{walk: 0.015, from: 0, to: 60, low: all, high: most}},
		{"wandering, after", inventedPen{walk: 0.015, from: 60, to: 150, low: all, high: all}},
		{"both, after", inventedPen{steady: true, rate: 0.02, walk: 0.01, from: 60, to: 150, low: all, high: all}},
		{"both, adjusted, between", inventedPen{steady: true, rate: 0.02, walk: 0.01, oneStock: true, adjusted: true, from: 0, to: 60, low: all, high: most}},
		{"both, adjusted, after", inventedPen{steady: true, rate: 0.02, walk: 0.01, oneStock: true, adjusted: true, from: 60, to: 150, low: all, high: all}},
		{"no compensation, between", inventedPen{steady: true, rate: 0.02, uTemp: 0.7, oneStock: true, from: 0, to: 60, low: all, high: most}},
		{"no compensation, at the last", inventedPen{uTemp: 0.7, from: 60, to: 60, low: all, high: all}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(20260301, uint64(i)))
			inside := 0
			for range trials {
				if c.pen.draw(t, r) {
					inside++
				}
			}
			share := float64(inside) / float64(trials)
			band := 4 * math.Sqrt(0.95*0.05/float64(trials))
			assert.GreaterOrEqual(t, share, c.pen.low-band)
			assert.LessOrEqual(t, share, c.pen.high+band)
			t.Logf("%.2f %% inside", 100*share)
		})
	}
}
