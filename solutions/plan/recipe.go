package plan

import (
	"errors"
	"fmt"
	"slices"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// Route is how bottles are made.
type Route string

// The routes.
const (
	Auto   Route = "auto"   // whichever of the others the search prefers
	Direct Route = "direct" // the salt of each bottle is weighed
	Stock  Route = "stock"  // from one stock, or a second one made from it
)

// ParseRoute reads a route's name.
func ParseRoute(name string) (Route, error) {
	routes := []Route{Auto, Direct, Stock}
	if r := Route(name); slices.Contains(routes, r) {
		return r, nil
	}
	return "", fmt.Errorf("route %q is not known; want auto, direct or stock", name)
}

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
var MaxURange = solutions.Range{Quantity: "uncertainty asked for", Unit: "%", Low: 0.01, High: 50}

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
	MaxU  float64
	Route Route
}

// Recipe is a plan for a set of bottles.
type Recipe struct {
	Bench   Bench
	Stocks  []StockPlan // in the order of making; empty where all is direct
	Batches []Batch     // in the order of the targets
	// Weighings counts them all, each portion as one, and fillings of the jug.
	Weighings int
	MaxU      float64
	Route     Route
	// Worst is the largest relative standard uncertainty of a bottle, and
	// Met tells whether it is within MaxU.
	Worst float64
	Met   bool
	// Limit says what limits the uncertainty and what would help, where MaxU
	// is not met; otherwise it is empty.
	Limit       string
	Steps       []Step
	Assumptions []string
	Warnings    []string
}

// Amount is a mass weighed, or a volume poured, in equal portions.
type Amount struct {
	Total    float64 // g as the scale shows it, or mL
	Portions int
}

// shares lists the portions.
func (a Amount) shares() []float64 {
	if a.Portions == 0 {
		return nil
	}
	return slices.Repeat([]float64{a.Total / float64(a.Portions)}, a.Portions)
}

// StockPlan is a stock to be made. Exactly one of SaltG and StockG is set.
type StockPlan struct {
	Name   string
	From   string // the stock it is made from; empty for salt
	SaltG  *Amount
	StockG *Amount
	WaterG Amount
	Mixed  Mixed
	// UsedG is what the bottles and the next stock take of it.
	UsedG float64
}

// Batch is a bottle to be made. Exactly one of SaltG and StockG is set, and of
// WaterG and WaterML at most one.
type Batch struct {
	Name    string
	Target  quantity.Quantity
	Route   Route  // Direct or Stock
	From    string // the stock it is made from; empty for salt
	SaltG   *Amount
	StockG  *Amount
	WaterG  *Amount
	WaterML *Amount
	MassG   float64 // true mass of the solution
	Worth   Worth
	// Direct is what weighing the salt of this bottle directly would give;
	// nil where no portioning can do it.
	Direct *Alternative
}

// RelU is the relative standard uncertainty of the bottle's conductivity.
func (b Batch) RelU() float64 { return b.Worth.EC25.U() / b.Worth.EC25.Nominal() }

// Alternative is a way not necessarily taken.
type Alternative struct {
	SaltG     float64 // as the scale shows it
	RelU      float64 // relative standard uncertainty of the conductivity
	Weighings int
}

// Make plans the bottles. Errors name what was found and what would be right:
// a target above the solubility or outside the conductivity model, a batch
// that fits in no bottle, a scale that no portioning can make do.
func Make(req Request) (Recipe, error) { return makeBy(req, standardRules()) }

func makeBy(req Request, r rules) (Recipe, error) {
	if err := req.check(); err != nil {
		return Recipe{}, err
	}
	s, targets, err := req.prepare(r)
	if err != nil {
		return Recipe{}, err
	}
	l, ok := s.best(req.MaxU)
	if !ok {
		return Recipe{}, s.noPlan()
	}
	rec := Recipe{Bench: req.Bench, Weighings: l.weighings, MaxU: req.MaxU, Route: req.Route}
	if err := rec.realise(req, s, l, targets); err != nil {
		return Recipe{}, err
	}
	// The search and the full arithmetic agree to rounding; a plan at the very
	// limit is not refused for that.
	rec.Met = rec.Worst <= req.MaxU*(1+1e-6)
	if !rec.Met {
		rec.Limit = rec.limit()
	}
	rec.gatherRemarks()
	rec.Steps = rec.steps()
	return rec, nil
}

func (req Request) check() error {
	if len(req.Targets) == 0 {
		return errors.New("no target was given; want one such as 600mg/L or 1413uS/cm")
	}
	if err := BatchRange.Check("recipe", req.Batch.Value); err != nil {
		return err
	}
	if req.Batch.Kind != quantity.Volume && req.Batch.Kind != quantity.Mass {
		return fmt.Errorf("batch %s is a %s; want a volume such as 500mL or a mass such as 500g", req.Batch.Text, req.Batch.Kind)
	}
	if err := MaxURange.Check("recipe", 100*req.MaxU); err != nil {
		return err
	}
	for _, ml := range req.BottlesML {
		if err := BatchRange.Check("bottle at hand", ml); err != nil {
			return err
		}
	}
	if _, err := ParseRoute(string(req.Route)); err != nil {
		return err
	}
	return nil
}

