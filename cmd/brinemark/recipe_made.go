package main

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/solutions"
	"github.com/brinemark/brinemark/solutions/plan"
	"github.com/urfave/cli/v2"
)

func recipeMadeCommand() *cli.Command {
	return &cli.Command{
		Name:      "made",
		Usage:     "what a bottle is worth from the masses that were really weighed",
		UsageText: "brinemark recipe made --salt NaCl|KCl --salt-mass 0.31g --water-mass 499.2g [--flag value ...]",
		Description: `Enter every mass as the scale showed it, one flag for each weighing: water in three
portions is --water-mass three times. It does not matter who weighed it, nor that a
target was missed. A bottle from a stock names the stock's masses too; one from a second
stock also --second-stock-mass (first stock in the second) and --second-water-mass.

   brinemark recipe made --salt NaCl --grade food --salt-mass 0.31g --water-mass 160g --water-mass 160g --water-mass 178.9g --water-ec 8uS/cm
   brinemark recipe made --salt NaCl --stock-salt-mass 5.02g --stock-water-mass 145.1g --stock-mass 4.53g --water-mass 495g
   brinemark recipe made --salt KCl --salt-mass 0.38g --water-mass 499.2g --made-mass 552.3g --now-mass 547.1g --empty-mass 52.8g --u-bottle-mass 0.5g

With --made-mass and --now-mass, the closed full bottle weighed then and today, the
result is today's: what is missing is water. 1% of mass lost is about 1% of strength
gained. Nothing may have been poured out between the two.`,
		Flags: append([]cli.Flag{
			saltFlag(),
			quantitiesFlag("salt-mass", "`MASS` of salt in the bottle", quantity.Mass),
			quantitiesFlag("water-mass", "`MASS` of water in the bottle; once for each portion", quantity.Mass),
			quantitiesFlag("water-volume", "`VOLUME` of water measured by the --jug; once for each filling", quantity.Volume),
			quantitiesFlag("stock-mass", "`MASS` of stock in the bottle", quantity.Mass),
			quantitiesFlag("stock-salt-mass", "`MASS` of salt in the stock", quantity.Mass),
			quantitiesFlag("stock-water-mass", "`MASS` of water in the stock; once for each portion", quantity.Mass),
			quantitiesFlag("second-stock-mass", "`MASS` of the first stock in the second", quantity.Mass),
			quantitiesFlag("second-water-mass", "`MASS` of water in the second stock; once for each portion", quantity.Mass),
			rangedFlag("made-mass", "`MASS` of the closed full bottle when it was made", quantity.Mass, plan.MassesRange),
			rangedFlag("now-mass", "`MASS` of the closed full bottle today", quantity.Mass, plan.MassesRange),
			rangedFlag("empty-mass", "`MASS` of the empty bottle with its cap (default: from the masses weighed in)", quantity.Mass, plan.MassesRange),
			boundedFlag("u-bottle-mass", "standard `UNCERTAINTY` of one weighing of the bottle, on whatever scale takes it (default: unknown, left out with a warning)", quantity.Mass, plan.UWeighingRange),
		}, benchFlags()...),
		Action: runRecipeMade,
	}
}

func runRecipeMade(c *cli.Context) error {
	if _, err := arguments(c); err != nil {
		return err
	}
	if !isGiven(c, "salt") {
		return usageError("recipe made needs --salt")
	}
	req, err := madeRequest(c)
	if err != nil {
		return err
	}
	m, err := plan.AsMade(req)
	if err != nil {
		return err
	}
	noteUsual(c, "scale-step", "u-scale")
	return render(c, reports.NewRecipeMade(m))
}

func madeRequest(c *cli.Context) (plan.MadeRequest, error) {
	var req plan.MadeRequest
	var err error
	if req.Bench, err = readBench(c); err != nil {
		return req, err
	}
	var first, second plan.Weighed
	masses, volumes := plan.MassesRange, plan.VolumesRange
	for _, flag := range []struct {
		name   string
		limits solutions.Range
		into   *[]float64
	}{
		{"salt-mass", masses, &req.Bottle.SaltG}, {"stock-mass", masses, &req.Bottle.StockG},
		{"water-mass", masses, &req.Bottle.WaterG}, {"water-volume", volumes, &req.Bottle.WaterML},
		{"stock-salt-mass", masses, &first.SaltG}, {"stock-water-mass", masses, &first.WaterG},
		{"second-stock-mass", masses, &second.StockG}, {"second-water-mass", masses, &second.WaterG},
	} {
		readings, err := getQuantities(c, flag.name)
		if err != nil {
			return req, err
		}
		*flag.into = baseValues(readings)
		if err := plan.CheckReadings(flag.limits, *flag.into); err != nil {
			return req, fmt.Errorf("--%s: %w", flag.name, err)
		}
	}
	if isGiven(c, "stock-salt-mass") || isGiven(c, "stock-water-mass") {
		req.Stocks = append(req.Stocks, first)
	}
	if isGiven(c, "second-stock-mass") || isGiven(c, "second-water-mass") {
		if len(req.Stocks) == 0 {
			return req, usageError("--second-stock-mass and --second-water-mass need the first stock: --stock-salt-mass and --stock-water-mass")
		}
		req.Stocks = append(req.Stocks, second)
	}
	req.Later, err = reweighed(c)
	return req, err
}

// reweighed reads the later weighing of the bottle; nil where there is none.
func reweighed(c *cli.Context) (*plan.Reweighed, error) {
	var r plan.Reweighed
	made, err := figureOf(c, "made-mass")
	if err != nil {
		return nil, err
	}
	now, err := figureOf(c, "now-mass")
	if err != nil {
		return nil, err
	}
	if r.EmptyG, err = figureOf(c, "empty-mass"); err != nil {
		return nil, err
	}
	if r.UG, err = figureOf(c, "u-bottle-mass"); err != nil {
		return nil, err
	}
	switch {
	case made != nil && now != nil:
		r.MadeG, r.NowG = *made, *now
		return &r, nil
	case made != nil || now != nil || r.EmptyG != nil || r.UG != nil:
		return nil, usageError("evaporation needs both --made-mass and --now-mass")
	}
	return nil, nil
}
