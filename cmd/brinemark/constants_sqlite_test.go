package main

import (
	"database/sql"
	"math"
	"strconv"
	"testing"
	"time"

	"github.com/brinemark/brinemark/testdata/engines/cases"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	_ "modernc.org/sqlite"
)

// How a log may keep times and numbers in SQLite, where a column holds anything.
var sqliteLogs = []struct {
	name, types string
	step        time.Duration
	time        func(time.Time) any
	number      func(float64) any
}{
	{"texts of times", "id INTEGER, t TEXT, x REAL, c REAL", time.Millisecond,
		func(t time.Time) any { return t.UTC().Format("2006-01-02T15:04:05.000Z") }, func(x float64) any { return x }},
	{"texts with an offset, texts of numbers", "id INTEGER, t TEXT, x TEXT, c TEXT", time.Millisecond,
		func(t time.Time) any {
			return t.In(time.FixedZone("", -5*3600-30*60)).Format("2006-01-02 15:04:05.000-07:00")
		},
		func(x float64) any { return strconv.FormatFloat(x, 'f', -1, 64) }},
	{"Unix seconds", "id INTEGER, t REAL, x, c", 10 * time.Microsecond,
		func(t time.Time) any { return float64(t.UnixMicro()) / 1e6 }, func(x float64) any { return x }},
	{"texts of Unix seconds", "id INTEGER, t TEXT, x, c", time.Second,
		func(t time.Time) any { return strconv.FormatInt(t.Unix(), 10) }, func(x float64) any { return x }},
}

func TestSQLiteAgreesWithTheCorrector(t *testing.T) {
	for _, log := range sqliteLogs {
		t.Run(log.name, func(t *testing.T) {
			all, err := cases.All(log.step)
			require.NoError(t, err)
			flags := map[string]int{}
			for _, c := range all {
				script, err := c.Meter.SQL("sqlite", c.Log)
				require.NoError(t, err, c.Name)
				db := inMemory(t)
				run := func(text string, args ...any) {
					_, err := db.Exec(text, args...)
					require.NoError(t, err, "%s: %s", c.Name, text)
				}
				table := quoted(c.Log.Table)
				run("CREATE TABLE " + table + " (" + log.types + ")")
				for old, name := range map[string]string{"t": c.Log.TimeColumn, "x": c.Log.Column, "c": c.Log.TempColumn} {
					run("ALTER TABLE " + table + " RENAME COLUMN " + old + " TO " + quoted(name))
				}
				cell := func(x float64) any {
					if math.IsNaN(x) {
						return nil
					}
					return log.number(x)
				}
				tx, err := db.Begin()
				require.NoError(t, err)
				for i, row := range c.Rows {
					_, err := tx.Exec("INSERT INTO "+table+" VALUES (?, ?, ?, ?)", i, log.time(row.Time), cell(row.Reading), cell(row.TempC))
					require.NoError(t, err)
				}
				require.NoError(t, tx.Commit())
				run(script)
				run(script) // once more: it takes the place of itself
				rows, err := db.Query("SELECT * FROM " + quoted(viewOf(c.Log)) + " ORDER BY id")
				require.NoError(t, err)
				columns, err := rows.Columns()
				require.NoError(t, err)
				require.Equal(t, []string{"id", c.Log.TimeColumn, c.Log.Column, c.Log.TempColumn, c.Log.Column + "_corrected", c.Log.Column + "_u", c.Log.Column + "_flag"}, columns)
				n := 0
				for ; rows.Next(); n++ {
					var skip [4]any
					var value, u *float64
					var flag string
					require.NoError(t, rows.Scan(&skip[0], &skip[1], &skip[2], &skip[3], &value, &u, &flag))
					assert.NoError(t, c.Rows[n].Compare(value, u, flag), c.Name)
					flags[flag]++
				}
				require.NoError(t, rows.Err())
				require.Equal(t, len(c.Rows), n, "%s: no row is lost or doubled", c.Name)
				require.NoError(t, db.Close())
			}
			for _, flag := range []string{"", "blank", "before-calibration", "out-of-range", "stale"} {
				assert.Greater(t, flags[flag], 50, "rows flagged %q", flag)
			}
		})
	}
}

