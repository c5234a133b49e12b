package main

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/solutions"
	"github.com/brinemark/brinemark/solutions/plan"
	"github.com/urfave/cli/v2"
)

func recipeMadeCommand() *cli.Command {
	return &cli.Command{
		Name:      "made",
		Usage:     "what a bottle is worth from the masses that were really weighed",
		UsageText: "brinemark recipe made --salt SALT --salt-mass MASS --water-mass MASS [...]",
		Description: `Enter every mass as the scale showed it, one flag for each weighing: water in three
portions is --water-mass three times. It does not matter who weighed it, nor that a
target was missed. A bottle from a stock names the stock's masses too; one from a second
stock also --second-stock-mass (first stock in the second) and --second-water-mass.

   brinemark recipe made --salt NaCl --grade food --salt-mass 0.31g \
       --water-mass 160g --water-mass 160g --water-mass 178.9g \
       --water-ec 8uS/cm
   brinemark recipe made --salt NaCl --stock-salt-mass 5.02g \
       --stock-water-mass 145.1g --stock-mass 4.53g --water-mass 495g
   brinemark recipe made --salt KCl --salt-mass 0.38g --water-mass 499.2g \
       --made-mass 552.3g --now-mass 547.1g --empty-mass 52.8g \
       --u-bottle-mass 0.5g

With --made-mass and --now-mass, the closed full bottle weighed then and today, the
result is today's: what is missing is water. 1% of mass lost is about 1% of strength
gained. Nothing may have been poured out between the two.

--save puts the bottle on record under a name, with all it shares with other bottles:
bottles of one jar, scale, water or stock share its error. What has no name is told by
what was said of it: salt of the same formula, grade and purity is one jar; water is
that of the day; a stock is the one with these masses of this day. A stock used on
another day needs its --stock name both times. With --made-mass alone the bottle can be
weighed again later: "bottle weigh".

   brinemark recipe made --salt NaCl --stock-salt-mass 5.02g \
       --stock-water-mass 145.1g --stock-mass 4.53g --water-mass 495g \
       --save A --stock "stock 1" --made-mass 552.3g --empty-mass 52.8g \
       --u-bottle-mass 0.05g`,
		Flags: append(append([]cli.Flag{
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
		}, benchFlags()...), saveBottleFlags()...),
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
	names, err := readNames(c)
	if err != nil {
		return err
	}
	req, masses, err := madeRequest(c, names)
	if err != nil {
		return err
	}
	m, err := plan.AsMade(req)
	if err != nil {
		return err
	}
	if names == nil {
		noteUsual(c, "scale-step", "u-scale")
		return render(c, reports.NewRecipeMade(m))
	}
	return keepMade(c, *names, m, masses)
}

// madeRequest reads what was weighed. names is nil for a bottle that is not
// kept; masses are those of the bottle as a whole, nil where there are none.
func madeRequest(c *cli.Context, names *shelf.Names) (req plan.MadeRequest, masses *plan.Reweighed, err error) {
	if err := readMasses(c, &req); err != nil {
		return req, nil, err
	}
	var identify func(solutions.Salt, *benchSpec)
	if names != nil {
		names.Vessels(&req)
		identify = func(salt solutions.Salt, of *benchSpec) {
			of.jar.ID, of.jar.Portion = names.JarID(salt, of.jar), names.PortionID(req.Stocks)
			of.scale.ID, of.water.ID, of.jug.ID = names.ScaleID(of.scale), names.WaterID(of.water), names.JugID(of.jug)
		}
	}
	if req.Bench, err = readBench(c, identify); err != nil {
		return req, nil, err
	}
	masses, again, err := reweighed(c, names != nil)
	if again {
		req.Later = masses
	}
	return req, masses, err
}

// readMasses reads the masses that went into the bottle and its stocks.
func readMasses(c *cli.Context, req *plan.MadeRequest) error {
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
			return err
		}
		*flag.into = baseValues(readings)
		if err := plan.CheckReadings(flag.limits, *flag.into); err != nil {
			return fmt.Errorf("--%s: %w", flag.name, err)
		}
	}
	if isGiven(c, "stock-salt-mass") || isGiven(c, "stock-water-mass") {
		req.Stocks = append(req.Stocks, first)
	}
	if isGiven(c, "second-stock-mass") || isGiven(c, "second-water-mass") {
		if len(req.Stocks) == 0 {
			return usageError("--second-stock-mass and --second-water-mass need the first stock: --stock-salt-mass and --stock-water-mass")
		}
		req.Stocks = append(req.Stocks, second)
	}
	return nil
}

// reweighed reads the weighings of the bottle as a whole; nil where there are
// none. One that is kept may be weighed again later; again is false then.
func reweighed(c *cli.Context, kept bool) (masses *plan.Reweighed, again bool, err error) {
	var r plan.Reweighed
	made, err := figureOf(c, "made-mass")
	if err != nil {
		return nil, false, err
	}
	now, err := figureOf(c, "now-mass")
	if err != nil {
		return nil, false, err
	}
	if r.EmptyG, err = figureOf(c, "empty-mass"); err != nil {
		return nil, false, err
	}
	if r.UG, err = figureOf(c, "u-bottle-mass"); err != nil {
		return nil, false, err
	}
	switch {
	case made != nil && now != nil:
		r.MadeG, r.NowG = *made, *now
		return &r, true, nil
	case kept && made != nil:
		r.MadeG = *made
		return &r, false, nil
	case kept && (now != nil || r.EmptyG != nil || r.UG != nil):
		return nil, false, usageError("--now-mass, --empty-mass and --u-bottle-mass need --made-mass, the mass of the closed full bottle when it was made")
	case made != nil || now != nil || r.EmptyG != nil || r.UG != nil:
		return nil, false, usageError("evaporation needs both --made-mass and --now-mass")
	}
	return nil, false, nil
}
