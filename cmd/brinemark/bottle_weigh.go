package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func bottleWeighCommand() *cli.Command {
	return &cli.Command{
		Name:      "weigh",
		Usage:     "book what has evaporated from a bottle since it was weighed last",
		ArgsUsage: "ID",
		Description: `The closed bottle on the scale: what is missing is water, and what is left is stronger
by about as much. The bottle gets a new version, which holds from now on; readings of
before keep the strength of then. Weigh it before you pour, and say with --left-mass
what it weighs after: the next loss counts from there. More than a closed bottle can
lose (1 % of its content a week, 5 % in all; common practice) is warned of, unless
--nothing-poured says that it was neither poured out nor spilled. With --correct it
takes the place of the last weighing, which was wrong, and is of the same time unless
--time says otherwise.

   brinemark bottle weigh A --mass 547.3g
   brinemark bottle weigh A --mass 547.3g --left-mass 497.1g
   brinemark bottle weigh A --mass 547.3g --correct`,
		Flags: []cli.Flag{
			required(quantityFlag("mass", "`MASS` of the closed bottle, as the scale shows it", quantity.Mass)),
			quantityFlag("left-mass", "`MASS` of the closed bottle after a portion was poured out", quantity.Mass),
			&cli.BoolFlag{Name: "nothing-poured", Usage: "all that is missing is water: nothing was poured out or spilled"},
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
	w := shelf.Weighing{MassG: mass.Value, NothingPoured: c.Bool("nothing-poured")}
	if w.LeftG, err = figureOf(c, "left-mass"); err != nil {
		return err
	}
	if w.UG, err = figureOf(c, "u-bottle-mass"); err != nil {
		return err
	}
	if w.At, err = optionalTime(c, "time"); err != nil {
		return err
	}
	zone, err := timeZone(c)
	if err != nil {
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
		if w.At.IsZero() {
			w.At = before.Since
		}
		if !w.At.IsZero() {
			w.At = w.At.In(zone) // whose days the bottle's are
		}
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
		late, err := readSince(book, before, next, loss)
		if err != nil {
			return err
		}
		warnings = slices.Concat(warnings, inFuture("the weighing", next.Since), remarks, late)
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

// readSince warns of the calibrations that read a bottle as it was before a
// weighing, which changes nothing of them: those after it, which had the older
// strength since this one came late, and those between the two weighings.
func readSince(book *logbook.Book, before, next logbook.Bottle, loss *shelf.Loss) ([]string, error) {
	if loss == nil {
		return nil, nil
	}
	list, err := book.CalibrationsWith(before.Name, logbook.Current)
	if err != nil {
		return nil, err
	}
	var out, between []string
	for _, calibration := range list {
		latest, used := time.Time{}, false
		for _, r := range calibration.Readings {
			at := r.Time
			if at.IsZero() {
				at = calibration.Time
			}
			if r.BottleID == before.ID {
				used = true
				if at.After(latest) {
					latest = at
				}
			}
		}
		switch {
		case used && !latest.Before(next.Since):
			out = append(out, fmt.Sprintf("calibration %s of meter %s read bottle %s after this weighing, and has the strength of before it: made again with --save --corrects %s it takes the new one",
				calibration.ID, calibration.Meter, before.Name, calibration.ID))
		case used:
			between = append(between, fmt.Sprintf("%s (%s, %s)", calibration.ID, calibration.Meter, calibration.Time.Format(time.DateOnly)))
		}
	}
	if gain := loss.Gain.Nominal() - 1; len(between) > 0 && gain > coverage*loss.Gain.U() {
		out = append(out, fmt.Sprintf("read between the two weighings, and so with the strength of the first, were %s: by then bottle %s was stronger by up to %.2g %%",
			strings.Join(between, ", "), before.Name, 100*gain))
	}
	return out, nil
}
