package main

import (
	"fmt"
	"slices"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func compensationCommand() *cli.Command {
	return &cli.Command{
		Name:      "compensation",
		Usage:     "find how a conductivity meter corrects for temperature",
		ArgsUsage: "FILE.csv",
		Description: `Reads a table of one bottle of salt solution, read with one meter at three or more
temperatures, better five from 10 to 30 C:

  temp_C     temperature of liquid and probe                     (needed)
  reading    what the meter showed                               (needed)
  u_reading  standard uncertainty of the reading (k = 1): empty is unknown, 0 is
             exact
  u_temp_C   standard uncertainty of this temperature
  meter, bottle   choose rows by --meter and --bottle, or are printed
  time       printed

   brinemark compensation warm.csv --salt NaCl --strength 600mg/L \
       --ppm-factor 0.5 --resolution 1
   brinemark compensation warm.csv --salt KCl --strength 1413uS/cm --alpha 2% \
       --tolerance 5% --check

It prints the coefficient of linear compensation, in % for each C, with its interval;
which rule fits best (linear, none, natural-water); and what to give reference for this
meter. How strong the bottle is hardly matters to the coefficient, its temperature does.

The reference temperature cannot be told from the gain of the meter: the coefficient is
given at --ref-temp. Only a gain known with the compensation switched off (--gain) shows
the meter's own.`,
		Flags: slices.Concat([]cli.Flag{
			required(offering(parsedFlag("salt", "`SALT` in the bottle: NaCl or KCl", false, referenceSalt), saltWords()...)),
		}, requireFirst(strengthFlags()), scaleFlags(), []cli.Flag{
			quantityFlag("ref-temp", "reference `TEMPERATURE` to give the coefficient at (default 25C)", quantity.Temperature),
			parsedFlag("alpha", "`COEFFICIENT` that the meter is said to have, for each C, such as 2%", false, parseAlpha),
			toleranceFlag("tolerance", "let the coefficient be off by `SIZE`: 5% of it, or 0.1 in %/C; needs --alpha"),
			parsedFlag("u-reading", "standard uncertainty `U` of readings that state none: 0.5% or 3", false, parseSize),
			uncertaintyFlag("u-temp", "standard `UNCERTAINTY` of the thermometer itself, the same error in all rows", quantity.Temperature),
			numberFlag("resolution", "`STEP` of the display, in the unit of the readings"),
			&cli.BoolFlag{Name: "own-thermometer", Usage: "temp_C is what the meter itself shows and corrects by"},
			numberFlag("gain", "reading over truth `G` of the meter with its compensation off, where known: finds its own reference temperature"),
			numberFlag("u-gain", "standard uncertainty `U` of that gain"),
			&cli.StringFlag{Name: "meter", Usage: "name `ID` of the meter; chooses its rows where the file has several"},
			&cli.StringFlag{Name: "bottle", Usage: "name `ID` of the bottle; chooses its rows where the file has several"},
		}),
		Action: runCompensation,
	}
}

// requireFirst marks the first of the flags, the strength, as needed.
func requireFirst(flags []cli.Flag) []cli.Flag {
	if f, ok := flags[0].(*cli.GenericFlag); ok {
		required(f)
	}
	return flags
}

func runCompensation(c *cli.Context) error {
	files, err := arguments(c, "FILE.csv")
	if err != nil {
		return err
	}
	q, err := compensationQuestion(c)
	if err != nil {
		return err
	}
	sheet, err := readCompensationFile(c, files[0], &q)
	if err != nil {
		return err
	}
	report, err := reports.NewCompensation(q, sheet.rows)
	if err != nil {
		return sheet.place(err)
	}
	if err := render(c, report); err != nil {
		return err
	}
	return checkVerdict(c, report.VerdictWord())
}

// compensationQuestion reads what is said beside the readings.
func compensationQuestion(c *cli.Context) (q reports.CompensationQuestion, err error) {
	if q.Bottle, err = readSaltBottle(c); err != nil {
		return q, err
	}
	if q.Scale, err = readScale(c); err != nil {
		return q, err
	}
	ref, given, err := getQuantity(c, "ref-temp")
	if err != nil {
		return q, err
	}
	if q.RefTempC = defaultRefTempC; given {
		q.RefTempC = ref.Value
	}
	if err := tempcomp.RefTemperatureRange().Check("compensation", q.RefTempC); err != nil {
		return q, usageError("--ref-temp: %v", err)
	}
	if u, given, err := getQuantity(c, "u-temp"); err != nil {
		return q, err
	} else if given {
		q.UThermometer = reports.Known(u.Value)
	}
	if q.Resolution, given, err = getNumber(c, "resolution"); err != nil {
		return q, err
	} else if given && !(q.Resolution > 0) {
		return q, usageError("--resolution: %g is no step of a display; want one above 0", q.Resolution)
	}
	if u, given, err := last[check.Size](c, "u-reading"); err != nil {
		return q, err
	} else if given {
		q.UReading = &u
	}
	q.OwnThermometer = c.Bool("own-thermometer")
	q.MeterName, q.BottleName = c.String("meter"), c.String("bottle")
	if err := compensationClaim(c, &q); err != nil {
		return q, err
	}
	return q, compensationGain(c, &q)
}

func compensationClaim(c *cli.Context, q *reports.CompensationQuestion) error {
	alpha, claimed, err := last[float64](c, "alpha")
	if err != nil {
		return err
	}
	if claimed {
		q.Claimed = reports.Known(alpha)
	}
	t, given, err := getTolerance(c, "tolerance")
	switch {
	case err != nil || !given:
		return err
	case !claimed:
		return usageError("--tolerance needs --alpha, the coefficient it is about")
	case alpha == 0 && t.Relative:
		return usageError("--tolerance %s: nothing is a fraction of a coefficient of 0; want one in %%/C, such as 0.1", t)
	}
	q.Tolerance = &t
	return nil
}

func compensationGain(c *cli.Context, q *reports.CompensationQuestion) error {
	gain, known, err := getNumber(c, "gain")
	if err != nil {
		return err
	}
	u, stated, err := getNumber(c, "u-gain")
	switch {
	case err != nil:
		return err
	case stated && !known:
		return usageError("--u-gain needs --gain, the gain it belongs to")
	case known && !(gain >= leastGain && gain <= mostGain):
		return usageError("--gain: %g is out of range; want reading over truth, from %g to %g", gain, leastGain, mostGain)
	case stated && u < 0:
		return usageError("--u-gain: %g is negative; a standard uncertainty is 0 (exact) or more", u)
	}
	q.Gain, q.UGain = reports.Maybe(gain, known), reports.Maybe(u, stated)
	return nil
}

// The gains a meter may have, its readings being in the unit of its display.
// Common practice, no source.
const leastGain, mostGain = 0.2, 5.0

// noRow names the row that is not there.
func noRow(file, meter, bottle string) error {
	what := ""
	if meter != "" {
		what += fmt.Sprintf(" of meter %q", meter)
	}
	if bottle != "" {
		what += fmt.Sprintf(" of bottle %q", bottle)
	}
	return fmt.Errorf("%s: found no row%s; want names that stand in the file, or no --meter and no --bottle for all rows", file, what)
}
