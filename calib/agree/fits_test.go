package agree

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Which meter is called x must not matter.
func TestLinesDoNotDependOnTheAxis(t *testing.T) {
	x, y := peakFlow(t)
	for _, lambda := range []float64{0.25, 1, 4} {
		forth, err := FitDeming(x, y, lambda)
		require.NoError(t, err)
		back, err := FitDeming(y, x, 1/lambda)
		require.NoError(t, err)
		assert.InEpsilon(t, 1/forth.Slope, back.Slope, 1e-12)
		assert.InDelta(t, -forth.Intercept/forth.Slope, back.Intercept, 1e-9)
	}
	forth, err := FitPassingBablok(x, y)
	require.NoError(t, err)
	back, err := FitPassingBablok(y, x)
	require.NoError(t, err)
	// The median of an even number of slopes lies between two of them.
	assert.InEpsilon(t, 1/forth.Slope, back.Slope, 0.01)
	assert.InEpsilon(t, 1/forth.SlopeInterval[0], back.SlopeInterval[1], 1e-12)
	assert.InEpsilon(t, 1/forth.SlopeInterval[1], back.SlopeInterval[0], 1e-12)
}

// Changing the unit of both meters changes the intercept by it and nothing else.
func TestLinesFollowAChangeOfUnit(t *testing.T) {
	x, y := peakFlow(t)
	mx, my := divided(x, 1000), divided(y, 1000)
	d, err := FitDeming(x, y, 1)
	require.NoError(t, err)
	dm, err := FitDeming(mx, my, 1)
	require.NoError(t, err)
	assert.InEpsilon(t, d.Slope, dm.Slope, 1e-12)
	assert.InEpsilon(t, d.USlope, dm.USlope, 1e-9)
	assert.InEpsilon(t, d.Intercept/1000, dm.Intercept, 1e-9)
	p, err := FitPassingBablok(x, y)
	require.NoError(t, err)
	pm, err := FitPassingBablok(mx, my)
	require.NoError(t, err)
	assert.InEpsilon(t, p.Slope, pm.Slope, 1e-12)
	assert.InEpsilon(t, p.Intercept/1000, pm.Intercept, 1e-9)
}

func TestExactLinesAreFound(t *testing.T) {
	x := []float64{300, 700, 1413, 2760, 5000}
	y := make([]float64, len(x))
	for i := range x {
		y[i] = 12 + 0.92*x[i]
	}
	d, err := FitDeming(x, y, 1)
	require.NoError(t, err)
	assert.InDelta(t, 0.92, d.Slope, 1e-12)
	assert.InDelta(t, 12, d.Intercept, 1e-8)
	p, err := FitPassingBablok(x, y)
	require.NoError(t, err)
	assert.InDelta(t, 0.92, p.Slope, 1e-12)
	assert.InDelta(t, 12, p.Intercept, 1e-8)
	short, err := FitDeming(x[:3], y[:3], 1)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(short.USlope), "three points leave the jackknife nothing")
}

// The 95 % intervals of the slope under equal errors in both meters, with ten
// samples over a range of ten.
func TestIntervalsOfSlopesCover(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 1))
	const n = 10
	trials := trialsOf(4000)
	deming, bablok := 0, 0
	for range trials {
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			truth := 10 + 9*float64(i)
			x[i], y[i] = truth+rng.NormFloat64(), truth+rng.NormFloat64()
		}
		d, err := FitDeming(x, y, 1)
		require.NoError(t, err)
		if s, _ := d.Intervals(); s[0] <= 1 && 1 <= s[1] {
			deming++
		}
		p, err := FitPassingBablok(x, y)
		require.NoError(t, err)
		if p.SlopeInterval[0] <= 1 && 1 <= p.SlopeInterval[1] {
			bablok++
		}
	}
	// Both intervals are approximations for large n; at ten samples the
	// jackknife is within 1.5 % of its claim and the ranks are a little wide.
	assert.InDelta(t, level, float64(deming)/float64(trials), 0.015+band(trials))
	assert.GreaterOrEqual(t, float64(bablok)/float64(trials), level-band(trials))
}

func TestLinesRefuseWhatTheyCannotUse(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct{ x, y []float64 }{
		"3 or more":     {[]float64{1, 2}, []float64{1, 2}},
		"as many":       {[]float64{1, 2, 3}, []float64{1, 2}},
		"finite":        {[]float64{1, nan, 3}, []float64{1, 2, 3}},
		"do not spread": {[]float64{2, 2, 2}, []float64{2, 2, 2}},
	} {
		_, err := FitDeming(c.x, c.y, 1)
		assert.ErrorContains(t, err, name)
		_, err = FitPassingBablok(c.x, c.y)
		assert.ErrorContains(t, err, name)
	}
	_, err := FitDeming([]float64{1, 2, 3}, []float64{1, 2, 3}, 0)
	assert.ErrorContains(t, err, "above 0")
	_, err = FitDeming([]float64{1, 2, 3}, []float64{2, 2, 2}, 1)
	assert.ErrorIs(t, err, ErrNoSpread)
	vertical, err := FitPassingBablok([]float64{1, 1, 1}, []float64{1, 2, 3})
	assert.ErrorIs(t, err, ErrNoSpread, "%v", vertical)
	few, err := FitPassingBablok([]float64{1, 2, 3}, []float64{1, 2.1, 2.9})
	require.NoError(t, err)
	assert.True(t, math.IsInf(few.SlopeInterval[1], 1), "three points bound no slope")
	assert.True(t, math.IsInf(few.InterceptInterval[0], -1))
}

func TestScoresRefuseWhatTheyCannotUse(t *testing.T) {
	nan := math.NaN()
	for _, c := range [][4]float64{{nan, 1, 1, 1}, {1, -1, 1, 1}, {1, 0, 1, 0}, {1, 1, math.Inf(1), 1}, {1, 1, 1, nan}} {
		_, err := ZetaScore(c[0], c[1], c[2], c[3])
		assert.Error(t, err, "%v", c)
		_, err = EnScore(c[0], c[1], c[2], c[3])
		assert.Error(t, err, "%v", c)
	}
	_, err := ZScore(1, 1, 0)
	assert.ErrorContains(t, err, "no uncertainty")
	_, err = ConsensusOf([]float64{1}, []float64{1})
	assert.ErrorContains(t, err, "2 or more")
	_, err = ConsensusOf([]float64{1, 2}, []float64{1})
	assert.ErrorContains(t, err, "as many")
	_, err = ConsensusOf([]float64{1, 2}, []float64{1, 0})
	assert.ErrorContains(t, err, "above 0")
}

func TestGrades(t *testing.T) {
	assert.Equal(t, []Grade{Satisfactory, Satisfactory, Questionable, Unsatisfactory, Unsatisfactory},
		[]Grade{GradeOf(-1.9), GradeOf(2), GradeOf(-2.5), GradeOf(3), GradeOf(-7)})
	assert.Equal(t, []Grade{Satisfactory, Satisfactory, Unsatisfactory},
		[]Grade{GradeOfEn(0.3), GradeOfEn(-1), GradeOfEn(1.01)})
}
