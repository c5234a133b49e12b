package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

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
		jug, err := NewJug(JugSpec{SizeML: pick(100, 500), UML: given(pick(0.5, 5)), UMarks: given(pick(0, 0.005))})
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
	for range 40 {
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

// Plans that were found by hand on the bench of the README: stocks of one
// portion of water, weak enough for a bottle to need three portions of its own.
func TestNoMoreWeighingsThanByHand(t *testing.T) {
	for _, c := range []struct {
		batch   string
		maxU    float64
		targets []string
		byHand  int
	}{
		{"500mL", 0.01, []string{"300mg/L", "600mg/L", "900mg/L"}, 14}, // 1.30 g of salt in 160 g of water
		{"500mL", 0.01, []string{"300mg/L"}, 6},                        // 1.20 g in 148 g
		{"500mL", 0.01, []string{"300mg/L", "600mg/L"}, 10},
		{"1L", 0.01, []string{"300mg/L", "600mg/L", "900mg/L"}, 24},
		{"500mL", 0.012, []string{"150mg/L", "300mg/L", "600mg/L"}, 15},
	} {
		req := request(t, kitchen(t), c.batch, c.targets...)
		req.MaxU = c.maxU
		r, err := Make(req)
		require.NoError(t, err)
		assert.True(t, r.Met)
		assert.LessOrEqual(t, r.Weighings, c.byHand, "%v of %s", c.targets, c.batch)
	}
}

// No plan that a person finds with pencil and paper is better: every stock with
// salt in steps of 0.05 to 0.5 g and water in steps of 5 g or in full portions,
// and as many pairs of stocks drawn at random. The person's arithmetic is its
// own; see byHand.
func TestNoBetterPlanExists(t *testing.T) {
	pairs, benches := 50_000, 18
	if testing.Short() {
		benches = 6
	}
	rng := rand.New(rand.NewPCG(3, 4))
	met, unmet, none, equalled := 0, 0, 0, 0
	for i := range benches {
		req := scenario(t, rng)
		h := newByHand(t, req)
		got, err := Make(req)
		if err != nil {
			require.ErrorIs(t, err, ErrNoPlan, "scenario %d", i)
			none++
			h.each(rng, pairs, math.MaxInt, func(w int, worst float64) {
				assert.Fail(t, "a plan exists", "scenario %d: %d weighings, u %v", i, w, worst)
			})
			continue
		}
		fewest := math.MaxInt
		h.each(rng, pairs, got.Weighings, func(w int, worst float64) {
			if worst <= math.Max(req.MaxU, got.Worst) {
				fewest = min(fewest, w)
			}
			if !got.Met {
				assert.Greater(t, worst, req.MaxU, "scenario %d: within reach by hand, in %d weighings", i, w)
			}
		})
		assert.GreaterOrEqual(t, fewest, got.Weighings, "scenario %d", i)
		if got.Met {
			met++
			if fewest == got.Weighings {
				equalled++
			}
			continue
		}
		unmet++
		h.each(rng, pairs, math.MaxInt, func(w int, worst float64) {
			assert.GreaterOrEqual(t, worst, got.Worst/NearlyLowest*(1-1e-4), "scenario %d: lower by hand, in %d weighings", i, w)
		})
	}
	t.Logf("%d within the uncertainty asked for, %d at the lowest reachable, %d with none; the person did as well in %d of the first", met, unmet, none, equalled)
	if !testing.Short() {
		assert.Greater(t, met, 4)
		assert.Greater(t, unmet, 4)
		// Where nothing is within reach the search lies at the lowest
		// uncertainty, which round masses need not find; elsewhere a person
		// who mostly did worse would be no test of it.
		assert.Greater(t, 2*equalled, met)
	}
}

// The stocks of a plan are masses that the scale can show, unless a bottle is
// the stock as it is and so fixes its strength.
func TestStocksAreMassesTheScaleShows(t *testing.T) {
	n := 0
	for _, c := range []struct {
		step, capacity float64
		batch          string
		targets        []string
	}{
		{0.001, 200, "500mL", []string{"300mg/L", "900mg/L"}},
		{0.001, 200, "500mL", []string{"10mg/L", "30mg/L"}},
		{0.01, 200, "500mL", []string{"300mg/L", "900mg/L"}},
		{0.01, 200, "500mL", []string{"30mg/L", "600mg/L"}},
		{0.01, 200, "100mL", []string{"30mg/L", "600mg/L"}},
		{0.1, 500, "500mL", []string{"1000mg/L", "2000mg/L", "3000mg/L"}},
		{0.1, 500, "500mL", []string{"100mg/L", "200mg/L"}},
		{0.5, 3000, "1L", []string{"3000mg/L", "6000mg/L"}},
	} {
		b := benchOf(t, solutions.NaCl, JarSpec{Purity: given(0.995), UPurity: given(0.003)},
			ScaleSpec{StepG: &c.step, CapacityG: &c.capacity}, WaterSpec{EC25: given(1), UEC25: given(0.1)})
		r, err := Make(request(t, b, c.batch, c.targets...))
		require.NoError(t, err)
		if slices.ContainsFunc(r.Batches, func(b Batch) bool { return b.WaterG.Total == 0 }) {
			continue
		}
		for _, st := range r.Stocks {
			for _, a := range []*Amount{st.SaltG, st.StockG, &st.WaterG} {
				if a != nil {
					n++
					assert.InDelta(t, 0, math.Remainder(a.Total, c.step), 1e-9, "%v of %s, step %v, %v", a, st.Name, c.step, c.targets)
				}
			}
		}
	}
	assert.Greater(t, n, 12)
}

// Usual recipes take well under a second, and many bottles not much more, on a
// slow machine too: the bounds are ten times what a small computer needs.
func TestSearchIsQuick(t *testing.T) {
	var many []string
	for i := range 20 {
		many = append(many, fmt.Sprintf("%dmg/L", 50+97*i))
	}
	for name, c := range map[string]struct {
		targets []string
		maxU    float64
		most    time.Duration
	}{
		"three":             {[]string{"300mg/L", "600mg/L", "900mg/L"}, 0.01, 2 * time.Second},
		"three unreachable": {[]string{"300mg/L", "600mg/L", "900mg/L"}, 0.001, 3 * time.Second},
		"twenty":            {many, 0.01, 8 * time.Second},
		"twenty, finer":     {many, 0.001, 10 * time.Second},
	} {
		req := request(t, kitchen(t), "500mL", c.targets...)
		req.MaxU = c.maxU
		start := time.Now()
		_, err := Make(req)
		require.NoError(t, err)
		t.Logf("%s: %v", name, time.Since(start))
		assert.Less(t, time.Since(start), c.most, name)
	}
}
