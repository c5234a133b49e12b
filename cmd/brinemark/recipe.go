package main

import (
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/solutions/plan"
	"github.com/urfave/cli/v2"
)

func recipeCommand() *cli.Command {
	return &cli.Command{
		Name:  "recipe",
		Usage: "which masses give references of the strengths wanted, and how well they are then known",
		UsageText: "brinemark recipe --salt SALT --target STRENGTH [...] --batch SIZE [--flag ...]\n" +
			"brinemark recipe made --salt SALT --salt-mass MASS --water-mass MASS [...]",
		Description: `A target is the bottle's whole conductivity at 25 C, a concentration of pure salt, or a
display value such as 600ppm@0.5. The plan is the one with the fewest weighings whose
bottles all stay within --max-u: salt weighed directly, one stock, or a second stock made
from the first. A volume in --batch is of solution at 25 C. Masses are what the scale
shows.

   brinemark recipe --salt NaCl --target 300mg/L --target 600mg/L \
       --batch 500mL --grade food --water-ec 8uS/cm --u-water-ec 1uS/cm
   brinemark recipe --salt KCl --target 1413uS/cm --batch 500g --grade reagent \
       --scale-step 0.001g --scale-max 50g
   brinemark recipe made --salt NaCl --salt-mass 0.31g --water-mass 499.2g

Every uncertainty is a standard one (k = 1); 0 is exact, and one that is not given is
unknown: it is left out with a warning, or taken as usual where the result says so.
A plan weighs nothing but a bottle's own salt below 50 steps of the scale, and no mass
in more than 50 portions.
"recipe made" says what a bottle is worth from the masses that were really weighed.
With --check the status is 3 unless --max-u is met with every source stated.

Salt, stock and references are not for drinking or dosing, and not for the tub.`,
		Flags: append([]cli.Flag{
			saltFlag(),
			quantitiesFlag("target", "`STRENGTH` of a bottle, such as 600mg/L, 1413uS/cm or 600ppm@0.5", quantity.Strengths()...),
			quantityFlag("batch", "`SIZE` of each bottle, such as 500mL or 500g of solution", quantity.Volume, quantity.Mass),
			rangedFlag("max-u", "relative standard `UNCERTAINTY` that no bottle should exceed (default: 1%)", quantity.Fraction, plan.MaxURange),
			wordFlag("route", "`ROUTE`: auto, direct or stock (default: auto)", string(plan.Auto), string(plan.Direct), string(plan.Stock)),
			quantitiesFlag("bottle", "`SIZE` of a bottle at hand; a batch and a stock must each fit in one, with a little headspace (default: any for a batch, 1L for a stock)", quantity.Volume),
		}, benchFlags()...),
		Action:      runRecipe,
		Subcommands: []*cli.Command{recipeMadeCommand()},
	}
}

func runRecipe(c *cli.Context) error {
	if _, err := arguments(c); err != nil {
		return err
	}
	for _, name := range []string{"salt", "target", "batch"} {
		if !isGiven(c, name) {
			return usageError("recipe needs --salt, --target and --batch; --%s is missing", name)
		}
	}
	req, err := recipeRequest(c)
	if err != nil {
		return err
	}
	r, err := plan.Make(req)
	if err != nil {
		return err
	}
	noteUsual(c, "scale-step", "u-scale", "scale-max", "container")
	result := reports.NewRecipe(r)
	if err := render(c, result); err != nil {
		return err
	}
	return checkVerdict(c, result.Verdict)
}

func recipeRequest(c *cli.Context) (plan.Request, error) {
	req := plan.Request{MaxU: plan.DefaultMaxU, MaxUAssumed: true, Route: plan.Auto, Flags: typedBench(c)}
	bench, err := readBench(c, nil)
	if err != nil {
		return req, err
	}
	req.Bench = bench
	if req.Targets, err = getQuantities(c, "target"); err != nil {
		return req, err
	}
	if req.Batch, _, err = getQuantity(c, "batch"); err != nil {
		return req, err
	}
	bottles, err := getQuantities(c, "bottle")
	if err != nil {
		return req, err
	}
	req.BottlesML = baseValues(bottles)
	if u, err := figureOf(c, "max-u"); err != nil {
		return req, err
	} else if u != nil {
		req.MaxU, req.MaxUAssumed = *u, false
	}
	route, err := getWord(c, "route")
	if err != nil {
		return req, err
	}
	if route != "" {
		req.Route = plan.Route(route)
	}
	return req, nil
}
