package plan

import (
	"fmt"
	"slices"

	"github.com/brinemark/brinemark/calib/quantity"
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

// Recipe is a plan for a set of bottles.
type Recipe struct {
	Bench   Bench
	Stocks  []StockPlan // in the order of making; empty where all is direct
	Batches []Batch     // in the order of the targets
	// Weighings counts them all, each portion as one, and fillings of the jug.
	Weighings int
	MaxU      float64
	// MaxUAssumed tells that nobody asked for MaxU.
	MaxUAssumed bool
	Route       Route
	// Flags are those of the request.
	Flags []string
	// Worst is the largest relative standard uncertainty of a bottle, and
	// Met tells whether it is within MaxU, both by the sources whose size was
	// stated. LeftOut names the others: with any, Met true is not certain.
	Worst   float64
	Met     bool
	LeftOut []string
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
	owner  string // of its weighings
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
	rec := Recipe{Bench: req.Bench, Weighings: l.weighings, MaxU: req.MaxU, MaxUAssumed: req.MaxUAssumed, Route: req.Route, Flags: req.Flags}
	if err := rec.realise(req, s, l, targets); err != nil {
		return Recipe{}, err
	}
	// The search and the full arithmetic agree to rounding; a plan at the very
	// limit is not refused for that.
	rec.Met = rec.Worst <= req.MaxU*(1+1e-6)
	if !rec.Met {
		rec.Limit = rec.limit()
	}
	rec.LeftOut = rec.leftOut()
	rec.Steps = rec.steps()
	rec.gatherRemarks(req, targets, s.cut)
	return rec, nil
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

// leftOut names the sources whose size nobody stated, once each.
func (rec *Recipe) leftOut() []string {
	var out []string
	for _, b := range rec.Batches {
		for _, s := range b.Worth.EC25.Unstated() {
			if !slices.Contains(out, s.Label) {
				out = append(out, s.Label)
			}
		}
	}
	return out
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
	out.owner = mixed.Owner
	out.Worth, err = b.Worth(mixed.Liquid)
	return out, err
}

// Split parts a bottle's standard uncertainty, in uS/cm, into what is its own
// (its weighings) and what it shares with every bottle from the same jar,
// stock, water and model. The two add in squares.
func (b Batch) Split() (own, shared float64) { return split(b.Worth.EC25, b.owner) }
