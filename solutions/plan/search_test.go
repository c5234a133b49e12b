package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/solutions"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// scenario is a random bench and request; targets in mg/L.
func scenario(t *testing.T, rng *rand.Rand) Request {
	t.Helper()
	pick := func(xs ...float64) float64 { return xs[rng.IntN(len(xs))] }
	capacity := pick(100, 200, 500, 3000)
	step := pick(0.001, 0.01, 0.01, 0.1)
	b := benchOf(t, solutions.NaCl,
		JarSpec{Purity: given(0.97 + 0.03*rng.Float64()), UPurity: given(0.004 * rng.Float64()), Moisture: given(0.01 * rng.Float64()), UMoisture: given(0.001)},
		ScaleSpec{StepG: &step, UG: given(step * (0.5 + rng.Float64())), CapacityG: &capacity, ContainerG: given(0.25 * capacity), LinearityG: given(pick(0, 2*step))},
		WaterSpec{EC25: given(pick(0, 1, 8)), UEC25: given(pick(0, 0.2))})
	if rng.IntN(5) == 0 {
		jug, err := NewJug(JugSpec{SizeML: pick(100, 500), UML: given(pick(0.5, 5))})
		require.NoError(t, err)
		b.Jug = &jug
	}
	req := Request{Bench: b, Batch: quantity.Quantity{Kind: quantity.Volume, Value: pick(100, 250, 500, 1000), Text: "batch"}, MaxU: pick(0.002, 0.005, 0.01, 0.03), Route: Auto}
	for range 1 + rng.IntN(3) {
		mgL := math.Exp(math.Log(10) + rng.Float64()*math.Log(1000))
		req.Targets = append(req.Targets, quantity.Quantity{Kind: quantity.MassConcentration, Value: mgL, Text: "target"})
	}
	if rng.IntN(4) == 0 {
		req.Route = Stock
	}
	return req
}

// The search's own arithmetic gives the uncertainty of the full one, with
// every source named and shared.
func TestQuickAndFullArithmeticAgree(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	seen := map[string]int{}
	for range 18 {
		req := scenario(t, rng)
		s, targets, err := req.prepare(standardRules())
		require.NoError(t, err)
		l, ok := s.best(req.MaxU)
		if !ok {
			continue
		}
		var rec Recipe
		require.NoError(t, rec.realise(req, s, l, targets))
		for i, b := range rec.Batches {
			seen[b.From]++
			assert.InEpsilon(t, l.options[i].relU, b.RelU(), 2e-5, "%s from %q", b.Name, b.From)
			assert.InEpsilon(t, targets[i].molality, b.Worth.Molality.Nominal(), 1e-9)
		}
	}
	assert.Greater(t, seen[""], 3)
	assert.Greater(t, seen["stock A"], 3)
	assert.Greater(t, seen["stock B"], 3)
}

// way is how one bottle could be made, worked out with the full arithmetic.
type way struct {
	weighings int
	relU      float64
	taken     float64 // reading of stock, in g
}

