package cause

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
)

// dense is the logarithm of the joint density of all single readings by the
// covariance written out in full, reading by reading, as the package comment
// has it: an independent way to the same number.
func dense(t *testing.T, b *bench, rows []agree.Reading, v *variant, s *setting) float64 {
	t.Helper()
	n := len(rows)
	mean, y := make([]float64, n), make([]float64, n)
	cov := mat.NewSymDense(n, nil)
	add := func(i, j int, x float64) { cov.SetSym(i, j, cov.At(i, j)+x) }
	type source struct {
		kind  string
		index int
	}
	parts := make([]map[source]float64, n)
	level := b.levels(v.accused)
	wide := make([]float64, len(b.samples))
	for _, r := range b.rows(v) {
		wide[r.at.sample] = r.wide
	}
	for i, r := range rows {
		c := batch{n: 1, mean: r.Value}
		for k := range b.batches { // what the noise is worked out from
			if b.meters[b.batches[k].meter] == r.Meter && b.samples[b.batches[k].sample] == r.Sample {
				c = b.batches[k]
			}
		}
		p := c.point
		if r.Ref == nil {
			p.ref = level[p.sample]
		}
		shows := honest(p.ref)
		if v.show != nil {
			shows = v.show(p)
		}
		y[i], mean[i] = r.Value, shows.value
		parts[i] = map[source]float64{
			{"gain", p.meter}: shows.slope * p.ref * b.honestGain() * s.quality,
			{"zero", p.meter}: shows.live * b.HonestZero * b.span[p.meter] * s.quality,
			{"fault", 0}:      shows.push[0],
			{"fault", 1}:      shows.push[1],
		}
		if r.TempC != nil {
			parts[i][source{"alpha", p.meter}] = shows.slope * p.ref * (*r.TempC - 25) * honestAlpha * s.quality
		}
		if r.Ref == nil {
			parts[i][source{"bottle", p.sample}] = shows.slope * wide[p.sample]
		} else {
			own := s.bottle * p.ref
			if r.URef != nil {
				own = *r.URef * s.label
			}
			own = math.Hypot(own, v.doubt*p.ref)
			shared := b.Stock * p.ref
			if r.URefShared != nil {
				shared = *r.URefShared
			}
			parts[i][source{"bottle", p.sample}] = shows.slope * own
			parts[i][source{"stock", p.source}] = shows.slope * shared
			if r.TempC != nil {
				dt := *r.TempC - 25
				parts[i][source{"liquid", 1}] = shows.slope * p.ref * dt * liquidSlope
				parts[i][source{"liquid", 2}] = shows.slope * p.ref * dt * dt / 100 * liquidBend
			}
		}
		noise := b.variance(&c, s)
		if v.noise != nil {
			noise += v.noise(&c)
		}
		add(i, i, noise)
		if v.cell != nil {
			parts[i][source{"cell", p.meter*1000 + p.sample}] = math.Sqrt(v.cell(&c))
		}
	}
	for i := range n {
		for j := i; j < n; j++ {
			for k, a := range parts[i] {
				add(i, j, a*parts[j][k])
			}
		}
	}
	var chol mat.Cholesky
	require.True(t, chol.Factorize(cov), "the covariance is positive definite")
	off, solved := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	off.SubVec(mat.NewVecDense(n, y), mat.NewVecDense(n, mean))
	require.NoError(t, chol.SolveVecTo(solved, off))
	return -(mat.Dot(off, solved) + chol.LogDet() + float64(n)*math.Log(2*math.Pi)) / 2
}

