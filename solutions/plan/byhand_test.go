package plan

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/solutions"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// byHand is a person who tries plans with pencil and paper: masses, portions,
// and the uncertainty of each bottle by changing one mass at a time. Nothing in
// it is the search's.
type byHand struct {
	req                                         Request
	saltFactor, waterFactor, waterDensity       float64
	purity, moisture, room, least, largestStock float64
	bottles                                     []handBottle
}

// handBottle is a bottle to be made: grams of salt and of water in it.
type handBottle struct {
	pure, water float64
	slope       float64 // relative change of conductivity for one of molality
	rest        float64 // relative variance from all but weighing and pouring
	direct      handWay
}

// handWay is one way to make one bottle.
type handWay struct {
	weighings int
	relU      float64
	taken     float64 // true mass of stock
}

// handStock is a stock: the readings behind it, and what it is made of.
type handStock struct {
	inputs    []float64 // readings: salt, water[, first stock, water]
	portions  []int
	pure      float64 // mass fractions
	water     float64
	mass      float64 // true
	factor    float64
	weighings int
}

func newByHand(t *testing.T, req Request) *byHand {
	t.Helper()
	b := req.Bench
	h := &byHand{req: req, purity: b.Jar.Purity.Nominal(), moisture: b.Jar.Moisture.Nominal(),
		room: b.Scale.CapacityG - b.Scale.ContainerG, least: 50 * b.Scale.StepG, largestStock: 1000}
	var err error
	h.saltFactor, err = b.Jar.Salt.BuoyancyFactor()
	require.NoError(t, err)
	h.waterFactor, err = solutions.WaterBuoyancyFactor(b.Water.TempC.Nominal())
	require.NoError(t, err)
	h.waterDensity, err = solutions.WaterDensity(b.Water.TempC.Nominal())
	require.NoError(t, err)
	for _, q := range req.Targets {
		h.bottles = append(h.bottles, h.bottle(t, q.Value*req.Batch.Value/1e6, q.Value))
	}
	return h
}

// bottle is pure grams of salt in the batch's volume at 25 C, of mgL.
func (h *byHand) bottle(t *testing.T, pure, mgL float64) handBottle {
	t.Helper()
	b := h.req.Bench
	b.Scale.CapacityStated = false
	molality, err := solutions.MolalityFromMassConcentration(b.Jar.Salt, mgL)
	require.NoError(t, err)
	c := handBottle{pure: pure, water: pure / molality / b.Jar.Salt.MolarMass * 1000}
	salt := pure / h.purity / (1 - h.moisture)
	m, err := b.Bottle("x", nil, Weighed{SaltG: []float64{salt / h.saltFactor}, WaterG: []float64{(c.water - salt*h.moisture) / h.waterFactor}})
	require.NoError(t, err)
	w, err := b.Worth(m.Liquid)
	require.NoError(t, err)
	for _, s := range w.EC25.Budget() {
		if id := s.Source.ID; !strings.HasPrefix(id, "weighing:") && !strings.HasPrefix(id, "linearity:") && !strings.HasPrefix(id, "gain:") && !strings.HasPrefix(id, "air:") && !strings.HasPrefix(id, "water-temp:") {
			c.rest += math.Pow(s.Size/w.EC25.Nominal(), 2)
		}
	}
	up, err := solutions.Conductivity(b.Jar.Salt, 1.001*molality, 25)
	require.NoError(t, err)
	down, err := solutions.Conductivity(b.Jar.Salt, 0.999*molality, 25)
	require.NoError(t, err)
	c.slope = (up - down) / 0.002 / w.EC25.Nominal()
	c.direct = h.way(c, handStock{pure: h.purity * (1 - h.moisture), water: h.moisture, mass: math.Inf(1), factor: h.saltFactor}, 0)
	if c.direct.taken/h.saltFactor < b.Scale.StepG || h.req.Route == Stock {
		c.direct.weighings = 0
	}
	return c
}

func (h *byHand) portions(g float64) int { return max(1, int(math.Ceil(g/h.room-1e-9))) }

// relU of a reading in n portions.
func (h *byHand) relU(g float64, n int) float64 {
	s := h.req.Bench.Scale
	k := float64(n)
	return math.Sqrt(k*s.UG*s.UG+math.Pow(k*s.LinearityG, 2)/3) / g
}

