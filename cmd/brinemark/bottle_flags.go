package main

import (
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/solutions"
	"github.com/urfave/cli/v2"
)

// strengthFlags describe a bottle of salt solution, the salt itself apart. Read
// them with readSaltBottle.
func strengthFlags() []cli.Flag {
	return []cli.Flag{
		quantityFlag("strength", "`STRENGTH` of the solution, such as 600mg/L or 1413uS/cm", quantity.Strengths()...),
		uncertaintyFlag("u-strength", "standard `UNCERTAINTY` of the strength, such as 1%", append([]quantity.Kind{quantity.Fraction}, quantity.Strengths()...)...),
		rangedFlag("water-ec", "`CONDUCTIVITY` of the water at 25 C, to be added", quantity.Conductivity, solutions.WaterECRange),
		uncertaintyFlag("u-water-ec", "standard `UNCERTAINTY` of the water's conductivity, such as 1uS/cm or 10%", quantity.Conductivity, quantity.Fraction),
	}
}

// readSaltBottle reads the flag salt and what strengthFlags declare.
func readSaltBottle(c *cli.Context) (reports.SaltBottle, error) {
	var b reports.SaltBottle
	var err error
	if b.Salt, _, err = last[solutions.Salt](c, "salt"); err != nil {
		return b, err
	}
	if b.Strength, _, err = getQuantity(c, "strength"); err != nil {
		return b, err
	}
	b.Input = reports.ReferenceInput{
		Source: uncert.Source{ID: solutions.StrengthID, Label: "strength"}, Flag: "--u-strength",
		TrialShare: 0.01, TrialText: "1 %",
	}
	if u, given, err := getQuantity(c, "u-strength"); err != nil {
		return b, err
	} else if given {
		if err := b.StateStrength(u); err != nil {
			return b, usageError("--u-strength: %v", err)
		}
	}
	b.Water, err = referenceWater(c)
	return b, err
}