// realise turns the numbers of the search into vessels with named sources.
func (rec *Recipe) realise(req Request, s *search, l layout, targets []target) error {
	b := req.Bench
	made := map[string]Mixed{}
	var previous *Mixed
	for _, m := range []*mixture{l.first, l.second} {
		if m == nil {
			continue
		}
		p := StockPlan{Name: m.name, WaterG: Amount{m.fillG, m.portions[1]}}
		taken := &Amount{m.takeG, m.portions[0]}
		w := Weighed{WaterG: p.WaterG.shares()}
		if previous == nil {
			p.SaltG, w.SaltG = taken, taken.shares()
		} else {
			p.From, p.StockG, w.StockG = previous.Name, taken, taken.shares()
			rec.Stocks[0].UsedG += taken.Total
		}
		mixed, err := b.Stock(m.name, previous, w)
		if err != nil {
			return err
		}
		p.Mixed = mixed
		made[m.name] = mixed
		previous = &mixed
		rec.Stocks = append(rec.Stocks, p)
	}
	for i, o := range l.options {
		batch, err := b.batch(fmt.Sprintf("bottle %d", i+1), o, made)
		if err != nil {
			return fmt.Errorf("target %s: %w", req.Targets[i].Text, err)
		}
		batch.Target, batch.MassG = req.Targets[i], targets[i].massG
		if d, ok := s.direct(s.tasks[i]); ok {
			batch.Direct = &Alternative{SaltG: d.takeG, RelU: d.relU, Weighings: d.weighings}
		}
		for j := range rec.Stocks {
			if rec.Stocks[j].Name == batch.From {
				rec.Stocks[j].UsedG += batch.StockG.Total
			}
		}
		rec.Worst = max(rec.Worst, batch.RelU())
		rec.Batches = append(rec.Batches, batch)
	}
	return nil
}

// batch is a bottle made by an option of the search.
func (b Bench) batch(name string, o option, stocks map[string]Mixed) (Batch, error) {
	out := Batch{Name: name}
	taken := &Amount{o.takeG, o.portions[0]}
	var w Weighed
	var from *Mixed
	if o.from == nil {
		out.Route, out.SaltG, w.SaltG = Direct, taken, taken.shares()
	} else {
		stock := stocks[o.from.name]
		from = &stock
		out.Route, out.From, out.StockG, w.StockG = Stock, stock.Name, taken, taken.shares()
	}
	switch {
	case b.Jug != nil:
		out.WaterML = &Amount{o.fillML, o.portions[1]}
		w.WaterML = out.WaterML.shares()
	default:
		out.WaterG = &Amount{o.fillG, o.portions[1]}
		w.WaterG = out.WaterG.shares()
	}
	mixed, err := b.Bottle(name, from, w)
	if err != nil {
		return Batch{}, err
	}
	out.Worth, err = b.Worth(mixed.Liquid)
	return out, err
}

// target is a bottle's composition.
type target struct {
	molality      float64
	massG         float64 // true mass of the solution
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
		s.stockML = slices.Max(req.BottlesML)
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
	massG, volumeML := req.Batch.Value, 1000*req.Batch.Value/rho
	if req.Batch.Kind == quantity.Volume {
		massG, volumeML = rho*req.Batch.Value/1000, req.Batch.Value
	}
	if len(req.BottlesML) > 0 && volumeML > slices.Max(req.BottlesML)*(1+1e-9) {
		return target{}, fmt.Errorf("a batch of %s does not fit in the largest bottle at hand, %s mL; want a smaller batch or a larger bottle", req.Batch.Text, figure(slices.Max(req.BottlesML)))
	}
	return target{molality: m, massG: massG, pureG: w * massG, waterG: (1 - w) * massG}, nil
}

// newSearch takes the plain numbers out of a bench.
func newSearch(b Bench, r rules) (*search, error) {
	s := &search{
		salt: b.Jar.Salt, scale: b.Scale, jug: b.Jug, tempC: b.Water.TempC.Nominal(),
		moisture: b.Jar.Moisture.Nominal(), uGain: b.Scale.Gain.U(),
		least: r.steps * b.Scale.StepG, stockML: r.largestML, rules: r,
	}
	s.pureShare = b.Jar.Purity.Nominal() * (1 - s.moisture)
	rho, err := solutions.WaterDensity(s.tempC)
	if err != nil {
		return nil, err
	}
	s.waterGPerML = rho / 1000
	s.waterAir, s.saltAir = relAir(rho), relAir(b.Jar.Salt.Density)
	if b.Jug != nil {
		filling, err := b.poured(vessel{}, []float64{b.Jug.SizeML})
		if err != nil {
			return nil, err
		}
		s.jugVariance = filling.RelU() * filling.RelU()
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
	out := task{pureG: t.pureG, waterG: t.waterG}
	salt := t.pureG / s.pureShare
	w := Weighed{SaltG: []float64{salt / s.saltFactor}}
	water := t.waterG - salt*s.moisture
	if s.jug != nil {
		w.WaterML = []float64{water / s.waterGPerML}
	} else {
		w.WaterG = []float64{water / s.waterFactor}
	}
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
		case kindWeighing, kindLinearity, kindGain, kindAir, kindJug, kindWaterTemp:
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

// Split parts a bottle's standard uncertainty, in uS/cm, into what is its own
// (its weighings) and what it shares with every bottle from the same jar,
// stock, water and model. The two add in squares.
func (b Batch) Split() (own, shared float64) { return split(b.Worth.EC25, b.Name) }
