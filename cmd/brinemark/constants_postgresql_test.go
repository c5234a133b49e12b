package main

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/testdata/engines/cases"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// skipWithout skips a test whose part is missing, or fails it where nothing may
// be skipped.
func skipWithout(t *testing.T, what string) {
	t.Helper()
	if os.Getenv("BRINEMARK_REQUIRE_ALL") != "" {
		require.FailNow(t, what+", and BRINEMARK_REQUIRE_ALL lets nothing be skipped")
	}
	t.Skip(what)
}

// psql runs a script on the server of the tests, with options of the server, and
// returns what it prints. The server's own time zone is an odd one, which must not
// matter.
func psql(t *testing.T, script string, options ...string) string {
	t.Helper()
	address := os.Getenv("BRINEMARK_TEST_POSTGRES")
	if address == "" {
		skipWithout(t, "BRINEMARK_TEST_POSTGRES names no PostgreSQL server for the tests; \".ci/postgresql start NAME\" starts one")
	}
	program, err := exec.LookPath("psql")
	if err != nil {
		skipWithout(t, "psql, PostgreSQL's client, is not installed")
	}
	command := exec.Command(program, address, "-X", "-q", "-v", "ON_ERROR_STOP=1")
	command.Env = append(os.Environ(), "PGOPTIONS=-c client_min_messages=warning -c timezone=America/St_Johns "+strings.Join(options, " "))
	command.Stdin = strings.NewReader(script)
	var stdout, stderr strings.Builder
	command.Stdout, command.Stderr = &stdout, &stderr
	require.NoError(t, command.Run(), stderr.String())
	require.Empty(t, stderr.String())
	return stdout.String()
}

// schema is a place of its own for the tables of a test.
func schema(t *testing.T) string {
	t.Helper()
	name := fmt.Sprintf("test_%d_%d", os.Getpid(), time.Now().UnixNano())
	psql(t, "CREATE SCHEMA "+name+";")
	t.Cleanup(func() { psql(t, "DROP SCHEMA "+name+" CASCADE;") })
	return "SET search_path = " + name + ";\n"
}

// How a log may keep times and numbers in PostgreSQL.
var postgreSQLLogs = []struct {
	name, types string
	zone        string
	unix        bool
	time        func(*testing.T) func(time.Time) string
	options     []string
}{
	{name: "timestamps with a zone", types: "id integer, t timestamptz, x double precision, c double precision", time: withZone},
	{name: "timestamps without", types: "id integer, t timestamp, x numeric, c real", time: wallClock("UTC")},
	{name: "timestamps of Vienna", types: "id integer, t timestamp, x double precision, c numeric", zone: "Europe/Vienna", time: wallClock("Europe/Vienna")},
	{name: "with a zone, though one is named", types: "id integer, t timestamptz, x numeric, c double precision", zone: "Europe/Vienna", time: withZone},
	{name: "Unix seconds", types: "id integer, t double precision, x double precision, c double precision", unix: true, time: unixSeconds,
		options: []string{"-c standard_conforming_strings=off", "-c escape_string_warning=off"}}, // a backslash is an escape then
	{name: "exact Unix seconds", types: "id integer, t numeric, x double precision, c double precision", unix: true, time: unixSeconds},
}

func withZone(*testing.T) func(time.Time) string {
	return func(t time.Time) string { return t.Format(time.RFC3339Nano) }
}

func unixSeconds(*testing.T) func(time.Time) string {
	return func(t time.Time) string { return fmt.Sprintf("%d.%06d", t.Unix(), t.Nanosecond()/1000) }
}

// wallClock writes a time as the clock on a wall in a zone shows it, and "" in
// the hours that it shows twice.
func wallClock(zone string) func(*testing.T) func(time.Time) string {
	return func(t *testing.T) func(time.Time) string {
		location, err := time.LoadLocation(zone)
		require.NoError(t, err)
		return func(at time.Time) string {
			const layout = "2006-01-02 15:04:05.999999"
			text := at.In(location).Format(layout)
			for _, shift := range []time.Duration{-time.Hour, time.Hour} {
				if at.Add(shift).In(location).Format(layout) == text {
					return ""
				}
			}
			return text
		}
	}
}

