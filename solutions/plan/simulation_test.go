package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// world is a bench with its true errors, which nobody at it knows. Its
// arithmetic is written out in plain numbers, apart from the package's.
type world struct {
	bench Bench
	rng   *rand.Rand

	purity, moisture, conducts, gain, air, water, temp, model float64
}

// conductsLike draws the impurities' conductance: by the source as stated, or
// anything between inert and like the salt.
type conductsLike func(*rand.Rand) float64

func asStated(rng *rand.Rand) float64    { return rng.NormFloat64() / math.Sqrt(3) }
func inertToSalt(rng *rand.Rand) float64 { return rng.Float64() }

func newWorld(b Bench, rng *rand.Rand, c conductsLike) *world {
	draw := func(v uncert.Value) float64 { return v.Nominal() + v.U()*rng.NormFloat64() }
	return &world{
		bench: b, rng: rng, purity: draw(b.Jar.Purity), moisture: draw(b.Jar.Moisture), conducts: c(rng), gain: draw(b.Scale.Gain),
		air: solutions.AirDensity + solutions.UAirDensity*rng.NormFloat64(), water: draw(b.Water.EC25), temp: draw(b.Water.TempC), model: rng.NormFloat64(),
	}
}

// weigh returns the true mass of something read as readingG in n portions.
func (w *world) weigh(readingG float64, n int, density float64) float64 {
	read := readingG + w.bench.Scale.UG*math.Sqrt(float64(n))*w.rng.NormFloat64() +
		float64(n)*w.bench.Scale.LinearityG/math.Sqrt(3)*w.rng.NormFloat64()
	return read * w.gain * (1 - w.air/8000) / (1 - w.air/density)
}

// content is grams of pure salt, impurity and water.
type content struct{ pure, impurity, water float64 }

func (c content) total() float64 { return c.pure + c.impurity + c.water }
func (c content) part(g float64) content {
	f := g / c.total()
	return content{f * c.pure, f * c.impurity, f * c.water}
}

func (w *world) dissolve(t *testing.T, saltG, waterG float64, portions int) content {
	salt := w.weigh(saltG, 1, w.bench.Jar.Salt.Density)
	dry := salt * (1 - w.moisture)
	return content{dry * w.purity, dry * (1 - w.purity), salt*w.moisture + w.pour(t, waterG, portions)}
}

func (w *world) pour(t *testing.T, waterG float64, portions int) float64 {
	rho, err := solutions.WaterDensity(w.temp)
	require.NoError(t, err)
	return w.weigh(waterG, portions, rho)
}

func (w *world) dilute(t *testing.T, stock content, stockG, waterG float64, portions int) content {
	rho, err := solutions.SolutionDensity(w.bench.Jar.Salt, stock.pure/stock.total(), w.temp)
	require.NoError(t, err)
	c := stock.part(w.weigh(stockG, 1, rho))
	c.water += w.pour(t, waterG, portions)
	return c
}

// conductivity is the true one at 25 C.
func (w *world) conductivity(t *testing.T, c content, waterGain float64) float64 {
	m := 1000 * c.pure / (c.water * w.bench.Jar.Salt.MolarMass)
	kappa, err := solutions.Conductivity(w.bench.Jar.Salt, m, 25)
	require.NoError(t, err)
	u, err := solutions.ConductivityU(w.bench.Jar.Salt, m, 25)
	require.NoError(t, err)
	return kappa*(1+u*w.model)*(1+w.conducts*c.impurity/c.pure) + w.water*waterGain
}

// miss is a mass that a person hits to within a few percent.
func miss(rng *rand.Rand, g float64) float64 { return g * (1 + 0.03*rng.NormFloat64()) }

