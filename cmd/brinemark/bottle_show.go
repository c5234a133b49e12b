package main

import (
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/solutions"
	"github.com/urfave/cli/v2"
)

func bottleListCommand() *cli.Command {
	return &cli.Command{
		Name:  "list",
		Usage: "list the bottles on record with what they are worth",
		Description: `With a warning for each that is past its date.

   brinemark bottle list`,
		Flags:  []cli.Flag{allFlag(), nowFlag()},
		Action: runBottleList,
	}
}

func runBottleList(c *cli.Context) error {
	if _, err := arguments(c); err != nil {
		return err
	}
	at, err := givenNow(c)
	if err != nil {
		return err
	}
	return withRecord(c, func(book *logbook.Book) error {
		bottles, err := book.Bottles(scopeOf(c))
		if err != nil {
			return err
		}
		return render(c, reports.NewBottleList(bottles, at))
	})
}

func bottleShowCommand() *cli.Command {
	return &cli.Command{
		Name:      "show",
		Usage:     "show a bottle, and what a meter should show in it",
		ArgsUsage: "ID",
		Description: `Says what it truly has at its temperature, what the meter should show there, and why it
is not known better.

   brinemark bottle show A
   brinemark bottle show A --meter "tent pen" --temp 18C --u-temp 0.2C`,
		Flags: []cli.Flag{
			quantityFlag("temp", "`TEMPERATURE` of the bottle (default 25C)", quantity.Temperature),
			uncertaintyFlag("u-temp", "standard `UNCERTAINTY` of the temperature", quantity.Temperature),
			&cli.StringFlag{Name: "meter", Usage: "what the meter `ID` of the record should show in it"},
			allFlag(),
			nowFlag(),
		},
		Action: runBottleShow,
	}
}

func runBottleShow(c *cli.Context) error {
	args, err := arguments(c, "ID")
	if err != nil {
		return err
	}
	temp, err := bottleTemp(c)
	if err != nil {
		return err
	}
	at, err := givenNow(c)
	if err != nil {
		return err
	}
	return withRecord(c, func(book *logbook.Book) error {
		versions, err := book.BottleVersions(args[0])
		if err != nil {
			return err
		}
		of := reports.BottleHistory{Bottle: versions[len(versions)-1], Temp: temp, Now: at}
		if c.Bool("all") {
			of.Versions = versions
		}
		if name := c.String("meter"); name != "" {
			m, err := book.Meter(name)
			if err != nil {
				return err
			}
			of.Meter = &m
		}
		shown, err := reports.NewBottleShown(of)
		if err != nil {
			return err
		}
		return render(c, shown)
	})
}

// bottleTemp reads --temp and --u-temp.
func bottleTemp(c *cli.Context) (uncert.Value, error) {
	source := uncert.Source{ID: solutions.TemperatureID, Label: "temperature"}
	temp, given, err := getQuantity(c, "temp")
	if err != nil {
		return uncert.Value{}, err
	}
	u, hasU, err := getQuantity(c, "u-temp")
	switch {
	case err != nil:
		return uncert.Value{}, err
	case !given && hasU:
		return uncert.Value{}, usageError("--u-temp needs --temp, the temperature it belongs to")
	case !given:
		return uncert.Exact(solutions.StrengthTempC), nil
	case !hasU:
		return uncert.Unstated(temp.Value, source), nil
	}
	return uncert.New(temp.Value, u.Value, source)
}