// way is a bottle from a stock, or, with the jar as the stock, from salt; no
// weighings where it cannot be.
func (h *byHand) way(c handBottle, s handStock, least float64) (w handWay) {
	w.taken = c.pure / s.pure
	take, water := w.taken/s.factor, c.water-w.taken*s.water
	if take < least || water <= 0 {
		return w
	}
	n := h.portions(take)
	fill, k := water/h.waterFactor, h.portions(water/h.waterFactor)
	if j := h.req.Bench.Jug; j != nil {
		fill = water / h.waterDensity * 1000
		k = max(1, int(math.Ceil(fill/j.SizeML-1e-9)))
	}
	if n > 50 || k > 50 {
		return w
	}
	w.weighings = n + k
	readings := append(slices.Clone(s.inputs), take, fill)
	base := h.molality(readings)
	variance, gain := 0.0, 0.0
	for i, g := range readings {
		readings[i] = 1.0001 * g
		slope := (h.molality(readings)/base - 1) / 0.0001
		readings[i] = g
		if j := h.req.Bench.Jug; j != nil && i == len(readings)-1 {
			variance += slope * slope * (float64(k)*math.Pow(j.UML/fill, 2) + math.Pow(j.Marks.U(), 2))
			continue
		}
		p := k
		switch {
		case i < len(s.portions):
			p = s.portions[i]
		case i == len(s.portions):
			p = n
		}
		variance += math.Pow(slope*h.relU(g, p), 2)
		gain += slope
	}
	variance += math.Pow(gain*h.req.Bench.Scale.Gain.U(), 2)
	w.relU = math.Sqrt(c.slope*c.slope*variance + c.rest)
	return w
}

// molality, but for a constant, of a bottle with these readings behind it:
// pairs of something and water, each something being a part of the mix before.
func (h *byHand) molality(readings []float64) float64 {
	pure, water, factor := h.purity*(1-h.moisture), h.moisture, h.saltFactor
	for i := 0; i < len(readings); i += 2 {
		taken, fill := readings[i]*factor, readings[i+1]*h.waterFactor
		if h.req.Bench.Jug != nil && i+2 == len(readings) {
			fill = readings[i+1] * h.waterDensity / 1000
		}
		pure, water = pure*taken/(taken+fill), (water*taken+fill)/(taken+fill)
		factor = 1.00104 // of every solution here, within 0.002 %
	}
	return pure / water
}

// stock is taken of another one, or of salt for nil, in water, as the scale
// shows them; ok is false outside the rules.
func (h *byHand) stock(from *handStock, take, fill float64) (s handStock, ok bool) {
	jar := handStock{pure: h.purity * (1 - h.moisture), water: h.moisture, factor: h.saltFactor, mass: math.Inf(1)}
	if from == nil {
		from = &jar
	}
	taken, water := take*from.factor, fill*h.waterFactor
	if take < h.least || fill < h.least || taken > 0.9*from.mass {
		return s, false
	}
	s.mass = taken + water
	s.pure, s.water = from.pure*taken/s.mass, (from.water*taken+water)/s.mass
	salt := h.req.Bench.Jar.Salt
	if s.pure/s.water/salt.MolarMass*1000 > 2 {
		return s, false
	}
	rho, err := solutions.SolutionDensity(salt, s.pure, h.req.Bench.Water.TempC.Nominal())
	if err != nil || s.mass/rho*1000 > h.largestStock {
		return s, false
	}
	s.factor = (1 - 1.2/8000) / (1 - 1.2/rho)
	n, k := h.portions(take), h.portions(fill)
	s.inputs = append(slices.Clone(from.inputs), take, fill)
	s.portions = append(slices.Clone(from.portions), n, k)
	s.weighings = n + k
	return s, n <= 50 && k <= 50
}

// plan makes the bottles from the stocks, each the way with the fewest
// weighings that is within limit; worst is +Inf where a bottle cannot be made
// or a stock is not enough.
func (h *byHand) plan(stocks []handStock, limit float64) (weighings int, worst float64) {
	draws := make([]float64, len(stocks)+1)
	for _, s := range stocks {
		weighings += s.weighings
	}
	if len(stocks) == 2 {
		draws[0] = stocks[1].inputs[2] * stocks[0].factor
	}
	for _, c := range h.bottles {
		best, from := c.direct, len(stocks)
		for i, s := range stocks {
			if w := h.way(c, s, h.least); w.weighings > 0 && (best.weighings == 0 || best.relU > limit && w.relU < best.relU ||
				w.relU <= limit && (w.weighings < best.weighings || w.weighings == best.weighings && w.relU < best.relU)) {
				best, from = w, i
			}
		}
		if best.weighings == 0 {
			return weighings, math.Inf(1)
		}
		draws[from] += best.taken
		weighings += best.weighings
		worst = math.Max(worst, best.relU)
	}
	for i, s := range stocks {
		if draws[i] > 0.9*s.mass {
			return weighings, math.Inf(1)
		}
	}
	return weighings, worst
}

