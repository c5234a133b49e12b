package main

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/urfave/cli/v2"
)

func driftCommand() *cli.Command {
	return &cli.Command{
		Name:      "drift",
		Usage:     "say how fast a meter drifts, since when, and when to check it again",
		ArgsUsage: "FILE.csv",
		UsageText: `brinemark drift [--flag value ...] FILE.csv
brinemark drift [--flag value ...] --meter ID | --all
brinemark drift [--flag value ...] --pair A,B LOG.csv`,
		Description: `Takes the checks of a meter from the record (--meter ID, --all), or from a table
with one row for each reading of a reference:

  time                      when (needed)
  ref, reading              what a perfect meter with this display would show,
                            and what the meter showed
  u_ref, u_reading          standard uncertainties (k = 1): empty is unknown,
                            0 is exact
  ref_source, u_ref_shared  what references share (one stock), and how much
  bottle                    rows of one bottle share its own error
  event                     adjusted (the error begins anew near zero), cleaned
                            (it may jump) or replaced (electrode or cell: its
                            rate begins anew too); alone in a row, or beside a
                            reading
  state                     of that reading: as-found (before the event) or
                            as-left (after it)
  meter                     chooses rows, with --meter
  temp_C                    for your own information; converts nothing

The error is reading - reference: a fraction of the reference for conductivity,
in the unit of the readings otherwise. "due" is the first day on which the risk
of being outside tolerance exceeds --risk; "next check" comes no later than that,
nor than common practice for the quantity.

   brinemark drift checks.csv --tolerance 5% --plot drift.svg
   brinemark drift --meter "tent pen" --now 2026-03-01
   brinemark drift --all --check --calendar checks.ics
   brinemark drift tub.csv --pair left,right --tolerance 5%`,
		Flags: append([]cli.Flag{
			toleranceFlag("tolerance", "let an error be as large as `SIZE`: 2% of the reference, or 0.1 in the unit of the readings (default: the tolerance of the meter on record)"),
			wordFlag("quantity", "`QUANTITY` the meter measures: ec (default), ph, temperature, humidity, oxygen, co2, other; with --all, only meters of it", words(check.Kinds())...),
			parsedFlag("risk", "accept a risk `P` of being outside tolerance (default 5%)", false, parseRisk),
			&cli.StringFlag{Name: "now", Usage: "take `TIME` for now, such as 2026-03-01"},
			numberFlag("resolution", "`STEP` of the display, in the unit of the readings"),
			parsedFlag("u-ref", "standard uncertainty `U` of references that state none: 1% or 5", false, parseSize),
			parsedFlag("u-reading", "standard uncertainty `U` of readings that state none: 1% or 5", false, parseSize),
			&cli.StringFlag{Name: "meter", Usage: "the meter `ID` on record; with FILE.csv, its rows there"},
			&cli.BoolFlag{Name: "all", Usage: "all meters on record that are in use, or of FILE.csv, the most urgent first"},
			&cli.PathFlag{Name: "calendar", Usage: "write next checks and due days into `FILE` as iCalendar text, which calendars import"},
			parsedFlag("pair", "take FILE.csv as a log of two probes in one liquid, its columns `A,B`, and tell how A drifts against B", false, parsePair),
			&cli.StringFlag{Name: "time-column", Usage: "`NAME` of the log's column of times (default time)"},
		}, chartFlags()...),
		Action: runDrift,
	}
}

// parseRisk reads "5%" or "0.05".
func parseRisk(text string) (float64, error) {
	p, err := quantity.ParseNumber(text)
	if err != nil {
		q, err := quantity.Parse(text, quantity.Fraction)
		if err != nil {
			return 0, fmt.Errorf("%s is no risk; want one such as 5%%", quantity.Quoted(text))
		}
		p = q.Value
	}
	if !(p > 0 && p < 1) {
		return 0, fmt.Errorf("%s is no risk; want one above 0%% and below 100%%, such as 5%% or 0.05", quantity.Quoted(text))
	}
	return p, nil
}

func runDrift(c *cli.Context) error {
	files, err := arguments(c, "[FILE.csv]")
	if err != nil {
		return err
	}
	ask, err := driftQuestion(c)
	if err != nil {
		return err
	}
	switch path := files[0]; {
	case ask.pair != nil && path == "":
		return usageError("drift --pair needs FILE.csv, the log of the two probes")
	case ask.pair != nil:
		return driftOfPair(c, path, ask)
	case isGiven(c, "time-column"):
		return usageError("--time-column goes with --pair; a table of checks has the column time")
	case c.Bool("all") && (ask.plot != "" || ask.when == "always"):
		return usageError("drift --all draws no chart; ask for one meter")
	case c.Bool("all") && ask.meter != "":
		return usageError("drift takes --all or --meter %s, not both", ask.meter)
	case path != "":
		return driftOfFile(c, path, ask)
	case c.Bool("all"):
		return withRecord(c, func(book *logbook.Book) error { return driftOfRecord(c, book, ask) })
	case ask.meter != "":
		return withRecord(c, func(book *logbook.Book) error { return driftOfMeter(c, book, ask) })
	}
	return usageError("drift needs FILE.csv, or --meter ID or --all for meters on record")
}

// driftAsk is what is asked beside the rows.
type driftAsk struct {
	options         drift.Options
	uRef, uReading  *check.Size
	quantityGiven   bool
	resolutionGiven bool
	meter           string
	pair            *pair
	calendar        string
	laterTold       bool // somebody else says what is left out as later than now
	charting
}

func driftQuestion(c *cli.Context) (ask driftAsk, err error) {
	kind, err := getWord(c, "quantity")
	if err != nil {
		return ask, err
	}
	o := &ask.options
	o.Kind, ask.quantityGiven, ask.meter, ask.calendar = check.Kind(kind), kind != "", c.String("meter"), c.Path("calendar")
	if isGiven(c, "meter") && ask.meter == "" {
		return ask, usageError("--meter: the name is empty; want that of a meter")
	}
	if isGiven(c, "calendar") && (ask.calendar == "" || ask.calendar == "-") {
		return ask, usageError("--calendar: %s is no file; want a name such as checks.ics", quantity.Quoted(ask.calendar))
	}
	if t, given, err := getTolerance(c, "tolerance"); err != nil {
		return ask, err
	} else if given {
		o.Tolerance = &t
	}
	if o.Risk, _, err = last[float64](c, "risk"); err != nil {
		return ask, err
	}
	if o.Resolution, ask.resolutionGiven, err = getNumber(c, "resolution"); err != nil {
		return ask, err
	}
	if o.Resolution < 0 {
		return ask, usageError("--resolution: %v is negative; want the step of the display", o.Resolution)
	}
	if ask.charting, err = getCharting(c); err != nil {
		return ask, err
	}
	if p, given, err := last[pair](c, "pair"); err != nil {
		return ask, err
	} else if given {
		ask.pair = &p
	}
	for name, to := range map[string]**check.Size{"u-ref": &ask.uRef, "u-reading": &ask.uReading} {
		if v, given, err := last[check.Size](c, name); err != nil {
			return ask, err
		} else if given {
			*to = &v
		}
	}
	o.Now, err = givenNow(c)
	return ask, err
}
