package main

import (
	"context"
	"database/sql"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/testdata/engines/cases"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// open gives one connection to a database in memory, in an odd time zone of its
// own, which must not matter.
func open(t *testing.T) *sql.Conn {
	t.Helper()
	db, err := sql.Open("duckdb", "")
	require.NoError(t, err)
	conn, err := db.Conn(context.Background())
	require.NoError(t, err)
	t.Cleanup(func() { conn.Close(); db.Close() })
	_, err = conn.ExecContext(context.Background(), "SET TimeZone = 'America/St_Johns'")
	require.NoError(t, err)
	return conn
}

func quoted(name string) string { return `"` + strings.ReplaceAll(name, `"`, `""`) + `"` }

func stamp(at time.Time) string {
	return at.UTC().Format("'2006-01-02 15:04:05.999999'")
}

// viennese writes a time as clocks in Vienna show it, and "" in the hours that
// they show twice.
func viennese(at time.Time) string {
	vienna, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		panic(err)
	}
	const layout = "'2006-01-02 15:04:05.999999'"
	text := at.In(vienna).Format(layout)
	for _, shift := range []time.Duration{-time.Hour, time.Hour} {
		if at.Add(shift).In(vienna).Format(layout) == text {
			return ""
		}
	}
	return text
}

func withZone(at time.Time) string { return "'" + at.Format(time.RFC3339Nano) + "'" }

func unixSeconds(at time.Time) string {
	return fmt.Sprintf("%d.%06d", at.Unix(), at.Nanosecond()/1000)
}

func orNull(x float64) string {
	if math.IsNaN(x) {
		return "NULL"
	}
	return strconv.FormatFloat(x, 'e', -1, 64)
}

func viewOf(log reports.LogTable) string {
	if log.View != "" {
		return log.View
	}
	return log.Table + "_" + log.Column + "_corrected"
}

func TestDuckDBAgreesWithTheCorrector(t *testing.T) {
	all, err := cases.All(time.Microsecond)
	require.NoError(t, err)
	for _, log := range []struct {
		name, types, zone string
		unix              bool
		time              func(time.Time) string
	}{
		{"timestamps with a zone", "id INTEGER, t TIMESTAMPTZ, x DOUBLE, c DOUBLE", "", false, withZone},
		{"timestamps without", "id INTEGER, t TIMESTAMP, x DOUBLE, c DOUBLE", "", false, stamp},
		{"nanoseconds", "id INTEGER, t TIMESTAMP_NS, x DOUBLE, c DOUBLE", "UTC", false, stamp},
		{"timestamps of Vienna", "id INTEGER, t TIMESTAMP, x DOUBLE, c DOUBLE", "Europe/Vienna", false, viennese},
		{"with a zone, though one is named", "id INTEGER, t TIMESTAMPTZ, x DOUBLE, c DOUBLE", "Europe/Vienna", false, withZone},
		{"Unix seconds", "id INTEGER, t DOUBLE, x DOUBLE, c DOUBLE", "", true, unixSeconds},
		{"exact Unix seconds", "id INTEGER, t DECIMAL(18, 6), x DOUBLE, c DOUBLE", "", true, unixSeconds},
	} {
		t.Run(log.name, func(t *testing.T) {
			flags := map[string]int{}
			for _, c := range all {
				conn := open(t)
				run := func(text string) {
					_, err := conn.ExecContext(context.Background(), text)
					require.NoError(t, err, "%s: %.2000s", c.Name, text)
				}
				c.Log.Zone, c.Log.UnixTime = log.zone, log.unix
				script, err := c.Meter.SQL("duckdb", c.Log)
				require.NoError(t, err, c.Name)
				table := quoted(c.Log.Table)
				run("CREATE TABLE " + table + " (" + log.types + ")")
				for old, name := range map[string]string{"t": c.Log.TimeColumn, "x": c.Log.Column, "c": c.Log.TempColumn} {
					run("ALTER TABLE " + table + " RENAME COLUMN " + old + " TO " + quoted(name))
				}
				var rows []cases.Row
				var values []string
				for _, row := range c.Rows {
					if at := log.time(row.Time); at != "" {
						values = append(values, fmt.Sprintf("(%d, %s, %s, %s)", len(rows), at, orNull(row.Reading), orNull(row.TempC)))
						rows = append(rows, row)
					}
				}
				run("INSERT INTO " + table + " VALUES " + strings.Join(values, ", "))
				run(script)
				run(script) // once more: it takes the place of itself
				got, err := conn.QueryContext(context.Background(), "SELECT * FROM "+quoted(viewOf(c.Log))+" ORDER BY id")
				require.NoError(t, err, c.Name)
				columns, err := got.Columns()
				require.NoError(t, err)
				require.Equal(t, []string{"id", c.Log.TimeColumn, c.Log.Column, c.Log.TempColumn, c.Log.Column + "_corrected", c.Log.Column + "_u", c.Log.Column + "_flag"}, columns)
				n := 0
				for ; got.Next(); n++ {
					var skip [4]any
					var value, u *float64
					var flag string
					require.NoError(t, got.Scan(&skip[0], &skip[1], &skip[2], &skip[3], &value, &u, &flag))
					assert.NoError(t, rows[n].Compare(value, u, flag), c.Name)
					flags[flag]++
				}
				require.NoError(t, got.Err())
				require.Equal(t, len(rows), n, "%s: no row is lost or doubled", c.Name)
			}
			for _, flag := range []string{"", "blank", "before-calibration", "out-of-range", "stale"} {
				assert.Greater(t, flags[flag], 20, "rows flagged %q", flag)
			}
		})
	}
}

