package tempcomp_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/tempcomp"
)

// Where a rule is named, it is the right one in 95 of 100 cases, whatever the
// meter; and what is left open is left open because it cannot be told.
func TestRulesAreNamedRightly(t *testing.T) {
	const trials = 300
	b := referenceBottle(t, 0.003)
	rng := rand.New(rand.NewPCG(25, 7888))
	named, wrong, open := map[string]int{}, 0, 0
	for range trials {
		temps := [][]float64{{10, 20, 30}, {5, 15, 25, 35}, {15, 20, 25, 30}}[rng.IntN(3)]
		rule := tempcomp.RuleNames()[rng.IntN(3)]
		alpha := 0.1 * rng.Float64()
		if rng.IntN(2) == 0 {
			alpha = 0.017 + 0.008*rng.Float64()
		}
		scatter := []float64{0.0005, 0.002, 0.01}[rng.IntN(3)]
		known := rng.IntN(2) == 0
		var s []tempcomp.Observation
		for _, temp := range temps {
			x := publishedKCl[temp]
			switch rule {
			case tempcomp.LinearName:
				f := 1 + alpha*(temp-25)
				if f < 0.15 {
					f = math.NaN()
				}
				x /= f
			case tempcomp.NaturalWaterName:
				x = natural(t)(x, temp)
			}
			x *= 1 + scatter*rng.NormFloat64()
			u := scatter * x
			o := tempcomp.Observation{Reading: x, TempC: temp}
			if known {
				o.UReading = &u
			}
			s = append(s, o)
		}
		if math.IsNaN(s[0].Reading) {
			continue
		}
		switch e := examine(t, b, tempcomp.ExamineOptions{}, s); e.Rule {
		case "":
			open++
		case rule:
			named[rule]++
		default:
			wrong++
		}
	}
	t.Log(named, wrong, open)
	for _, rule := range tempcomp.RuleNames() {
		assert.Greater(t, named[rule], 20, rule)
	}
	total := wrong
	for _, n := range named {
		total += n
	}
	// 5 % of the named, and three standard deviations of the count.
	assert.Less(t, float64(wrong), 0.05*float64(total)+3*math.Sqrt(0.05*0.95*float64(total)))
}

// A display in steps rounds; nominal 95 % intervals cover all the same, with the
// step stated beside u_reading and without, for repeats at one stop too.
func TestCoverageOfARoundingDisplay(t *testing.T) {
	b := kclBottle(t)
	for i, c := range []struct {
		name         string
		step, uRel   float64
		stated       bool
		temps        []float64
		least, most  float64
		repeatsAtEnd int
	}{
		{name: "stated", step: 5, uRel: 0.0005, stated: true, temps: []float64{5, 10, 15, 20, 25, 30, 35}, least: 0.94, most: 0.99},
		{name: "scatter", step: 5, uRel: 0.003, temps: []float64{5, 10, 15, 20, 25, 30, 35}, least: 0.94, most: 0.99},
		{name: "scatter hidden by the step", step: 20, uRel: 0.0005, temps: []float64{5, 15, 25, 35}, least: 0.94, most: 1},
		{name: "repeats", step: 10, uRel: 0.0003, stated: true, temps: []float64{10, 10, 10, 10, 20, 20, 20, 20, 30, 30, 30, 30}, least: 0.94, most: 1},
	} {
		rng := rand.New(rand.NewPCG(uint64(i), 12))
		const trials = 2000
		hits := 0
		for range trials {
			alpha, gain := 0.018+0.005*rng.Float64(), 0.9+0.2*rng.Float64()
			var s []tempcomp.Observation
			for _, temp := range c.temps {
				x := gain * publishedKCl[temp] / (1 + alpha*(temp-25))
				u := c.uRel * x
				x = c.step * math.Round((x+u*rng.NormFloat64())/c.step)
				o := tempcomp.Observation{Reading: x, TempC: temp}
				if c.stated {
					o.UReading = &u
				}
				s = append(s, o)
			}
			exact := 0.0
			readings, err := tempcomp.Observed(s, &exact)
			require.NoError(t, err)
			e, err := tempcomp.EstimateLinear(b, readings, tempcomp.EstimateOptions{RefTempC: 25, Scale: tempcomp.MicroSiemens(), Resolution: c.step})
			require.NoError(t, err)
			if alpha >= *e.Alpha.Low && alpha <= *e.Alpha.High {
				hits++
			}
		}
		p := float64(hits) / trials
		t.Logf("%s %.4f", c.name, p)
		assert.GreaterOrEqual(t, p, c.least, c.name)
		assert.LessOrEqual(t, p, c.most, c.name)
	}
}