// bruteForce tries every stock, every second stock and every assignment of
// bottles to them within the rules, all with the full arithmetic and nothing of
// the search's. It returns the fewest weighings within the limit and the
// lowest worst uncertainty with that many, and the lowest of all.
func bruteForce(t *testing.T, req Request, r rules) (fewest int, worst, lowest float64) {
	t.Helper()
	b := req.Bench
	largest := r.largestML
	portions := func(g float64) int {
		return max(1, int(math.Ceil(g/(b.Scale.CapacityG-b.Scale.ContainerG)-1e-9)))
	}
	split := func(g float64) []float64 { return Amount{g, portions(g)}.shares() }
	var targets []target
	for _, q := range req.Targets {
		c, err := req.composition(q)
		require.NoError(t, err)
		targets = append(targets, c)
	}
	waterFactor, err := solutions.WaterBuoyancyFactor(b.Water.TempC.Nominal())
	require.NoError(t, err)
	saltFactor, err := b.Jar.Salt.BuoyancyFactor()
	require.NoError(t, err)
	density, err := solutions.WaterDensity(b.Water.TempC.Nominal())
	require.NoError(t, err)
	least := r.steps * b.Scale.StepG

	// bottle is one target from a stock, or from salt for nil.
	bottle := func(c target, from *Mixed) (way, bool) {
		var w Weighed
		var taken, water float64
		if from == nil {
			h := b.Jar.Moisture.Nominal()
			salt := c.pureG / (b.Jar.Purity.Nominal() * (1 - h))
			taken, water = salt/saltFactor, c.waterG-salt*h
			w.SaltG = split(taken)
		} else {
			stock := c.pureG / from.Pure.Nominal()
			rho, err := solutions.SolutionDensity(b.Jar.Salt, from.Pure.Nominal(), b.Water.TempC.Nominal())
			require.NoError(t, err)
			factor, err := solutions.BuoyancyFactor(rho, solutions.AirDensity)
			require.NoError(t, err)
			taken, water = stock/factor, c.waterG-stock*from.Water.Nominal()
			if taken < least || water < 0 || stock > from.MassG.Nominal() {
				return way{}, false
			}
			w.StockG = split(taken)
		}
		n := portions(taken)
		if b.Jug != nil {
			ml := water / density * 1000
			k := max(1, int(math.Ceil(ml/b.Jug.SizeML-1e-9)))
			w.WaterML = Amount{ml, k}.shares()
			n += k
		} else {
			w.WaterG = split(water / waterFactor)
			n += portions(water / waterFactor)
		}
		if portions(taken) > r.portions || max(len(w.WaterG), len(w.WaterML)) > r.portions {
			return way{}, false
		}
		m, err := b.Bottle("bottle", from, w)
		require.NoError(t, err)
		worth, err := b.Worth(m.Liquid)
		require.NoError(t, err)
		return way{n, worth.EC25.U() / worth.EC25.Nominal(), taken}, true
	}

	fewest, worst, lowest = math.MaxInt, math.Inf(1), math.Inf(1)
	var plans []struct {
		weighings int
		worst     float64
	}
	// assign tries all ways to share the bottles out among salt and stocks.
	assign := func(stocks []Mixed, spent int, alreadyTaken float64) {
		ways := make([][]*way, len(targets))
		for i, c := range targets {
			ways[i] = make([]*way, 1+len(stocks))
			if w, ok := bottle(c, nil); ok && req.Route != Stock && w.taken >= b.Scale.StepG {
				ways[i][0] = &w
			}
			for j := range stocks {
				if w, ok := bottle(c, &stocks[j]); ok {
					ways[i][1+j] = &w
				}
			}
		}
		for code := range int(math.Pow(float64(1+len(stocks)), float64(len(targets)))) {
			total, bad, ok := spent, 0.0, true
			used := make([]float64, len(stocks))
			touched := make([]bool, len(stocks))
			if len(stocks) == 2 {
				used[0], touched[0] = alreadyTaken, true
			}
			for i := range targets {
				k := code % (1 + len(stocks))
				code /= 1 + len(stocks)
				w := ways[i][k]
				if w == nil {
					ok = false
					break
				}
				total += w.weighings
				bad = math.Max(bad, w.relU)
				if k > 0 {
					used[k-1] += w.taken
					touched[k-1] = true
				}
			}
			for j := range stocks {
				// A reading against a true mass: the difference is 0.1 %.
				ok = ok && touched[j] && used[j]*1.001 <= r.share*stocks[j].MassG.Nominal()
			}
			if ok {
				plans = append(plans, struct {
					weighings int
					worst     float64
				}{total, bad})
			}
		}
	}
	allowed := func(m Mixed) bool {
		molality, err := b.molality(m.Liquid)
		require.NoError(t, err)
		rho, err := solutions.SolutionDensity(b.Jar.Salt, m.Pure.Nominal(), b.Water.TempC.Nominal())
		return err == nil && molality.Nominal() <= r.stockMolality && 1000*m.MassG.Nominal()/rho <= largest
	}
	var masses []float64
	for k := -4; k < 4; k++ {
		for _, d := range r.masses {
			if m := roundTo(d*math.Pow10(k), 6); m >= least {
				masses = append(masses, m)
			}
		}
	}
	stocksOf := func(name string, from *Mixed) (out []Mixed, taken []float64, weighings []int) {
		for _, take := range masses {
			for _, total := range masses {
				if total-take < least || portions(take) > r.portions || portions(total-take) > r.portions {
					continue
				}
				w := Weighed{WaterG: split(total - take), SaltG: split(take)}
				if from != nil {
					w.SaltG, w.StockG = nil, w.SaltG
					if take*1.001 > r.share*from.MassG.Nominal() {
						continue
					}
				} else if take > total/5 {
					continue // stronger than any rule allows, and than the tables reach
				}
				m, err := b.Stock(name, from, w)
				require.NoError(t, err)
				if allowed(m) {
					out, taken, weighings = append(out, m), append(taken, take), append(weighings, portions(take)+portions(total-take))
				}
			}
		}
		return out, taken, weighings
	}
	assign(nil, 0, 0)
	firsts, _, spent := stocksOf("stock A", nil)
	for i := range firsts {
		assign(firsts[i:i+1], spent[i], 0)
		seconds, taken, more := stocksOf("stock B", &firsts[i])
		for j := range seconds {
			assign([]Mixed{firsts[i], seconds[j]}, spent[i]+more[j], taken[j])
		}
	}
	for _, p := range plans {
		lowest = math.Min(lowest, p.worst)
	}
	limit := req.MaxU
	if lowest > limit {
		limit = nearlyLowest * lowest
	}
	for _, p := range plans {
		if p.worst <= limit && (p.weighings < fewest || p.weighings == fewest && p.worst < worst) {
			fewest, worst = p.weighings, p.worst
		}
	}
	return fewest, worst, lowest
}

// No plan within the rules is better than the one chosen. The rules are the
// standard ones but for the masses a stock may have, which are fewer so that
// every combination can be tried with the full arithmetic.
func TestNoBetterPlanExists(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	met, unmet, none := 0, 0, 0
	for i := range 25 {
		r := standardRules()
		r.masses = []float64{1, 4}
		if i%5 == 4 {
			r.masses = []float64{1, 2, 5}
		}
		req := scenario(t, rng)
		fewest, worst, lowest := bruteForce(t, req, r)
		got, err := makeBy(req, r)
		if fewest == math.MaxInt {
			none++
			assert.ErrorIs(t, err, ErrNoPlan, "scenario %d", i)
			continue
		}
		require.NoError(t, err, "scenario %d", i)
		assert.Equal(t, fewest, got.Weighings, "scenario %d: weighings", i)
		assert.InEpsilon(t, worst, got.Worst, 1e-4, "scenario %d: worst bottle", i)
		assert.Equal(t, lowest <= req.MaxU, got.Met, "scenario %d", i)
		if got.Met {
			met++
		} else {
			unmet++
		}
	}
	assert.Greater(t, met, 4)
	assert.Greater(t, unmet, 4)
	t.Logf("%d plans within the uncertainty asked for, %d at the lowest reachable, %d with none", met, unmet, none)
}
