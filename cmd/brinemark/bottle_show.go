package main

import (
	"fmt"
	"slices"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/shelf"
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

func bottleWeighCommand() *cli.Command {
	return &cli.Command{
		Name:      "weigh",
		Usage:     "book what has evaporated from a bottle since it was weighed last",
		ArgsUsage: "ID",
		Description: `The closed bottle on the scale: what is missing is water, and what is left is stronger
by about as much. The bottle gets a new version, which holds from now on; readings of
before keep the strength of then. Weigh it before you pour, and say with --left-mass
what it weighs after: the next loss counts from there. With --correct it takes the place
of the last weighing, which was wrong, and is of the same time unless --time says
otherwise.

   brinemark bottle weigh A --mass 547.3g
   brinemark bottle weigh A --mass 547.3g --left-mass 497.1g
   brinemark bottle weigh A --mass 547.3g --correct`,
		Flags: []cli.Flag{
			required(quantityFlag("mass", "`MASS` of the closed bottle, as the scale shows it", quantity.Mass)),
			quantityFlag("left-mass", "`MASS` of the closed bottle after a portion was poured out", quantity.Mass),
			uncertaintyFlag("u-bottle-mass", "standard `UNCERTAINTY` of one weighing (default: the one on record)", quantity.Mass),
			&cli.StringFlag{Name: "time", Usage: "`TIME` of the weighing (default: now)"},
			&cli.BoolFlag{Name: "correct", Usage: "take the place of the last weighing of this bottle, which was wrong"},
		},
		Action: runBottleWeigh,
	}
}

func runBottleWeigh(c *cli.Context) error {
	args, err := arguments(c, "ID")
	if err != nil {
		return err
	}
	mass, _, err := getQuantity(c, "mass")
	if err != nil {
		return err
	}
	w := shelf.Weighing{MassG: mass.Value}
	if w.LeftG, err = figureOf(c, "left-mass"); err != nil {
		return err
	}
	if w.UG, err = figureOf(c, "u-bottle-mass"); err != nil {
		return err
	}
	if w.At, err = optionalTime(c, "time"); err != nil {
		return err
	}
	correct := c.Bool("correct")
	if w.At.IsZero() && !correct {
		w.At = now()
	}
	return changeRecord(c, false, func(book *logbook.Book) error {
		versions, err := book.BottleVersions(args[0])
		if err != nil {
			return err
		}
		before := versions[len(versions)-1]
		warnings, err := clockWarning(book)
		if err != nil {
			return err
		}
		var next logbook.Bottle
		var loss *shelf.Loss
		var remarks []string
		if correct {
			if remarks, err = heldAgainst(book, before); err == nil {
				var more []string
				before, next, loss, more, err = shelf.CorrectWeighing(versions, w)
				remarks = append(remarks, more...)
			}
		} else {
			next, loss, remarks, err = shelf.Weigh(before, w)
		}
		if err != nil {
			return err
		}
		warnings = append(append(warnings, inFuture("the weighing", next.Since)...), remarks...)
		if err := book.Save(&next); err != nil {
			return err
		}
		return render(c, reports.NewBottleWeighed(before, next, loss, warnings))
	})
}

// heldAgainst warns of the calibrations whose references are those of a version
// of a bottle that was wrong: they stay as they are.
func heldAgainst(book *logbook.Book, wrong logbook.Bottle) ([]string, error) {
	list, err := book.CalibrationsWith(wrong.Name, logbook.Current)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, calibration := range list {
		if slices.ContainsFunc(calibration.Readings, func(r logbook.Reading) bool { return r.BottleID == wrong.ID }) {
			out = append(out, fmt.Sprintf("calibration %s of meter %s was held against what was wrong, %s: make it again with --save --corrects %s",
				calibration.ID, calibration.Meter, wrong.ID, calibration.ID))
		}
	}
	return out, nil
}
