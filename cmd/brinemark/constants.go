package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// The formats of constants; those of SQL are sqlFormat and the engine.
const (
	formatTable = "table"
	formatJSON  = "json"
	formatC     = "c"
	sqlFormat   = "sql-"
)

func constantsFormats() []string {
	list := []string{formatTable, formatJSON, formatC}
	for _, engine := range reports.Engines() {
		list = append(list, sqlFormat+engine)
	}
	return list
}

func constantsCommand() *cli.Command {
	return &cli.Command{
		Name:      "constants",
		Usage:     "write a meter's calibration for use elsewhere: JSON, C, SQL",
		ArgsUsage: "METER | --calibration FILE.json …",
		Description: `Writes what turns readings into true values, for a program of your own.
METER is on record, or names the meter whose calibrations are in files.

  table            for people, as of --at (default: now)
  json             the line as of --at, with all pieces of time
  c                a header for a microcontroller: the line as of --at, a range
                   check and, for a meter without one, a compensation
  sql-sqlite, sql-postgresql, sql-duckdb
                   a calibration table and a view that corrects --column of
                   --table by the calibration as of each row's time

   brinemark constants P1 --format c --out p1.h
   brinemark constants P1 --format sql-sqlite --table log --column ec > p1.sql

The view has the table's columns and COLUMN_corrected, COLUMN_u, COLUMN_flag, as
correct writes them; dry is not among the flags, since it needs the rows around
one. Make it anew, and run it again, after a calibration.`,
		Flags: []cli.Flag{
			wordFlag("format", "`FORMAT`: "+strings.Join(constantsFormats(), ", ")+" (default table)", constantsFormats()...),
			&cli.StringFlag{Name: "at", Usage: "`TIME` of the line (default: now)"},
			&cli.PathFlag{Name: "out", Usage: "write into `FILE`; - is stdout"},
			pathsFlag("calibration", "calibrate --json's output, `FILE.json`; once for each calibration"),
			&cli.StringFlag{Name: "table", Usage: "SQL: `NAME` of the table of readings"},
			&cli.StringFlag{Name: "column", Usage: "SQL: `NAME` of its column of readings"},
			&cli.StringFlag{Name: "time-column", Usage: "SQL: `NAME` of its column of times (default time)"},
			&cli.StringFlag{Name: "temp", Usage: "SQL: `NAME` of its column of the liquid's temperature in C"},
			&cli.StringFlag{Name: "view", Usage: "SQL: `NAME` of the view (default TABLE_COLUMN_corrected)"},
			&cli.StringFlag{Name: "constants-table", Usage: "SQL: `NAME` of the calibration table (default " + reports.DefaultConstantsTable + ")"},
			&cli.BoolFlag{Name: "unix-time", Usage: "SQL: the times are Unix seconds (SQLite tells by itself)"},
			parsedFlag("compensation", "what the meter does by itself: `RULE` none, linear, linear:1.9% or natural-water", false, parseRule),
			parsedFlag("compensate-by", "bring values to 25 C by `RULE` (default linear:2% for a meter that does none)", false, parseRule),
			quantityFlag("u-temp", "standard uncertainty `U` of the liquid's temperature (default 0.5C)", quantity.Temperature),
			&cli.StringFlag{Name: "display", Usage: "what the meter shows: `UNIT` uS/cm, mS/cm or one such as ppm@0.5"},
			&cli.StringFlag{Name: "unit", Usage: "what corrected values are wanted in: `UNIT`, such as mS/cm"},
			&cli.StringFlag{Name: "range", Usage: "what the meter can show, `LOW..HIGH` in the unit of the readings"},
			&cli.StringFlag{Name: "u-reading", Usage: "standard uncertainty `U` of one reading, in its unit"},
			&cli.StringFlag{Name: "drift", Usage: "`SIZE` of the drift in 30 days after the last calibration: 1% or 0.05"},
			parsedFlag("stale-after", "believe a calibration for so many `DAYS`, such as 90d", false, parseDays),
		},
		Action: runConstants,
	}
}

// pathsFlag takes the path of a file, and may be given several times.
func pathsFlag(name, usage string) *cli.GenericFlag {
	return offering(parsedFlag(name, usage, true, func(text string) (string, error) {
		if text == "" {
			return "", fmt.Errorf("want the name of a file")
		}
		return text, nil
	}), anyFile)
}

