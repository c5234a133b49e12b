package main

import (
	"errors"
	"io"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func correctCommand() *cli.Command {
	return &cli.Command{
		Name:      "correct",
		Usage:     "put a log of readings right, with an uncertainty and a flag for each",
		ArgsUsage: "LOG.csv|-",
		Description: `Writes the log's rows and columns unchanged and in order, and beside them for
each corrected COLUMN:

  COLUMN_corrected  the corrected value
  COLUMN_u          its standard uncertainty (k = 1)
  COLUMN_flag       empty where the value can be believed, else a word:
    blank               no reading, or no temperature that is needed
    not-a-number        it is no number
    dry                 the probe was out of the liquid
    out-of-range        outside the meter's range, or the calibration's
    before-calibration  no calibration applies yet
    stale               too long after the last calibration

Between two calibrations the line moves evenly from the earlier one as left to
the later one as found; after the last it is held, with an uncertainty that
grows. Calibrations come from files that calibrate --json printed (--calibration,
once for each), or from the record (--meter). Settings are by column:

  brinemark correct log.csv --calibration ec=may.json --calibration ec=june.json

--temp alone changes nothing. A meter without a temperature compensation of its
own (--compensation COLUMN=none, or so on record) is brought to 25 C with it.

The summary goes to stderr; with --json it goes to stdout and the log to --out.`,
		Flags: []cli.Flag{
			columnsFlag("calibration", "calibrate --json's output for a column, `COLUMN=FILE.json`"),
			columnsFlag("meter", "take a column's calibrations, display and events from the meter on record, `COLUMN=ID`"),
			&cli.StringFlag{Name: "temp", Usage: "the `COLUMN` of the liquid's temperature in C"},
			quantityFlag("u-temp", "standard uncertainty `U` of that temperature (default 0.5C)", quantity.Temperature),
			&cli.StringFlag{Name: "time-column", Usage: "`NAME` of the log's column of times (default time)"},
			columnsFlag("compensation", "what the meter does by itself: `COLUMN=RULE`, none, linear, linear:1.9% or natural-water"),
			parsedFlag("compensate-by", "bring values to 25 C by `RULE` (default linear:2%)", false, parseRule),
			columnsFlag("range", "what the meter can show, `COLUMN=LOW..HIGH` in the unit of the readings"),
			columnsFlag("u-reading", "standard uncertainty of one reading, `COLUMN=U` in its unit"),
			columnsFlag("drift", "size of the drift in 30 days after the last calibration, `COLUMN=1%` or COLUMN=0.05"),
			parsedFlag("stale-after", "believe a calibration for so many `DAYS`, such as 90d", false, parseDays),
			columnsFlag("dry", "what the column shows in air, `COLUMN=LIMIT`, or COLUMN=off"),
			&cli.PathFlag{Name: "out", Usage: "write the log into `FILE` (gzip where it ends in .gz); - is stdout"},
			&cli.BoolFlag{Name: "follow", Usage: "write each row as it comes in; flags then look back only"},
		},
		Action: runCorrect,
	}
}

// columnsFlag takes COLUMN=VALUE, and may be given several times.
func columnsFlag(name, usage string) *cli.GenericFlag {
	return parsedFlag(name, usage, true, parseColumnSetting)
}

// columnSetting is what is said of one column.
type columnSetting struct{ column, value string }

func parseColumnSetting(text string) (columnSetting, error) {
	column, value, ok := strings.Cut(text, "=")
	s := columnSetting{strings.TrimSpace(column), strings.TrimSpace(value)}
	if !ok || s.column == "" || s.value == "" {
		return s, errors.New("want COLUMN=VALUE, such as ec=may.json")
	}
	return s, nil
}

func runCorrect(c *cli.Context) error {
	files, err := arguments(c, "LOG.csv")
	if err != nil {
		return err
	}
	plan, remarks, err := correctionPlan(c)
	if err != nil {
		return err
	}
	out := c.Path("out")
	if c.Bool("json") && (out == "" || out == "-") {
		return usageError("with --json the summary goes to stdout: name a file for the log with --out")
	}
	log, name, err := openLog(c, files[0])
	if err != nil {
		return err
	}
	defer log.Close()
	for _, remark := range remarks {
		note(c, "%s", remark)
	}
	var summary *series.Summary
	err = writeLog(c, out, func(w io.Writer) (err error) {
		if c.Bool("follow") {
			summary, err = series.Follow(log, w, name, plan, func(err error) { warn(c, "%v", err) })
			return err
		}
		summary, err = series.Correct(log, w, name, plan)
		return err
	})
	if err != nil {
		return logError(err)
	}
	return showCorrection(c, reports.NewCorrection(summary, name))
}

// showCorrection shows the summary: on stdout with --json, else on stderr,
// since the log may be on stdout.
func showCorrection(c *cli.Context, r *reports.Correction) error {
	if c.Bool("json") {
		return render(c, r)
	}
	if err := r.Table(c.App.ErrWriter, reports.Style{}); err != nil {
		return couldNotDo(err)
	}
	for _, warning := range r.WarningList() {
		warn(c, "%s", warning)
	}
	return nil
}

// logError is bad input where the log is to blame.
func logError(err error) error {
	var place *readings.Error
	if errors.As(err, &place) {
		return err
	}
	return couldNotDo(err)
}
