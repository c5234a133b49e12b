package reports

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/series"
)

// LogTable is a table of readings in a database, and what the result is to be
// called.
type LogTable struct {
	Table, TimeColumn, Column string
	TempColumn                string // "" where no temperature is needed
	View                      string // "" for TABLE_COLUMN_corrected
	Constants                 string // the calibration table; "" for brinemark_calibration
	UnixTime                  bool   // its times are Unix seconds
	Zone                      string // of times without one; "" or UTC, or a name such as Europe/Vienna
}

// DefaultConstantsTable is what the calibration table is called unless told
// otherwise.
const DefaultConstantsTable = "brinemark_calibration"

// SQL writes a script for an engine (see [Engines]): a table of the pieces of
// the timeline, and a view of a table of readings with the corrected value, its
// standard uncertainty and a flag beside each row. It can be run again.
func (m *MeterConstants) SQL(engine string, log LogTable) (string, error) {
	i := slices.IndexFunc(engines, func(e sqlEngine) bool { return e.name == engine })
	if i < 0 {
		return "", fmt.Errorf("%q is no engine; want one of %s", engine, strings.Join(Engines(), ", "))
	}
	s := script{engine: engines[i], meter: m, probe: m.Probe}
	if err := s.name(log); err != nil {
		return "", err
	}
	if err := s.expressions(log); err != nil {
		return "", err
	}
	s.opening(log)
	s.table()
	s.view()
	return s.text.String(), nil
}

// script is a script in the making. Names in it are quoted.
type script struct {
	engine sqlEngine
	meter  *MeterConstants
	probe  *series.Probe
	text   strings.Builder

	key                           string // the meter's name, as a text
	constants, table_, view_      string
	corrected, uncertainty, flag_ string
	time, column                  string // with the table before them
	temp                          string

	// Expressions of a row of the log and the piece p.
	us, reading, tempC, isNumber, isTemp string
	days, shown, ratio                   string // ratio is a number and " * ", or nothing
	logSlope                             string // of the ratio's logarithm by the temperature; "" for none
}

// name quotes all names, and refuses those that the engine would not keep.
func (s *script) name(log LogTable) (err error) {
	quote := func(name, what string) string {
		if err != nil {
			return ""
		}
		var quoted string
		if quoted, err = sqlName(name); err == nil && s.engine.mostName > 0 && len(name) > s.engine.mostName {
			err = fmt.Errorf("%.40q... has %d bytes, and %s cuts names at %d", name, len(name), s.engine.title, s.engine.mostName)
		}
		if err != nil {
			err = fmt.Errorf("%s: %w", what, err)
		}
		return quoted
	}
	if log.View == "" {
		log.View = log.Table + "_" + log.Column + series.CorrectedEnding
	}
	if log.Constants == "" {
		log.Constants = DefaultConstantsTable
	}
	s.table_ = quote(log.Table, "the table of readings")
	s.view_ = quote(log.View, "the view")
	s.constants = quote(log.Constants, "the calibration table")
	s.time = "l." + quote(log.TimeColumn, "the column of times")
	s.column = "l." + quote(log.Column, "the column of readings")
	s.corrected = quote(log.Column+series.CorrectedEnding, "the column of the corrected value")
	s.uncertainty = quote(log.Column+series.UncertaintyEnding, "the column of its uncertainty")
	s.flag_ = quote(log.Column+series.FlagEnding, "the column of its flag")
	if log.TempColumn != "" {
		s.temp = "l." + quote(log.TempColumn, "the column of temperatures")
	}
	if err != nil {
		return err
	}
	for _, pair := range [][2]string{{log.View, log.Table}, {log.View, log.Constants}, {log.Table, log.Constants}} {
		if strings.EqualFold(pair[0], pair[1]) {
			return fmt.Errorf("%.60q is the name of two things; want a name each for the table of readings, the calibration table and the view", pair[0])
		}
	}
	if s.probe.Conversion.NeedsTemperature() && log.TempColumn == "" {
		return fmt.Errorf("the meter's compensation (%s) is to be changed to %s, and no column of the temperature is named",
			newRuleApplied(s.probe.Conversion.Does).text(), newRuleApplied(s.probe.Conversion.Wanted).text())
	}
	s.key, err = sqlText(s.meter.Meter, s.engine.escapes)
	if err != nil {
		return fmt.Errorf("the meter's name: %w", err)
	}
	return nil
}

// Times in SQL are whole microseconds since 1970. None of a log lies as late as
// the end of the last piece (2201-01-01).
const endOfTime = 7289654400000000