func runConstants(c *cli.Context) error {
	args, err := arguments(c, "[METER]")
	if err != nil {
		return err
	}
	format, err := constantsFormat(c)
	if err != nil {
		return err
	}
	at, err := optionalTime(c, "at")
	if err != nil {
		return err
	}
	m, err := meterConstants(c, args[0])
	if err != nil {
		return err
	}
	if at.IsZero() {
		at = now().Truncate(time.Second)
	} else if at.After(now()) {
		m.Warnings = append(m.Warnings, fmt.Sprintf("%s has not come yet: a calibration or an adjustment before it changes the line", at.Format(time.RFC3339)))
	}
	if format == formatTable {
		return showConstants(c, m, at)
	}
	text, err := constantsText(c, m, format, at)
	if err != nil {
		return fmt.Errorf("constants --format %s: %w", format, err)
	}
	if err := writeLog(c, c.Path("out"), func(w io.Writer) error { return write(w, []byte(text)) }); err != nil {
		return err
	}
	if c.Bool("json") && isFile(c.Path("out")) {
		return showConstants(c, m, at)
	}
	sayConstants(c, m.Notes, m.Warnings)
	return nil
}

func isFile(path string) bool { return path != "" && path != "-" }

// showConstants shows the constants of a time: a table, or with --json an
// object.
func showConstants(c *cli.Context, m *reports.MeterConstants, at time.Time) error {
	r, err := m.At(at)
	if err != nil {
		return err
	}
	if err := render(c, r); err != nil {
		return err
	}
	if !c.Bool("json") {
		sayConstants(c, m.Notes, nil)
	}
	return nil
}

func sayConstants(c *cli.Context, notes, warnings []string) {
	for _, text := range notes {
		note(c, "%s", text)
	}
	for _, text := range warnings {
		warn(c, "%s", text)
	}
}

// sqlFlags say something of a table of readings.
var sqlFlags = []string{"table", "column", "time-column", "temp", "view", "constants-table", "unix-time"}

// constantsFormat settles the format, and refuses flags that have no meaning for
// it.
func constantsFormat(c *cli.Context) (string, error) {
	format, err := getWord(c, "format")
	if err != nil {
		return "", err
	}
	if format == "" {
		format = formatTable
	}
	if c.Bool("json") && !isFile(c.Path("out")) {
		if format != formatTable && format != formatJSON {
			return "", usageError("with --json the constants go to stdout as JSON: name a file for the %s with --out", format)
		}
		format = formatTable // rendered as JSON
	}
	if isFile(c.Path("out")) && format == formatTable {
		return "", usageError("--out FILE needs a --format: %s", strings.Join(constantsFormats()[1:], ", "))
	}
	if isSQL := strings.HasPrefix(format, sqlFormat); !isSQL {
		if i := slices.IndexFunc(sqlFlags, func(name string) bool { return isGiven(c, name) }); i >= 0 {
			return "", usageError("--%s belongs to the formats of SQL, not to %s", sqlFlags[i], format)
		}
		return format, nil
	}
	if isGiven(c, "at") {
		return "", usageError("--at belongs to table, json and c; SQL corrects each row by its own time")
	}
	for _, name := range []string{"table", "column"} {
		if c.String(name) == "" {
			return "", usageError("--format %s needs --%s NAME", format, name)
		}
	}
	return format, nil
}

// constantsText writes the constants in a format.
func constantsText(c *cli.Context, m *reports.MeterConstants, format string, at time.Time) (string, error) {
	switch format {
	case formatC:
		r, err := m.At(at)
		if err != nil {
			return "", err
		}
		m.Warnings = r.Warnings
		return m.C(at)
	case formatJSON:
		r, err := m.At(at)
		if err != nil {
			return "", err
		}
		m.Warnings = r.Warnings
		var text strings.Builder
		err = reports.WriteJSON(&text, r)
		return text.String(), err
	}
	log, err := logTable(c)
	if err != nil {
		return "", err
	}
	if log.TempColumn != "" && !m.Probe.Conversion.NeedsTemperature() {
		m.Notes = append(m.Notes, "--temp is not used: no compensation is changed")
	}
	return m.SQL(strings.TrimPrefix(format, sqlFormat), log)
}

// logTable is the table of readings that was named. Times without a zone are
// in UTC unless --time-zone names another, since a script is run anywhere.
func logTable(c *cli.Context) (reports.LogTable, error) {
	log := reports.LogTable{
		Table: c.String("table"), Column: c.String("column"), TimeColumn: c.String("time-column"), TempColumn: c.String("temp"),
		View: c.String("view"), Constants: c.String("constants-table"), UnixTime: c.Bool("unix-time"),
	}
	if log.TimeColumn == "" {
		log.TimeColumn = "time"
	}
	if !isGiven(c, "time-zone") {
		return log, nil
	}
	zone, err := timeZone(c)
	if err != nil {
		return log, err
	}
	if zone == time.Local {
		return log, usageError("--time-zone local: a script may run on another machine; name the zone, such as Europe/Vienna")
	}
	log.Zone = zone.String()
	return log, nil
}