// inMemory is a database of one connection.
func inMemory(t *testing.T) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", ":memory:")
	require.NoError(t, err)
	db.SetMaxOpenConns(1)
	t.Cleanup(func() { db.Close() })
	return db
}

// What a column of SQLite can hold beside numbers and times: nothing of it turns
// into a number unnoticed.
func TestSQLiteFlagsOddRows(t *testing.T) {
	c := aCase(t, "two calibrations")
	text, err := c.Meter.SQL("sqlite", c.Log)
	require.NoError(t, err)
	db := inMemory(t)
	_, err = db.Exec("CREATE TABLE log (time, ec);" + text)
	require.NoError(t, err)
	for _, row := range []struct{ time, reading, flag string }{
		{"'2025-01-20T00:00:00Z'", "1000", ""}, {"'2025-01-20'", "' 1e3 '", ""}, {"1737331200", "'1000.0'", ""}, {"'1737331200'", "'+1000'", ""},
		{"'2025-01-20'", "'abc'", "not-a-number"}, {"'2025-01-20'", "'12abc'", "not-a-number"}, {"'2025-01-20'", "'1,000'", "not-a-number"},
		{"'2025-01-20'", "'0x10'", "not-a-number"}, {"'2025-01-20'", "9e999", "not-a-number"}, {"'2025-01-20'", "'-inf'", "not-a-number"}, {"'2025-01-20'", "x'31'", "not-a-number"},
		{"'2025-01-20'", "''", "blank"}, {"'2025-01-20'", "'  '", "blank"}, {"'2025-01-20'", "NULL", "blank"},
		{"NULL", "1000", "blank"}, {"''", "1000", "blank"}, {"'yesterday'", "1000", "blank"}, {"1737331200000", "1000", "blank"}, {"9e999", "1000", "blank"},
		{"-9e999", "1000", "before-calibration"},
	} {
		_, err := db.Exec("DELETE FROM log; INSERT INTO log VALUES (" + row.time + ", " + row.reading + ")")
		require.NoError(t, err)
		var value, u *float64
		var flag string
		require.NoError(t, db.QueryRow("SELECT ec_corrected, ec_u, ec_flag FROM log_ec_corrected").Scan(&value, &u, &flag), "%v", row)
		assert.Equal(t, row.flag, flag, "%v", row)
		assert.Equal(t, row.flag == "", value != nil && u != nil, "%v", row)
		if value != nil {
			assert.InDelta(t, 1023.2, *value, 3, "%v", row)
		}
	}
}

// A temperature that is needed and is no number is told from one that is not
// there, and from one that no compensation takes.
func TestSQLiteFlagsOddTemperatures(t *testing.T) {
	calibration := aCalibration(t, "ec.json", "ec", "2025-01-01", "as-found", 0, 1.1)
	r := invoke("constants", "--calibration", calibration, "--compensation", "none", "--format", "sql-sqlite", "--table", "log", "--column", "ec", "--temp", "water")
	require.Equal(t, statusDone, r.status, r.stderr)
	db := inMemory(t)
	_, err := db.Exec("CREATE TABLE log (time, ec, water);" + r.stdout)
	require.NoError(t, err)
	for _, row := range []struct{ temp, flag string }{
		{"25", ""}, {"'25.0'", ""}, {"' 25 '", ""}, {"NULL", "blank"}, {"''", "blank"}, {"' '", "blank"}, {"99", "blank"}, {"'-40'", "blank"},
		{"'abc'", "not-a-number"}, {"'25 C'", "not-a-number"}, {"'nan'", "not-a-number"}, {"'25,0'", "not-a-number"},
	} {
		_, err := db.Exec("DELETE FROM log; INSERT INTO log VALUES ('2025-01-20', 600, " + row.temp + ")")
		require.NoError(t, err)
		var value *float64
		var flag string
		require.NoError(t, db.QueryRow("SELECT ec_corrected, ec_flag FROM log_ec_corrected").Scan(&value, &flag), "%v", row)
		assert.Equal(t, row.flag, flag, "%v", row)
		assert.Equal(t, row.flag == "", value != nil, "%v", row)
	}
}

// quoted is a name of SQL, as an engine's manual has it.
func quoted(name string) string {
	text := `"`
	for _, r := range name {
		if r == '"' {
			text += `"`
		}
		text += string(r)
	}
	return text + `"`
}