// microseconds is a time of Unix nanoseconds, rounded up: a time in whole
// microseconds is as late as it exactly where it is as late as the time itself.
func microseconds(ns int64) int64 {
	if ns == series.Ever {
		return endOfTime
	}
	us := ns / 1000
	if us*1000 < ns {
		us++
	}
	return us
}

// sqlNumber writes a number so that every engine reads back the same; NULL where
// there is none.
func sqlNumber(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "NULL"
	}
	return strconv.FormatFloat(x, 'e', -1, 64)
}

func (s *script) printf(format string, args ...any) { fmt.Fprintf(&s.text, format, args...) }

func (s *script) opening(log LogTable) {
	p := s.probe
	s.printf("-- Correction of the readings of meter %s for %s.\n", commentText(s.meter.Meter), s.engine.title)
	s.printf("-- Made by brinemark constants; make it anew, and run it again, after a calibration.\n--\n")
	s.printf("-- The calibration table has a row for each piece of the meter's timeline: from\n")
	s.printf("-- from_us up to to_us (microseconds since 1970-01-01 UTC) intercept and slope move\n")
	s.printf("-- evenly, and their variances as the powers of the days since from_us.\n")
	s.printf("-- The view shows the log with, for each reading, the corrected value, its standard\n")
	s.printf("-- uncertainty (NULL: not known) and a flag: empty where the value can be believed, else\n")
	s.printf("--   blank               no reading%s, or no time that can be read\n", map[bool]string{true: ", no temperature that the compensation takes"}[p.Conversion.NeedsTemperature()])
	s.printf("--   not-a-number        %s\n", s.engine.notANumber)
	s.printf("--   before-calibration  no calibration applies at that time\n")
	s.printf("--   out-of-range        outside what the meter can show, or was calibrated for\n")
	s.printf("--   stale               too long after the last calibration\n")
	s.printf("-- Probes out of the liquid (dry) are not found here: that needs the rows around one.\n--\n")
	for _, line := range s.engine.remarks(log) {
		s.printf("-- %s\n", line)
	}
	s.printf("\nBEGIN;\n\n")
}

// columns of the calibration table that hold numbers, in order.
var constantsColumns = []string{
	"intercept", "intercept_per_day", "slope", "slope_per_day",
	"var_intercept_0", "var_intercept_1", "var_intercept_2", "var_slope_0", "var_slope_1", "var_slope_2", "cov_0", "cov_1", "cov_2",
	"reading_low", "reading_high",
}

func (s *script) table() {
	s.printf("CREATE TABLE IF NOT EXISTS %s (\n  meter text NOT NULL,\n  from_us bigint NOT NULL,\n  to_us bigint NOT NULL,\n  basis text NOT NULL", s.constants)
	for i, name := range constantsColumns {
		s.printf(",\n  %s double precision", name)
		if i < 4 {
			s.printf(" NOT NULL")
		}
	}
	if s.engine.keys {
		s.printf(",\n  PRIMARY KEY (meter, from_us)")
	}
	s.printf("\n);\n\nDELETE FROM %s WHERE meter = %s;\n\nINSERT INTO %s\n  (meter, from_us, to_us, basis, %s)\nVALUES", s.constants, s.key, s.constants, strings.Join(constantsColumns, ", "))
	separator := ""
	for _, p := range s.probe.Timeline.Pieces() {
		from, to := microseconds(p.From), microseconds(p.To)
		if from >= to {
			continue // too short to hold a microsecond
		}
		until := "on"
		if p.To != series.Ever {
			until = "to " + exactStamp(time.Unix(0, p.To))
		}
		s.printf("%s\n  -- from %s %s\n", separator, exactStamp(time.Unix(0, p.From)), until)
		p = p.Since(1000 * from)
		if !isStated(p) {
			unknown := series.Quadratic{math.NaN(), math.NaN(), math.NaN()}
			p.VarIntercept, p.VarSlope, p.Cov = unknown, unknown, unknown
		}
		values := []float64{p.Intercept, p.InterceptPerDay, p.Slope, p.SlopePerDay}
		values = append(append(append(values, p.VarIntercept[:]...), p.VarSlope[:]...), p.Cov[:]...)
		values = append(values, p.Low, p.High)
		texts := make([]string, len(values))
		for i, x := range values {
			texts[i] = sqlNumber(x)
		}
		s.printf("  (%s, %d, %d, '%s',\n   %s,\n   %s,\n   %s)", s.key, from, to, p.Basis,
			strings.Join(texts[:4], ", "), strings.Join(texts[4:13], ", "), strings.Join(texts[13:], ", "))
		separator = ","
	}
	s.printf(";\n\n")
}