// pair makes two bottles from one stock, the second evaporated, and returns
// what is said of them and what is true.
func pair(t *testing.T, w *world) (said [2]uncert.Value, truth [2]float64) {
	rng := w.rng
	saltG, stockWaterG := miss(rng, 3), miss(rng, 147)
	stock := w.dissolve(t, saltG, stockWaterG, 1)
	stocks := []Weighed{{SaltG: []float64{saltG}, WaterG: []float64{stockWaterG}}}
	for i, g := range []float64{8, 25} {
		stockG, waterG := miss(rng, g), miss(rng, 480)
		c := w.dilute(t, stock, stockG, waterG, 3)
		req := MadeRequest{Bench: w.bench, Name: []string{"one", "two"}[i], Stocks: stocks,
			Bottle: Weighed{StockG: []float64{stockG}, WaterG: []float64{waterG / 3, waterG / 3, waterG / 3}}}
		gain := 1.0
		if i == 1 {
			// The bottle loses 4 g or so; three readings see it, 45 g of glass.
			lost := 4 * (1 + 0.2*rng.NormFloat64())
			rho, err := solutions.WaterDensity(w.temp)
			require.NoError(t, err)
			shown := func(g, density float64) float64 {
				return g / w.gain * (1 - w.air/density) / (1 - w.air/8000)
			}
			sol, err := solutions.SolutionDensity(w.bench.Jar.Salt, c.pure/c.total(), w.temp)
			require.NoError(t, err)
			e := func() float64 { return 0.3 * rng.NormFloat64() }
			empty := 45.0
			full := empty + shown(c.total(), sol)
			req.Later = &Reweighed{MadeG: full + e(), NowG: full - shown(lost, rho) + e(), EmptyG: given(empty + e()), UG: given(0.3)}
			gain = c.water / (c.water - lost)
			c.water -= lost
		}
		m, err := AsMade(req)
		require.NoError(t, err)
		said[i], truth[i] = m.Now.EC25, w.conductivity(t, c, gain)
	}
	return said, truth
}

// A nominal 95 % interval of a bottle covers its true conductivity in 95 % of
// cases, and the covariance of two bottles from one stock is the true one:
// purity, moisture, impurities, water, air, temperature, scale gain, model and
// every weighing drawn anew in each of n bench days. The bands are 3.5 standard
// deviations of the estimate.
func TestIntervalsCoverAsClaimed(t *testing.T) {
	const n = 3000
	b := benchOf(t, solutions.NaCl, JarSpec{Purity: given(0.985), UPurity: given(0.003), Moisture: given(0.004), UMoisture: given(0.001)},
		ScaleSpec{LinearityG: given(0.01)}, WaterSpec{EC25: given(8), UEC25: given(1)})
	rng := rand.New(rand.NewPCG(5, 6))
	covered, ratios := [2]int{}, 0
	var product, claimed float64
	var squares [2]float64
	for range n {
		said, truth := pair(t, newWorld(b, rng, asStated))
		var e [2]float64
		for i := range said {
			if iv := said[i].Expanded(0.95); iv.Low <= truth[i] && truth[i] <= iv.High {
				covered[i]++
			}
			e[i] = (said[i].Nominal() - truth[i]) / truth[i]
			squares[i] += e[i] * e[i]
		}
		product += e[0] * e[1] / n
		claimed += uncert.Cov(said[0], said[1]) / (said[0].Nominal() * said[1].Nominal()) / n
		// The ratio of the two is known far better than either: an interval
		// of the right width needs the covariance to be right.
		ratio, err := said[0].Div(said[1])
		require.NoError(t, err)
		require.Less(t, ratio.RelU(), 0.8*said[0].RelU())
		if iv := ratio.Expanded(0.95); iv.Low <= truth[0]/truth[1] && truth[0]/truth[1] <= iv.High {
			ratios++
		}
	}
	band := 3.5 * math.Sqrt(0.95*0.05/n)
	for i, c := range covered {
		assert.InDelta(t, 0.95, float64(c)/n, band, "bottle %d", i+1)
	}
	assert.InDelta(t, 0.95, float64(ratios)/n, band, "ratio of the two")
	variances := squares[0] / n * squares[1] / n
	assert.InDelta(t, claimed, product, 3.5*math.Sqrt((variances+product*product)/n))
	t.Logf("coverage %.3f and %.3f, of their ratio %.3f (band %.3f); correlation claimed %.3f, found %.3f",
		float64(covered[0])/n, float64(covered[1])/n, float64(ratios)/n, band, claimed/math.Sqrt(variances), product/math.Sqrt(variances))
}

// Real impurities conduct somewhere between not at all and like the salt, never
// less than nothing. The source is centred on inert all the same (see Jar); the
// interval then covers at least as often as it claims.
func TestIntervalsCoverImpuritiesThatReallyConduct(t *testing.T) {
	const n = 1500
	b := benchOf(t, solutions.NaCl, JarSpec{Purity: given(0.97), UPurity: given(0.003)},
		ScaleSpec{}, WaterSpec{EC25: given(8), UEC25: given(1)})
	rng := rand.New(rand.NewPCG(7, 8))
	covered := 0
	for range n {
		said, truth := pair(t, newWorld(b, rng, inertToSalt))
		if iv := said[0].Expanded(0.95); iv.Low <= truth[0] && truth[0] <= iv.High {
			covered++
		}
	}
	assert.Greater(t, float64(covered)/n, 0.95-3.5*math.Sqrt(0.95*0.05/n))
	t.Logf("coverage %.3f", float64(covered)/n)
}