// What no program of ours logs, but a database can hold.
func TestDuckDBFlagsOddRows(t *testing.T) {
	all, err := cases.All(time.Second)
	require.NoError(t, err)
	require.Equal(t, "two calibrations", all[0].Name)
	script, err := all[0].Meter.SQL("duckdb", all[0].Log)
	require.NoError(t, err)
	var out strings.Builder
	require.NoError(t, run([]string{"CREATE TABLE log (id INTEGER, time TIMESTAMP, ec DOUBLE)",
		`INSERT INTO log VALUES (0, '2025-01-20', 'NaN'), (1, '2025-01-20', 'Infinity'), (2, '2025-01-20', '-Infinity'), (3, '2025-01-20', 1e300),
			(4, NULL, 1000), (5, '2300-01-01', 1000), (6, '1900-01-01', 1000), (7, '2025-01-20', NULL), (8, '2025-01-20', 1000)`,
		script, "SELECT ec_corrected IS NULL, ec_u IS NULL, ec_flag FROM log_ec_corrected ORDER BY id"}, &out))
	assert.Equal(t, "true,true,not-a-number\ntrue,true,not-a-number\ntrue,true,not-a-number\ntrue,true,not-a-number\n"+
		"true,true,blank\ntrue,true,blank\ntrue,true,before-calibration\ntrue,true,blank\nfalse,false,\n", out.String())
}

// A table may be a file, which DuckDB reads in place.
func TestDuckDBCorrectsAFileInPlace(t *testing.T) {
	all, err := cases.All(time.Second)
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	log := all[0].Log
	log.Table, log.View = "log.parquet", "corrected"
	script, err := all[0].Meter.SQL("duckdb", log)
	require.NoError(t, err)
	var out strings.Builder
	require.NoError(t, run([]string{"COPY (SELECT TIMESTAMP '2025-01-11 00:00:01' AS time, 1000.0 AS ec) TO 'log.parquet'", script, "SELECT ec_flag, round(ec_corrected, 1) FROM corrected"}, &out))
	assert.Equal(t, ",1017.5\n", out.String(), "-3.5 + 1.021 · 1000 on the day of the calibration")
}

func TestWrongStatements(t *testing.T) {
	var out strings.Builder
	assert.ErrorContains(t, run(nil, &out), "want SQL")
	assert.ErrorContains(t, run([]string{"SELEC 1"}, &out), "argument 1")
	assert.ErrorContains(t, run([]string{"SELEC 1", "SELECT 1"}, &out), "argument 1")
	assert.Empty(t, out.String())
}
