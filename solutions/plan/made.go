package plan

import (
	"errors"
	"fmt"
	"slices"
)

// MadeRequest is what was really weighed for one bottle.
type MadeRequest struct {
	Bench Bench
	// Name of the bottle; part of its sources' identifiers. Empty stands for
	// "bottle 1", the first bottle of a recipe.
	Name string
	// Stocks are the stocks behind the bottle in the order of making: the
	// first from salt, each next one from the one before. Empty: the salt was
	// weighed into the bottle.
	Stocks []Weighed
	Bottle Weighed
	// Later is a second weighing of the full bottle; nil: as it was made.
	Later *Reweighed
}

// Made is what a bottle is worth whose masses are known.
type Made struct {
	Bench  Bench
	Name   string
	Route  Route // Direct or Stock
	Stocks []Mixed
	Mixed  Mixed
	// Fresh is the bottle as it was made.
	Fresh Worth
	// Loss is what has evaporated since; nil where the bottle was not
	// weighed again.
	Loss *Loss
	// Now is the bottle today: Fresh, or what evaporation has made of it.
	Now         Worth
	Assumptions []string
	Warnings    []string
}

// AsMade returns what a bottle is worth from the masses that were weighed, by
// whoever weighed them. The person never hits the target mass; that does not
// matter as long as the mass is known. Errors name the vessel and the mass.
func AsMade(req MadeRequest) (Made, error) {
	out := Made{Bench: req.Bench, Name: req.Name, Route: Direct}
	if out.Name == "" {
		out.Name = "bottle 1"
	}
	if len(req.Stocks) > len(stockNames) {
		return Made{}, fmt.Errorf("%d stocks were given; want at most %d", len(req.Stocks), len(stockNames))
	}
	var from *Mixed
	for i, w := range req.Stocks {
		mixed, err := req.Bench.Stock(stockName(i, w), from, w)
		if err != nil {
			return Made{}, err
		}
		out.Route = Stock
		out.Stocks = append(out.Stocks, mixed)
		from = &out.Stocks[i]
	}
	var err error
	if out.Mixed, err = req.Bench.Bottle(out.Name, from, req.Bottle); err != nil {
		return Made{}, err
	}
	if out.Fresh, err = req.Bench.Worth(out.Mixed.Liquid); err != nil {
		return Made{}, fmt.Errorf("%s: %w", out.Name, err)
	}
	out.Now = out.Fresh
	out.remark(req)
	if req.Later != nil {
		return out, out.evaporate(*req.Later)
	}
	return out, nil
}

func (m *Made) remark(req MadeRequest) {
	b := m.Bench
	m.Assumptions = slices.Concat(b.Jar.Assumptions, b.Scale.Assumptions, b.Water.Assumptions)
	m.Warnings = slices.Concat(b.Jar.Warnings, b.Scale.Warnings, b.Water.Warnings)
	if b.Jug != nil {
		m.Assumptions = append(m.Assumptions, b.Jug.Assumptions...)
	}
	for i, w := range append(slices.Clone(req.Stocks), req.Bottle) {
		name := m.Name
		if i < len(req.Stocks) {
			name = stockName(i, w)
		}
		m.Warnings = append(m.Warnings, b.Scale.doubts(name, "salt", w.SaltG)...)
		m.Warnings = append(m.Warnings, b.Scale.doubts(name, "stock", w.StockG)...)
		m.Warnings = append(m.Warnings, b.Scale.doubts(name, "water", w.WaterG)...)
	}
	if text := noReference(m.Name, m.Fresh.EC25); text != "" {
		m.Warnings = append(m.Warnings, text)
	}
}

// stockName is what the stock number i is called.
func stockName(i int, w Weighed) string {
	if w.Name != "" {
		return w.Name
	}
	return stockNames[i]
}

// errLost is wrapped where a later weighing cannot be evaporation.
var errLost = errors.New("not evaporation")

// Split parts the bottle's standard uncertainty today, in uS/cm, into that of
// its own weighings and what it shares with other bottles; see [Batch.Split].
func (m Made) Split() (own, shared float64) { return split(m.Now.EC25, m.Mixed.Owner) }
