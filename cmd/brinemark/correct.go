package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"time"

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
  COLUMN_u          its standard uncertainty (k = 1); empty where not known
  COLUMN_flag       empty where the value can be believed, else a word:
    blank               no reading, or no temperature that is needed
    not-a-number        it is no number
    before-calibration  no calibration applies yet
    dry                 the probe was out of the liquid
    out-of-range        outside the meter's range, or the calibration's
    stale               too long after the last calibration

Between two calibrations the line moves evenly from the earlier one as left to
the later one as found; after the last it is held, with an uncertainty that
grows. Calibrations come from files that calibrate --json printed (--calibration,
once for each), or from the record (--meter, with its adjustments, display and
drift). Settings are by column, and may be given for each:

  brinemark correct log.csv --calibration ec=may.json --calibration ec=june.json
  brinemark correct log.csv --meter ec="tent pen" --meter ph=P2 --temp water_C

Values are written in the unit of the display unless --unit asks for another.
--temp alone changes nothing: a meter with no compensation of its own (on record,
or --compensation COLUMN=none) is brought to 25 C by it.

A log is CSV with a header row, or JSON Lines (.jsonl, .ndjson, or {...} from its
first byte on), packed by gzip where its name ends in .gz.

The summary goes to stderr; with --json it goes to stdout and the log to --out.`,
		Flags: append([]cli.Flag{
			columnsFlag("calibration", "calibrate --json's output for a column, `COLUMN=FILE.json`"),
			columnsFlag("meter", "take all that is known of a column's meter from the record, `COLUMN=ID`"),
			&cli.StringFlag{Name: "temp", Usage: "the `COLUMN` of the liquid's temperature in C"},
			quantityFlag("u-temp", "standard uncertainty `U` of that temperature (default 0.5C)", quantity.Temperature),
			&cli.StringFlag{Name: "time-column", Usage: "`NAME` of the log's column of times (default time)"},
			columnsFlag("compensation", "what the meter does itself, `COLUMN=RULE`: none, linear, linear:1.9%, natural-water"),
			parsedFlag("compensate-by", "bring values to 25 C by `RULE`, or none (default: as the meter does, else linear:2%)", false, parseRule),
			columnsFlag("display", "what the meter shows, `COLUMN=UNIT`: uS/cm, mS/cm, ppm@0.5"),
			columnsFlag("unit", "write the column's values in another unit, `COLUMN=UNIT`"),
			columnsFlag("range", "what the meter can show, `COLUMN=LOW..HIGH` in the unit of the readings"),
			columnsFlag("u-reading", "standard uncertainty of one reading, `COLUMN=U` in its unit"),
			columnsFlag("drift", "size of the drift in 30 days after the last calibration, `COLUMN=1%` or COLUMN=0.05"),
			parsedFlag("stale-after", "believe a calibration for so many `DAYS`, such as 90d", false, parseDays),
			columnsFlag("dry", "what the column shows in air, `COLUMN=LIMIT`, or COLUMN=off"),
			&cli.PathFlag{Name: "out", Usage: "write the log into `FILE` (gzip where it ends in .gz); - is stdout"},
			&cli.BoolFlag{Name: "follow", Usage: "write each row as it comes in; flags then look back only"},
		}, append(watchFlags(), chartFlags()...)...),
		Action: runCorrect,
	}
}

func runCorrect(c *cli.Context) error {
	files, err := arguments(c, "LOG.csv")
	if err != nil {
		return err
	}
	defer saveMemory()()
	plan, about, err := correctionPlan(c)
	if err != nil {
		return err
	}
	out := c.Path("out")
	if c.Bool("json") && c.Bool("follow") {
		return usageError("--follow writes the log to stdout, row by row, and --json the summary: want one of them")
	}
	if c.Bool("json") && (out == "" || out == "-") {
		return usageError("with --json the summary goes to stdout: name a file for the log with --out")
	}
	if c.Bool("follow") && out != "" && out != "-" {
		return usageError("--follow writes to stdout, row by row, and --out a file that is complete: want one of them")
	}
	chart, err := newLogChart(c, &plan)
	if err != nil {
		return err
	}
	defer chart.file.drop()
	log, name, err := openLog(c, files[0])
	if err != nil {
		return err
	}
	defer log.Close()
	watched, err := watchLog(c, &plan, about)
	if err != nil {
		return err
	}
	defer watched.abandon()
	chart.watch(&plan)
	var summary *series.Summary
	err = writeLog(c, out, func(w io.Writer) (err error) {
		if c.Bool("follow") {
			sayNotes(c, about)
			summary, err = series.Follow(log, w, name, plan, func(err error) { warn(c, "%v", err) })
			return err
		}
		summary, err = series.Correct(log, w, name, plan)
		return err
	})
	if err != nil {
		return logError(timeColumnError(c, err))
	}
	if err := watched.finish(); err != nil {
		return err
	}
	if !c.Bool("follow") {
		sayNotes(c, about)
	}
	result := watched.warned(reports.NewCorrection(summary, name, plan, about))
	result.Warnings = append(result.Warnings, farAhead(summary)...)
	if err := chart.finish(result); err != nil {
		return err
	}
	return showCorrection(c, result, chart.drawn)
}

// tooFar is how far ahead of now a row may lie: the clocks of a logger and of
// this machine may differ by zones, or by a summer, but not by more than a year.
const tooFar = 366 * 24 * time.Hour

// farAhead warns of rows that lie far in the future.
func farAhead(s *series.Summary) []string {
	if s.Rows == 0 || !s.Last.After(now().Add(tooFar)) {
		return nil
	}
	return []string{fmt.Sprintf("the latest row lies far in the future, %s: was the logger's clock right?", s.Last.Format(time.DateOnly))}
}

// sayNotes says on stderr what is done to each column.
func sayNotes(c *cli.Context, about []reports.CorrectionPlan) {
	for _, column := range about {
		for _, text := range column.Notes {
			note(c, "column %s: %s", column.Column, text)
		}
	}
}

// showCorrection shows the summary: on stdout with --json, else on stderr,
// since the log may be on stdout.
func showCorrection(c *cli.Context, r *reports.Correction, drawn bool) error {
	if c.Bool("json") {
		return render(c, r)
	}
	keep(c, r)
	var out bytes.Buffer
	err := r.Table(&out, reports.Style{})
	if drawn && err == nil {
		err = r.WriteChart(&out, reports.Style{})
	}
	if err == nil {
		_, err = io.WriteString(c.App.ErrWriter, reports.Style{}.Clean(out.String()))
	}
	if err != nil {
		return couldNotDo(err)
	}
	for _, warning := range r.WarningList() {
		warn(c, "%s", warning)
	}
	return nil
}

// timeColumnError names the flag where a log has no column of times by that
// name.
func timeColumnError(c *cli.Context, err error) error {
	name := c.String("time-column")
	if name == "" {
		name = "time"
	}
	var place *readings.Error
	if errors.As(err, &place) && errors.Is(err, readings.ErrMissingColumn) && place.Column == name {
		place.Want += "; --time-column names the column of times"
	}
	return err
}

// logError is bad input where the log, or what was typed, is to blame.
func logError(err error) error {
	var place *readings.Error
	var typed *misuse
	if errors.As(err, &place) || errors.As(err, &typed) {
		return err
	}
	return couldNotDo(err)
}
