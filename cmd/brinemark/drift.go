package main

import (
	"errors"
	"fmt"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func driftCommand() *cli.Command {
	return &cli.Command{
		Name:      "drift",
		Usage:     "say how fast a meter drifts, since when, and when to check it again",
		ArgsUsage: "FILE.csv | --meter ID | --all | LOG.csv --pair A,B",
		Description: `Takes the checks from the record (--meter ID, --all), or reads a table with one row for each check of a meter against a reference:

  time       when                                                 (needed)
  ref        what a perfect meter with this display would show
  reading    what the meter showed
  u_ref, u_reading          standard uncertainties (k = 1): empty is unknown, 0 is exact
  ref_source, u_ref_shared  what references share (one stock), and how much of it
  bottle     rows of one bottle share its own error, and its ageing
  event      adjusted, cleaned or replaced; alone in a row, or beside a reading
  state      of that reading: as-found (before the event) or as-left (after it)
  meter      chooses rows, with --meter
  temp_C     explains, converts nothing

The error is reading - reference: a fraction of the reference for conductivity,
in the unit of the readings otherwise. "due" is the first day on which the risk
of being outside tolerance exceeds --risk; "next check" comes no later than that,
nor than common practice.`,
		Flags: []cli.Flag{
			toleranceFlag("tolerance", "let an error be as large as `SIZE`: 2% of the reference, or 0.1 in the unit of the readings"),
			wordFlag("quantity", "`QUANTITY` the meter measures: ec (default), ph, temperature, humidity, oxygen, co2, other", words(check.Kinds())...),
			parsedFlag("risk", "accept a risk `P` of being outside tolerance (default 5%)", false, parseRisk),
			&cli.StringFlag{Name: "now", Usage: "take `TIME` for now, such as 2026-03-01"},
			numberFlag("resolution", "`STEP` of the display, in the unit of the readings"),
			parsedFlag("u-ref", "standard uncertainty `U` of references that state none: 1% or 5", false, parseSize),
			parsedFlag("u-reading", "standard uncertainty `U` of readings that state none: 1% or 5", false, parseSize),
			&cli.StringFlag{Name: "meter", Usage: "the meter `ID` on record; with FILE.csv, its rows there"},
			&cli.BoolFlag{Name: "all", Usage: "all meters on record that are in use, or of the file, the most urgent first"},
			&cli.PathFlag{Name: "calendar", Usage: "write next checks and due days into `FILE` as iCalendar text"},
			&cli.PathFlag{Name: "svg", Usage: "draw the chart into `FILE`"},
			parsedFlag("pair", "take FILE.csv as a log of two probes in one liquid, its columns `A,B`, and tell how A drifts against B", false, parsePair),
			&cli.StringFlag{Name: "time-column", Usage: "`NAME` of the log's column of times (default time)"},
			&cli.BoolFlag{Name: "no-chart", Usage: "leave the chart out of the table"},
		},
		Action: runDrift,
	}
}

// parseRisk reads "5%" or "0.05".
func parseRisk(text string) (float64, error) {
	p, err := quantity.ParseNumber(text)
	if err != nil {
		q, err := quantity.Parse(text, quantity.Fraction)
		if err != nil {
			return 0, fmt.Errorf("%q is no risk; want one such as 5%%", text)
		}
		p = q.Value
	}
	if !(p > 0 && p < 1) {
		return 0, fmt.Errorf("%q is no risk; want one above 0%% and below 100%%", text)
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
	two, isPair, err := last[pair](c, "pair")
	if err != nil {
		return err
	}
	switch {
	case isPair && files[0] == "":
		return usageError("drift --pair needs FILE.csv, the log of the two probes")
	case isPair:
		return driftOfPair(c, files[0], two, ask)
	case isGiven(c, "time-column"):
		return usageError("--time-column goes with --pair; a table of checks has the column time")
	case c.Bool("all") && c.Path("svg") != "":
		return usageError("drift --all draws no chart; ask for one meter with --svg")
	case c.Bool("all") && ask.meter != "":
		return usageError("drift takes --all or --meter %s, not both", ask.meter)
	case files[0] != "":
		return driftOfFile(c, files[0], ask)
	case c.Bool("all"):
		return withRecord(c, func(book *logbook.Book) error { return driftOfRecord(c, book, ask) })
	case ask.meter != "":
		return withRecord(c, func(book *logbook.Book) error { return driftOfMeter(c, book, ask) })
	}
	return usageError("drift needs FILE.csv, or --meter ID or --all for meters on record")
}

// driftOfFile tells the drift of the meter, or with --all the meters, of a file.
func driftOfFile(c *cli.Context, path string, ask driftAsk) error {
	table, err := readTable(c, path, driftSpec())
	if err != nil {
		return err
	}
	list, err := driftMeters(table, ask, c.Bool("all"))
	if err != nil {
		return err
	}
	var meters []*reports.Drift
	for _, rows := range list {
		result, err := drift.Run(rows.entries, ask.options)
		if err != nil {
			return rows.place(err)
		}
		meters = append(meters, reports.NewDrift(result, rows.meter))
	}
	if c.Bool("all") {
		return finishDrifts(c, ask, meters, nil)
	}
	return finishDrift(c, ask, meters[0])
}

// driftOfMeter tells the drift of one meter on record.
func driftOfMeter(c *cli.Context, book *logbook.Book, ask driftAsk) error {
	m, err := book.Meter(ask.meter)
	if err != nil {
		return err
	}
	rows, options, err := driftRecord(book, m, ask)
	if err != nil {
		return err
	}
	result, err := drift.Run(rows.entries, options)
	if err != nil {
		return rows.place(err)
	}
	return finishDrift(c, ask, reports.NewDrift(result, m.Name))
}

// driftOfRecord tells the drift of all meters in use.
func driftOfRecord(c *cli.Context, book *logbook.Book, ask driftAsk) error {
	list, err := book.Meters(logbook.Current)
	if err != nil {
		return err
	}
	var meters []*reports.Drift
	var unchecked []string
	for _, m := range list {
		if m.Retired() || ask.quantityGiven && string(ask.options.Kind) != m.Quantity {
			continue
		}
		rows, options, err := driftRecord(book, m, ask)
		if err != nil {
			return err
		}
		result, err := drift.Run(rows.entries, options)
		switch {
		case errors.Is(err, drift.ErrNothing):
			unchecked = append(unchecked, m.Name)
		case err != nil:
			return rows.place(err)
		default:
			meters = append(meters, reports.NewDrift(result, m.Name))
		}
	}
	if len(meters)+len(unchecked) == 0 {
		return usageError("drift --all: there is no such meter in use on record")
	}
	return finishDrifts(c, ask, meters, unchecked)
}

// finishDrift writes what was asked for beside the result, shows the result
// and judges it.
func finishDrift(c *cli.Context, ask driftAsk, d *reports.Drift) error {
	d.Plain = c.Bool("no-chart")
	if path := c.Path("svg"); path != "" {
		if err := writeFile(path, d.Chart().SVG); err != nil {
			return err
		}
	}
	if err := writeCalendar(c, ask, d); err != nil {
		return err
	}
	if err := render(c, d); err != nil {
		return err
	}
	return checkVerdict(c, d.VerdictWord())
}

func finishDrifts(c *cli.Context, ask driftAsk, meters []*reports.Drift, unchecked []string) error {
	all := reports.NewDriftAll(meters, unchecked)
	if err := writeCalendar(c, ask, all.Meters...); err != nil {
		return err
	}
	if err := render(c, all); err != nil {
		return err
	}
	return checkVerdict(c, all.Verdicts()...)
}

func writeCalendar(c *cli.Context, ask driftAsk, meters ...*reports.Drift) error {
	path := c.Path("calendar")
	switch {
	case path == "":
		return nil
	case len(meters) == 0:
		return usageError("--calendar: no meter has a check, so there is no day to write")
	}
	return writeFile(path, reports.DriftCalendar(ask.options.Now, meters...).Write)
}

// driftAsk is what is asked beside the rows.
type driftAsk struct {
	options        drift.Options
	uRef, uReading *check.Size
	quantityGiven  bool
	meter          string
}

func driftQuestion(c *cli.Context) (ask driftAsk, err error) {
	kind, err := getWord(c, "quantity")
	if err != nil {
		return ask, err
	}
	o := &ask.options
	o.Kind, ask.quantityGiven, ask.meter = check.Kind(kind), kind != "", c.String("meter")
	if t, given, err := getTolerance(c, "tolerance"); err != nil {
		return ask, err
	} else if given {
		o.Tolerance = &t
	}
	if o.Risk, _, err = last[float64](c, "risk"); err != nil {
		return ask, err
	}
	if o.Resolution, _, err = getNumber(c, "resolution"); err != nil {
		return ask, err
	}
	if o.Resolution < 0 {
		return ask, usageError("--resolution: %v is negative; want the step of the display", o.Resolution)
	}
	for name, to := range map[string]**check.Size{"u-ref": &ask.uRef, "u-reading": &ask.uReading} {
		if v, given, err := last[check.Size](c, name); err != nil {
			return ask, err
		} else if given {
			*to = &v
		}
	}
	o.Now, err = driftNow(c)
	return ask, err
}

// driftNow is --now, or the clock, in the zone of --time-zone.
func driftNow(c *cli.Context) (time.Time, error) {
	zone, err := timeZone(c)
	if err != nil {
		return time.Time{}, err
	}
	at, err := optionalTime(c, "now")
	if err != nil {
		return at, err
	}
	if at.IsZero() {
		at = now()
	}
	return at.In(zone), nil
}

// driftSpec is what a table of a meter's checks may hold.
func driftSpec() readings.Spec {
	return readings.Spec{Columns: []readings.Column{
		{Name: "time", Type: readings.Time, Required: true, Filled: true},
		{Name: "ref", Type: readings.Number, Required: true},
		{Name: "reading", Type: readings.Number, Required: true},
		{Name: "u_ref", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "ref_source"},
		{Name: "u_ref_shared", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "u_reading", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "temp_C", Type: readings.Number},
		{Name: "bottle"},
		{Name: "event", Words: words(drift.Events())},
		{Name: "state", Words: []string{string(drift.AsFound), string(drift.AsLeft)}},
		{Name: "meter"},
	}}
}
