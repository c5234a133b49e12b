package main

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/logbook"
)

// A name that a spreadsheet would run as a formula is given to nothing new; what
// has one on an older record is written so that it is text, and read again.
func TestNamesThatAreFormulas(t *testing.T) {
	s := stocked(t)
	before := content(t, s.file)
	for _, name := range []string{"=1+1", "+pen", "@pen", "＝pen"} {
		for _, args := range [][]string{
			{"meter", "add", name, "--quantity", "ec"},
			{"bottle", "add", name, "--buffer", "7.00"},
			{"recipe", "made", "--salt", "NaCl", "--salt-mass", "0.3g", "--water-mass", "500g", "--grade", "reagent", "--save", name},
		} {
			r := s.run(args...)
			assert.Equal(t, statusBadInput, r.status, "%v", args)
			assert.Contains(t, r.stderr, "which a spreadsheet takes for a formula", "%v", args)
		}
	}
	assert.Equal(t, before, content(t, s.file))

	old := logbook.Bottle{Name: "@B", Buffer: "7.00"}
	s.save(&logbook.Meter{Name: "=1+1", Quantity: "ec", Unit: "uS/cm", Compensation: "none"}, &logbook.Meter{Name: "+pen", Quantity: "ph"}, &old)
	s.ok("meter", "add", "=1+1", "--quantity", "ec", "--compensation", "none", "--tolerance", "5%", "--correct")
	table := filepath.Join(t.TempDir(), "bench.csv")
	s.ok("sheet", "--csv", table)
	ec, ph := content(t, strings.TrimSuffix(table, ".csv")+"-ec.csv"), content(t, strings.TrimSuffix(table, ".csv")+"-ph.csv")
	assert.Contains(t, ec, "\n'=1+1,A,")
	assert.Contains(t, ph, "\n'+pen,'@B,")
	for _, text := range []string{ec, ph} {
		for line := range strings.Lines(text) {
			for cell := range strings.SplitSeq(strings.TrimSpace(line), ",") {
				assert.NotContains(t, []string{"=", "+", "@", "-"}, (cell + " ")[:1], line)
			}
		}
	}
	filled := strings.ReplaceAll(ec, "'=1+1,A,,,,,", "'=1+1,A,1220,1,25,0.2,2026-03-01")
	v := s.json("calibrate", file(t, "ec.csv", strings.Join(strings.Split(filled, "\n")[:2], "\n")+"\n"), "--meter", "=1+1", "--save")
	assert.Equal(t, "=1+1", v["meter"])
	require.Len(t, s.json("meter", "show", "=1+1")["calibrations"], 1)

	log := file(t, "log.csv", "time,+ec\n2026-03-01 12:00,500\n2026-03-02 12:00,500\n")
	daily := filepath.Join(t.TempDir(), "daily.csv")
	s.ok("correct", log, "--calibration", "+ec="+aCalibration(t, "c.json", "ec", "2026-03-01", "as-found", 0, 1), "--daily", daily, "--out", filepath.Join(t.TempDir(), "o.csv"))
	assert.Contains(t, content(t, daily), "2026-03-01,'+ec,")
}
