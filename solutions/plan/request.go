package plan

import (
	"errors"
	"fmt"
	"slices"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// ErrNoPlan is wrapped by the error for bottles that no plan within the rules
// can make.
var ErrNoPlan = errors.New("no plan within the rules")

// BatchRange limits the size of one bottle, in mL or g.
var BatchRange = solutions.Range{Quantity: "batch", Unit: "mL or g", Low: 1, High: 100000}

// DefaultMaxU is the relative standard uncertainty that a bottle should not
// exceed where nobody says otherwise (common practice, no source): half of the
// usual tolerance of a meter, 2 %.
const DefaultMaxU = 0.01

// MaxURange limits the relative standard uncertainty that can be asked for.
var MaxURange = solutions.Range{Quantity: "standard uncertainty asked for", Unit: "%", Low: 0.01, High: 50}

// Request is what a person wants made.
type Request struct {
	Bench   Bench
	Targets []quantity.Quantity // strengths, one for each bottle
	// Batch is the size of each bottle: a volume of solution at 25 C, or a
	// mass of solution.
	Batch quantity.Quantity
	// BottlesML are the sizes of the bottles at hand, in mL. A batch and a
	// stock must each fit in one. Empty: any size for a batch, up to
	// [LargestStockML] for a stock.
	BottlesML []float64
	// MaxU is the relative standard uncertainty that no bottle should
	// exceed; 0.01 is 1 %.
	MaxU float64
	// MaxUAssumed tells that nobody asked for MaxU: it is [DefaultMaxU].
	MaxUAssumed bool
	Route       Route
	// Flags are what was typed of salt, scale and water, flag by flag, so that
	// the recipe can repeat it in the command that enters what was weighed.
	Flags []string
}

func (req Request) check() error {
	if len(req.Targets) == 0 {
		return errors.New("no target was given; want one such as 600mg/L or 1413uS/cm")
	}
	if req.Batch.Kind != quantity.Volume && req.Batch.Kind != quantity.Mass {
		return fmt.Errorf("batch %s is a %s; want a volume such as 500mL or a mass such as 500g", req.Batch.Text, req.Batch.Kind)
	}
	size := BatchRange
	size.Unit = req.Batch.Kind.Unit()
	if err := size.Check("recipe", req.Batch.Value); err != nil {
		return err
	}
	if err := MaxURange.Check("recipe", 100*req.MaxU); err != nil {
		return err
	}
	for _, ml := range req.BottlesML {
		size.Unit = quantity.Volume.Unit()
		if err := size.Check("bottle at hand", ml); err != nil {
			return err
		}
	}
	if _, err := ParseRoute(string(req.Route)); err != nil {
		return err
	}
	return nil
}

// target is a bottle's composition.
type target struct {
	molality      float64
	volumeML      float64 // at 25 C
	massG         float64 // true mass of the whole, impurities included
	pureG, waterG float64
}

// prepare turns the request into plain numbers for the search.
func (req Request) prepare(r rules) (*search, []target, error) {
	b := req.Bench
	s, err := newSearch(b, r)
	if err != nil {
		return nil, nil, err
	}
	s.route = req.Route
	if len(req.BottlesML) > 0 {
		s.stockML = (1 - Headspace) * slices.Max(req.BottlesML)
	}
	targets := make([]target, len(req.Targets))
	for i, q := range req.Targets {
		t, err := req.composition(q)
		if err != nil {
			return nil, nil, err
		}
		task, err := s.task(b, t)
		if err != nil {
			return nil, nil, fmt.Errorf("target %s: %w", q.Text, err)
		}
		targets[i] = t
		s.tasks = append(s.tasks, task)
	}
	return s, targets, nil
}

// composition is what a bottle of the batch's size with this strength holds.
func (req Request) composition(q quantity.Quantity) (target, error) {
	salt := req.Bench.Jar.Salt
	m, err := TargetMolality(salt, q, req.Bench.Water)
	if err != nil {
		return target{}, err
	}
	w, err := solutions.MassFraction(salt, m)
	if err != nil {
		return target{}, err
	}
	rho, err := solutions.SolutionDensity(salt, w, solutions.StrengthTempC)
	if err != nil {
		return target{}, err
	}
	// The impurities that come with the salt are part of what the bottle weighs,
	// and next to nothing of its volume.
	whole := 1 + w*(1/req.Bench.Jar.Purity.Nominal()-1)
	solutionG := req.Batch.Value / whole
	if req.Batch.Kind == quantity.Volume {
		solutionG = rho * req.Batch.Value / 1000
	}
	volumeML := 1000 * solutionG / rho
	if len(req.BottlesML) > 0 && volumeML > slices.Max(req.BottlesML)*(1+1e-9) {
		return target{}, fmt.Errorf("a batch of %s does not fit in the largest bottle at hand, %s mL; want a smaller batch or a larger bottle", req.Batch.Text, figure(slices.Max(req.BottlesML)))
	}
	return target{molality: m, volumeML: volumeML, massG: whole * solutionG, pureG: w * solutionG, waterG: (1 - w) * solutionG}, nil
}

// newSearch takes the plain numbers out of a bench.
func newSearch(b Bench, r rules) (*search, error) {
	s := &search{
		salt: b.Jar.Salt, scale: b.Scale, jug: b.Jug, tempC: b.Water.TempC.Nominal(),
		moisture: b.Jar.Moisture.Nominal(), uGain: b.Scale.Gain.U(),
		least: r.steps * b.Scale.StepG, stockML: r.largestML, rules: r,
	}
	s.purity = b.Jar.Purity.Nominal()
	s.pureShare = s.purity * (1 - s.moisture)
	rho, err := solutions.WaterDensity(s.tempC)
	if err != nil {
		return nil, err
	}
	s.waterGPerML = rho / 1000
	s.waterAir, s.saltAir = relAir(rho), relAir(b.Jar.Salt.Density)
	if b.Jug != nil {
		shared, err := b.gramsPerML()
		if err != nil {
			return nil, err
		}
		s.jugShared = shared.RelU()
	}
	if s.waterFactor, err = solutions.WaterBuoyancyFactor(s.tempC); err != nil {
		return nil, err
	}
	s.saltFactor, err = b.Jar.Salt.BuoyancyFactor()
	return s, err
}

// task works out what is the same for a bottle whichever way it is made: how
// its conductivity follows the molality, and the variance that weighing cannot
// change. The latter is taken from the full arithmetic of the bottle weighed
// directly; it differs between routes by less than 1e-4 of itself.
func (s *search) task(b Bench, t target) (task, error) {
	b.Scale.CapacityStated = false // in one weighing, whatever the capacity
	out := task{pureG: t.pureG, waterG: t.waterG}
	salt := t.pureG / s.pureShare
	w := Weighed{SaltG: []float64{salt / s.saltFactor}}
	// By mass even where a jug measures it: the weighings do not count here.
	w.WaterG = []float64{(t.waterG - salt*s.moisture) / s.waterFactor}
	mixed, err := b.Bottle("", nil, w)
	if err != nil {
		return task{}, err
	}
	worth, err := b.Worth(mixed.Liquid)
	if err != nil {
		return task{}, err
	}
	total := worth.EC25.Nominal()
	for _, share := range worth.EC25.Budget() {
		switch kindOf(share.Source) {
		case kindWeighing, kindLinearity, kindGain, kindAir, kindJug, kindFilling, kindWaterTemp:
		default:
			out.common += share.Size * share.Size / (total * total)
		}
	}
	probe := uncert.Source{ID: "probe", Label: "probe"}
	molality, err := uncert.New(t.molality, t.molality, probe)
	if err != nil {
		return task{}, err
	}
	kappa, err := solutions.ConductivityValue(b.Jar.Salt, molality, uncert.Exact(solutions.StrengthTempC))
	if err != nil {
		return task{}, err
	}
	out.slope = kappa.Part(probe.ID) / total
	return out, nil
}