func TestMarginalLikelihoodIsThatOfTheJointNormal(t *testing.T) {
	for _, s := range []setup{
		usual(),
		usual().but("no references", func(s *setup) { s.refs = false }),
		usual().but("little known", func(s *setup) { s.temps, s.uRef, s.meters = false, false, 3 }),
		usual().but("all stated", func(s *setup) { s.uReading, s.stock, s.stockStated = true, 0.01, true }),
	} {
		rng := rand.New(rand.NewPCG(7, 7))
		d := s.invent(rng, Gain)
		set, err := agree.NewSet(d.rows)
		require.NoError(t, err)
		b := newBench(set, check.EC, fivePercent)
		settings := b.settings()
		tried := 0
		for _, f := range families(check.EC) {
			for i, v := range f.variants(b) {
				if v.swap != nil || i%7 > 0 {
					continue
				}
				tried++
				rows := b.rows(&v)
				e := b.design(rows)
				for _, k := range []int{0, len(settings) / 2, len(settings) - 1} {
					want := dense(t, b, d.rows, &v, &settings[k])
					got := e.logLikelihood(b, rows, &v, &settings[k])
					assert.InDelta(t, want, got, 1e-5*math.Abs(want), "%s %s %v", s.name, v.cause, v.size)
				}
			}
		}
		assert.Greater(t, tried, 20)
	}
}

// Readings of another order of magnitude than what a model expects make it
// improbable, and never seem to fit by rounding.
func TestMarginalLikelihoodSurvivesAnotherUnit(t *testing.T) {
	s := usual()
	d := s.invent(rand.New(rand.NewPCG(9, 9)), None)
	for i := range d.rows {
		if d.rows[i].Meter == "P2" {
			d.rows[i].Value = math.Round(d.rows[i].Value) / 1000
		}
	}
	set, err := agree.NewSet(d.rows)
	require.NoError(t, err)
	b := newBench(set, check.EC, fivePercent)
	p := b.infer(families(check.EC))
	require.NotEmpty(t, p.list)
	e := p.entries(families(check.EC))[0]
	assert.Equal(t, DisplayScale, e.Cause)
	assert.Equal(t, "P2", e.Meter)
	assert.InDelta(t, 0.001, e.Size, 1e-12)
	assert.Greater(t, e.Probability, 0.95)
}

func TestLaddersAddUp(t *testing.T) {
	for _, k := range kinds {
		for _, l := range []ladder{k.Noise, k.Bottle, k.Gain, k.Zero, k.BadBottle, k.Unstable} {
			require.Less(t, l.Low, l.Median, "%s", k.Kind)
			require.Less(t, l.Median, l.High, "%s", k.Kind)
			sum, mean := 0.0, 0.0
			for _, r := range bothSigns(l.rungs(rungRatio)) {
				assert.Greater(t, r.sd, 0.0)
				sum += r.weight
				mean += r.weight * r.size
			}
			assert.InDelta(t, 1, sum, 1e-12)
			assert.InDelta(t, 0, mean, 1e-12)
		}
	}
}

// A ladder is a smooth density: between its ends it follows the log-normal that
// it stands for within a tenth.
func TestRungsMakeASmoothPrior(t *testing.T) {
	l := ladder{0.03, 0.2, 0.9, 0.7}
	rungs := l.rungs(rungRatio)
	// The log-normal density, cut off at the ends: its mass between them.
	density := func(x float64) float64 {
		z := math.Log(x/l.Median) / l.LogSD
		return math.Exp(-z*z/2) / x
	}
	mass := 0.0
	const steps = 20000
	for i := range steps {
		x := l.Low + (l.High-l.Low)*(float64(i)+0.5)/steps
		mass += density(x) * (l.High - l.Low) / steps
	}
	for x := 0.07; x < 0.5; x *= 1.05 {
		got := 0.0
		for _, r := range rungs {
			z := (x - r.size) / r.sd
			got += r.weight * math.Exp(-z*z/2) / (r.sd * math.Sqrt(2*math.Pi))
		}
		assert.InEpsilon(t, density(x)/mass, got, 0.15, "at %v", x)
	}
}

func TestScaleRatiosGoBothWays(t *testing.T) {
	list := scaleRatios()
	for _, r := range list {
		assert.NotEqual(t, 1.0, r.of)
		back := 0.0
		for _, q := range list {
			if math.Abs(q.of*r.of-1) < 1e-12 {
				back = q.weight
			}
		}
		assert.InDelta(t, r.weight, back, 1e-12, "%v", r.of)
	}
	for _, want := range []float64{0.5, 0.64, 0.7, 0.5 / 0.7, 0.5 / 0.64, 0.64 / 0.7, 1000} {
		found := false
		for _, r := range list {
			found = found || math.Abs(r.of/want-1) < 1e-12
		}
		assert.True(t, found, "%v", want)
	}
}
