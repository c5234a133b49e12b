package main

import (
	"database/sql"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	_ "modernc.org/sqlite"
)

// correctInSQL is the same correction as a person would write it for a general
// database engine: from the calibrations, not from anything this program made of
// them. found and left are the lines of a calibration day; c and n the day before
// a row and the one after.
const correctInSQL = `
WITH joined AS (
  SELECT log.line, log.ec, log.water, log.t,
         (SELECT max(t) FROM calibration c WHERE c.t <= log.t) AS t0,
         (SELECT min(t) FROM calibration c WHERE c.t > log.t) AS t1
  FROM log)
SELECT j.line,
  CASE WHEN n.t IS NULL THEN c.left_i + c.left_s * j.ec
       ELSE c.left_i + (n.found_i - c.left_i) * (j.t - c.t) / (n.t - c.t)
          + (c.left_s + (n.found_s - c.left_s) * (j.t - c.t) / (n.t - c.t)) * j.ec END
    * 2.0 / (1 + 0.019 * (j.water - 25)) AS value,
  CASE WHEN n.t IS NULL THEN c.var_i + 2 * j.ec * c.cov + j.ec * j.ec * c.var_s
       ELSE (1 - (j.t - c.t) / (n.t - c.t)) * (c.var_i + 2 * j.ec * c.cov + j.ec * j.ec * c.var_s)
               + (j.t - c.t) / (n.t - c.t)  * (n.var_i + 2 * j.ec * n.cov + j.ec * j.ec * n.var_s)
          + j.ec * j.ec * 4 * (j.t - c.t) * (n.t - j.t) / ((n.t - c.t) * (n.t - c.t)) -- what the line may bend
            * pow(pow(n.found_s - c.left_s, 2) / (4 * min(n.found_s, c.left_s)), 2) END AS variance
FROM joined j JOIN calibration c ON c.t = j.t0 LEFT JOIN calibration n ON n.t = j.t1
ORDER BY j.line`

// The corrected values of a log agree with those of SQLite's arithmetic on the
// same log to 1e-9, its uncertainties to the digits written.
func TestCorrectAgreesWithSQLite(t *testing.T) {
	db, err := sql.Open("sqlite", ":memory:")
	require.NoError(t, err)
	defer db.Close()
	db.SetMaxOpenConns(1)
	_, err = db.Exec(`CREATE TABLE log (line INTEGER, t REAL, ec REAL, water REAL);
		CREATE TABLE calibration (t REAL, found_i REAL, found_s REAL, left_i REAL, left_s REAL, var_i REAL, var_s REAL, cov REAL)`)
	require.NoError(t, err)

	r := rand.New(rand.NewPCG(2026, 8))
	begin := time.Date(2026, 3, 1, 6, 30, 0, 0, time.UTC)
	args := []string{"--compensation", "ec=none", "--temp", "water", "--compensate-by", "linear:1.9%", "--u-temp", "0C",
		"--display", "ec=ppm@0.5", "--unit", "ec=uS/cm", "--dry", "ec=off", "--drift", "ec=0", "--u-reading", "ec=0"}
	for k := range 5 {
		at := begin.Add(time.Duration(k) * (30*24*time.Hour + 17*time.Minute))
		found := [2]float64{r.NormFloat64(), 1 + 0.02*r.NormFloat64()}
		left := found
		args = append(args, "--calibration", "ec="+aCalibration(t, fmt.Sprintf("found%d.json", k), "ec", at.Format(time.RFC3339), "as-found", found[0], found[1]))
		if k%2 == 1 {
			left = [2]float64{r.NormFloat64(), 1}
			args = append(args, "--calibration", "ec="+aCalibration(t, fmt.Sprintf("left%d.json", k), "ec", at.Format(time.RFC3339), "as-left", left[0], left[1]))
		}
		_, err = db.Exec("INSERT INTO calibration VALUES (?, ?, ?, ?, ?, 9.0, 0.0001, -0.024)", float64(at.Unix()), found[0], found[1], left[0], left[1])
		require.NoError(t, err)
	}
	var log strings.Builder
	log.WriteString("time,ec,water\n")
	insert, err := db.Prepare("INSERT INTO log VALUES (?, ?, ?, ?)")
	require.NoError(t, err)
	for i := range 2000 {
		at := begin.Add(time.Duration(i) * 107 * time.Minute)
		ec, water := strconv.FormatFloat(200+1500*r.Float64(), 'f', 1, 64), strconv.FormatFloat(12+15*r.Float64(), 'f', 2, 64)
		fmt.Fprintf(&log, "%s,%s,%s\n", at.Format(time.RFC3339), ec, water)
		ecNumber, _ := strconv.ParseFloat(ec, 64)
		waterNumber, _ := strconv.ParseFloat(water, 64)
		_, err = insert.Exec(i, float64(at.Unix()), ecNumber, waterNumber)
		require.NoError(t, err)
	}
	result := invoke(append([]string{"correct", file(t, "log.csv", log.String())}, args...)...)
	require.Equal(t, statusDone, result.status, result.stderr)
	ours, err := csv.NewReader(strings.NewReader(result.stdout)).ReadAll()
	require.NoError(t, err)

	rows, err := db.Query(correctInSQL)
	require.NoError(t, err)
	defer rows.Close()
	n, after := 0, 0
	for rows.Next() {
		var line int
		var value, variance float64
		require.NoError(t, rows.Scan(&line, &value, &variance))
		row := ours[line+1]
		got, err := strconv.ParseFloat(row[3], 64)
		require.NoError(t, err)
		require.InEpsilon(t, value, got, 1e-9, "%v", row)
		u, err := strconv.ParseFloat(row[4], 64)
		require.NoError(t, err)
		water, err := strconv.ParseFloat(row[2], 64)
		require.NoError(t, err)
		require.InEpsilon(t, math.Sqrt(variance)*2/(1+0.019*(water-25)), u, 6e-4, "%v", row)
		n++
		if row[0] > begin.AddDate(0, 0, 121).Format(time.RFC3339) {
			after++
		}
	}
	require.NoError(t, rows.Err())
	assert.Equal(t, 2000, n)
	assert.Greater(t, after, 300, "some of them after the last calibration")
}