func TestPostgreSQLAgreesWithTheCorrector(t *testing.T) {
	all, err := cases.All(time.Microsecond)
	require.NoError(t, err)
	for _, log := range postgreSQLLogs {
		t.Run(log.name, func(t *testing.T) {
			var script strings.Builder
			script.WriteString(schema(t))
			var rows []cases.Row
			var names []string
			clock := log.time(t)
			for _, c := range all {
				c.Log.Zone, c.Log.UnixTime = log.zone, log.unix
				text, err := c.Meter.SQL("postgresql", c.Log)
				require.NoError(t, err, c.Name)
				table := quoted(c.Log.Table)
				fmt.Fprintf(&script, "DROP TABLE IF EXISTS %s CASCADE;\nCREATE TABLE %s (%s);\n", table, table, log.types)
				for old, name := range map[string]string{"t": c.Log.TimeColumn, "x": c.Log.Column, "c": c.Log.TempColumn} {
					fmt.Fprintf(&script, "ALTER TABLE %s RENAME COLUMN %s TO %s;\n", table, old, quoted(name))
				}
				fmt.Fprintf(&script, "COPY %s FROM STDIN (FORMAT csv);\n", table)
				for _, row := range c.Rows {
					if strings.Contains(log.types, "c real") && float64(float32(row.TempC)) != row.TempC {
						continue // the column cannot hold it
					}
					if at := clock(row.Time); at != "" {
						fmt.Fprintf(&script, "%d,%s,%s,%s\n", len(rows), at, orNothing(row.Reading), orNothing(row.TempC))
						rows, names = append(rows, row), append(names, c.Name)
					}
				}
				fmt.Fprintf(&script, "\\.\n%s%sCOPY (SELECT id, %s, %s, %s FROM %s ORDER BY id) TO STDOUT (FORMAT csv);\n", text, text, // once more: it takes the place of itself
					quoted(c.Log.Column+"_corrected"), quoted(c.Log.Column+"_u"), quoted(c.Log.Column+"_flag"), quoted(viewOf(c.Log)))
			}
			got, err := csv.NewReader(strings.NewReader(psql(t, script.String(), log.options...))).ReadAll()
			require.NoError(t, err)
			require.Len(t, got, len(rows), "no row is lost or doubled")
			flags := map[string]int{}
			for i, line := range got {
				require.Equal(t, strconv.Itoa(i), line[0], names[i])
				assert.NoError(t, rows[i].Compare(numberOrNil(t, line[1]), numberOrNil(t, line[2]), line[3]), names[i])
				flags[line[3]]++
			}
			for _, flag := range []string{"", "blank", "before-calibration", "out-of-range", "stale"} {
				assert.Greater(t, flags[flag], 20, "rows flagged %q", flag)
			}
		})
	}
}

// What no Go program logs, but a database can hold.
func TestPostgreSQLFlagsOddRows(t *testing.T) {
	c := aCase(t, "two calibrations")
	text, err := c.Meter.SQL("postgresql", c.Log)
	require.NoError(t, err)
	script := schema(t) + `CREATE TABLE log (id integer, time timestamptz, ec double precision);
		INSERT INTO log VALUES (0, '2025-01-20', 'NaN'), (1, '2025-01-20', 'Infinity'), (2, '2025-01-20', '-Infinity'), (3, '2025-01-20', 1e300),
			(4, NULL, 1000), (5, 'infinity', 1000), (6, '-infinity', 1000), (7, '2300-01-01', 1000), (8, '2025-01-20', NULL), (9, '2025-01-20', 1000);` +
		text + "SELECT ec_corrected IS NULL, ec_u IS NULL, ec_flag FROM log_ec_corrected ORDER BY id \\g (format=unaligned tuples_only=on)\n"
	assert.Equal(t, []string{"t|t|not-a-number", "t|t|not-a-number", "t|t|not-a-number", "t|t|not-a-number",
		"t|t|blank", "t|t|blank", "t|t|before-calibration", "t|t|blank", "t|t|blank", "f|f|"}, strings.Split(strings.TrimSpace(psql(t, script)), "\n"))
}

// aCase is the case of a name.
func aCase(t *testing.T, name string) cases.Case {
	t.Helper()
	all, err := cases.All(time.Second)
	require.NoError(t, err)
	for _, c := range all {
		if c.Name == name {
			return c
		}
	}
	require.FailNow(t, "no case is called "+name)
	return cases.Case{}
}

// viewOf is what the view of a log is called.
func viewOf(log reports.LogTable) string {
	if log.View != "" {
		return log.View
	}
	return log.Table + "_" + log.Column + "_corrected"
}

func orNothing(x float64) string {
	if math.IsNaN(x) {
		return ""
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

func numberOrNil(t *testing.T, text string) *float64 {
	t.Helper()
	if text == "" {
		return nil
	}
	x, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return &x
}
