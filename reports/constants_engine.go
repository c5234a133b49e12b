package reports

import (
	"fmt"
	"strings"
)

// sqlEngine is in what an engine of SQL differs from the others. Functions take
// and return expressions.
type sqlEngine struct {
	name, title string
	escapes     bool // a backslash in a text may be an escape
	keys        bool // the calibration table has a key
	mostName    int  // bytes of a name; 0 for any

	number       func(column string) string                        // as a double
	isNumber     func(column string) string                        // true, or else false or NULL
	isBlank      func(column string) string                        // true or false
	microseconds func(column string, log LogTable) (string, error) // since 1970
	larger       string                                            // the function of the larger of two numbers
	createView   func(name string) string
	notANumber   string // what the flag of that name is for
	remarks      func(LogTable) []string
}

// Engines are the engines that [MeterConstants.SQL] writes for.
func Engines() []string {
	var names []string
	for _, e := range engines {
		names = append(names, e.name)
	}
	return names
}

// mostReading is more than any reading: what is larger is taken for no number,
// since its square may be none.
const mostReading = "1e100"

var engines = []sqlEngine{sqliteEngine, postgreSQLEngine, duckDBEngine}

// isUTC is true for a name that stands for UTC.
func isUTC(zone string) bool { return zone == "" || strings.EqualFold(zone, "UTC") }

// In SQLite a column may hold anything. A text that is a number through and
// through equals its own cast; another one does not.
var sqliteEngine = sqlEngine{
	name: "sqlite", title: "SQLite", keys: true,
	number:   func(c string) string { return fmt.Sprintf("CAST(%s AS REAL)", c) },
	isNumber: func(c string) string { return fmt.Sprintf("CAST(%s AS NUMERIC) = %s", c, c) },
	isBlank:  func(c string) string { return fmt.Sprintf("%s IS NULL OR trim(%s) = ''", c, c) },
	microseconds: func(c string, log LogTable) (string, error) {
		if !isUTC(log.Zone) {
			return "", fmt.Errorf("SQLite knows no time zone %.40q: want times in UTC, with an offset such as +02:00, or in Unix seconds", log.Zone)
		}
		// The Julian day is kept in whole milliseconds, of which the double
		// that julianday returns shows each.
		return fmt.Sprintf("CASE WHEN CAST(%s AS NUMERIC) = %s THEN CAST(round(%s * 1e6) AS INTEGER)\n      ELSE 1000 * CAST(round((julianday(%s) - 2440587.5) * 8.64e7) AS INTEGER) END", c, c, c, c), nil
	},
	larger:     "max",
	createView: func(name string) string { return fmt.Sprintf("DROP VIEW IF EXISTS %s;\n\nCREATE VIEW %s", name, name) },
	notANumber: "another text than a number",
	remarks: func(LogTable) []string {
		return []string{
			"Times are Unix seconds, or texts as SQLite reads them: 2026-03-01T08:30:00Z, or with",
			"an offset; one without either is UTC. Texts are read to a millisecond.",
			"Needs SQLite 3.35 or later with its mathematical functions.",
		}
	},
}

var postgreSQLEngine = sqlEngine{
	name: "postgresql", title: "PostgreSQL", escapes: true, keys: true, mostName: 63,
	number:  func(c string) string { return c + "::double precision" },
	isBlank: func(c string) string { return c + " IS NULL" },
	microseconds: func(c string, log LogTable) (string, error) {
		seconds := fmt.Sprintf("extract(epoch FROM %s)", c)
		if log.UnixTime {
			seconds = c
		} else if !isUTC(log.Zone) {
			zone, err := sqlText(log.Zone, true)
			if err != nil {
				return "", err
			}
			seconds = fmt.Sprintf("extract(epoch FROM CASE WHEN pg_typeof(%s) = 'timestamptz'::regtype THEN %s::timestamptz\n      ELSE %s::timestamp AT TIME ZONE %s END)", c, c, c, zone)
		}
		return fmt.Sprintf("round(%s::double precision * 1e6)", seconds), nil
	},
	larger:     "greatest",
	createView: func(name string) string { return "CREATE OR REPLACE VIEW " + name },
	notANumber: "NaN, or without an end",
	remarks:    typedRemarks,
}

var duckDBEngine = sqlEngine{
	name: "duckdb", title: "DuckDB",
	number:  func(c string) string { return fmt.Sprintf("CAST(%s AS DOUBLE)", c) },
	isBlank: func(c string) string { return c + " IS NULL" },
	microseconds: func(c string, log LogTable) (string, error) {
		switch {
		case log.UnixTime:
			return fmt.Sprintf("CAST(round(%s * 1e6) AS BIGINT)", c), nil
		case isUTC(log.Zone):
			return fmt.Sprintf("epoch_us(%s)", c), nil
		}
		zone, err := sqlText(log.Zone, false)
		if err != nil {
			return "", err
		}
		return fmt.Sprintf("CASE WHEN typeof(%s) = 'TIMESTAMP WITH TIME ZONE' THEN epoch_us(%s)\n      ELSE epoch_us(CAST(%s AS TIMESTAMP) AT TIME ZONE %s) END", c, c, c, zone), nil
	},
	larger:     "greatest",
	createView: func(name string) string { return "CREATE OR REPLACE VIEW " + name },
	notANumber: "NaN, or without an end",
	remarks:    typedRemarks,
}

// typedRemarks are for engines whose columns have types.
func typedRemarks(log LogTable) []string {
	zone := "UTC"
	if log.Zone != "" {
		zone = commentText(log.Zone)
	}
	times := []string{"Times are timestamps; those without a time zone are in " + zone + "."}
	if log.UnixTime {
		times = []string{"Times are Unix seconds."}
	}
	return append(times,
		"Readings and temperatures are numbers: give columns of text a type first.",
		"Run it where the table of readings is found by its name alone (search_path, USE).")
}