// each tries every plan without a stock, with one on the grid, and with so many
// random pairs, and calls found for those with at most so many weighings.
func (h *byHand) each(rng *rand.Rand, pairs, most int, found func(weighings int, worst float64)) {
	limits := []float64{h.req.MaxU, 0} // 0: each bottle as finely as it can be
	if most < math.MaxInt {
		limits = limits[:1]
	}
	try := func(stocks ...handStock) {
		for _, limit := range limits {
			if w, worst := h.plan(stocks, limit); w <= most && !math.IsInf(worst, 1) {
				found(w, worst)
			}
		}
	}
	if h.req.Route != Stock {
		try()
	}
	if h.req.Route == Direct {
		return
	}
	var waters []float64
	for g := 5.0; g <= h.largestStock; g += 5 {
		waters = append(waters, g)
	}
	for k := 1.0; k <= 50 && k*h.room <= h.largestStock; k++ {
		waters = append(waters, k*h.room)
	}
	for salt := 0.05; salt < 120; salt += math.Max(0.05, math.Min(0.5, salt/60)) {
		for _, g := range waters {
			if s, ok := h.stock(nil, salt, g); ok && s.weighings+2 <= most {
				try(s)
			}
		}
	}
	draw := func() float64 { return h.least * math.Pow(1000/h.least, rng.Float64()) }
	full := func() float64 {
		if rng.IntN(2) == 0 {
			return draw()
		}
		return h.room * float64(1+rng.IntN(3))
	}
	for range pairs {
		a, ok := h.stock(nil, draw(), full())
		if !ok || a.weighings+4 > most {
			continue
		}
		if b, ok := h.stock(&a, draw(), full()); ok && a.weighings+b.weighings+1 <= most {
			try(a, b)
		}
	}
}

// The person's arithmetic is right: it agrees with the full one on bottles made
// from salt, from a stock, and from a stock of a stock.
func TestByHandIsRight(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	seen := [3]int{}
	for range 40 {
		req := scenario(t, rng)
		req.Bench.Scale.CapacityStated = false
		h := newByHand(t, req)
		b := req.Bench
		first, ok := h.stock(nil, 2+40*rng.Float64(), 900*rng.Float64())
		if !ok {
			continue
		}
		second, ok := h.stock(&first, 10+50*rng.Float64(), 900*rng.Float64())
		if !ok {
			continue
		}
		first2, err := b.Stock("stock A", nil, Weighed{SaltG: repeat(first.inputs[0], first.portions[0]), WaterG: repeat(first.inputs[1], first.portions[1])})
		require.NoError(t, err)
		second2, err := b.Stock("stock B", &first2, Weighed{StockG: repeat(second.inputs[2], second.portions[2]), WaterG: repeat(second.inputs[3], second.portions[3])})
		require.NoError(t, err)
		for _, c := range h.bottles {
			jar := handStock{pure: h.purity * (1 - h.moisture), water: h.moisture, mass: math.Inf(1), factor: h.saltFactor}
			for i, from := range []*handStock{&jar, &first, &second} {
				w := h.way(c, *from, h.least)
				if w.weighings == 0 || w.taken > from.mass {
					continue
				}
				seen[i]++
				take, water := w.taken/from.factor, c.water-w.taken*from.water
				in := Weighed{WaterG: repeat(water/h.waterFactor, h.portions(water/h.waterFactor))}
				if b.Jug != nil {
					ml := water / h.waterDensity * 1000
					in = Weighed{WaterML: repeat(ml, int(math.Ceil(ml/b.Jug.SizeML-1e-9)))}
				}
				if i == 0 {
					in.SaltG = repeat(take, h.portions(take))
				} else {
					in.StockG = repeat(take, h.portions(take))
				}
				m, err := b.Bottle("bottle", []*Mixed{nil, &first2, &second2}[i], in)
				require.NoError(t, err)
				worth, err := b.Worth(m.Liquid)
				require.NoError(t, err)
				assert.InEpsilon(t, worth.EC25.RelU(), w.relU, 2e-3)
				assert.InEpsilon(t, c.pure/c.water/b.Jar.Salt.MolarMass*1000, worth.Molality.Nominal(), 1e-4)
			}
		}
	}
	assert.Greater(t, min(seen[0], seen[1], seen[2]), 5, "%v", seen)
}

// repeat shares a mass out in equal portions.
func repeat(total float64, n int) []float64 {
	return slices.Repeat([]float64{total / float64(n)}, n)
}
