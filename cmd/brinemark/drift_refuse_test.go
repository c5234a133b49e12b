package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Bad input of every kind: status 2, nothing on stdout, and a message that says
// what was found, where, and what would be right.
func TestDriftRefuses(t *testing.T) {
	head := "time,ref,reading,event"
	for _, c := range []struct {
		rows  []string
		args  []string
		words []string
	}{
		{[]string{head, "2026-01-01,1413,1400,", "2027-01-01,1413,1400,"}, nil, []string{"checks.csv, row 3, column time: found 2027-01-01", "not after now (2026-03-05"}},
		{[]string{head, "2026-01-01,1413,1400,", "2026-02-01,,,recalibrated"}, nil, []string{`row 3, column event: found "recalibrated"; want adjusted, cleaned, replaced`}},
		{[]string{head, "2026-02-01,1413,1400,battery"}, nil, []string{`found "battery"; want adjusted, cleaned, replaced`}},
		{[]string{head, "2026-01-01,,,cleaned"}, nil, []string{"no row has a reading of a reference"}},
		{[]string{head, "2026-01-01,1413,1.4,"}, nil, []string{"row 2, column reading", "thousand times smaller", "one unit"}},
		{[]string{head, "2026-01-01,0,3,"}, nil, []string{"row 2, column ref: found 0; want a conductivity above 0"}},
		{[]string{head, "2026-01-01,7,NaN,"}, nil, []string{"row 2, column reading", "NaN"}},
		{[]string{head, "2026-01-01,7,17,"}, []string{"--quantity", "ph"}, []string{"column reading: found 17; want the pH shown"}},
		{[]string{head, "2026-01-01,1413,,"}, nil, []string{"row 2, column reading: found nothing"}},
		{[]string{head, "2026-01-01,,1413,"}, nil, []string{"row 2, column ref: found nothing"}},
		{[]string{head, "2026-01-01,,,"}, nil, []string{"row 2, column reading: found nothing; want a reading with its ref, or an event"}},
		{[]string{head, "yesterday,1413,1400,"}, nil, []string{`row 2, column time: found "yesterday"`, "2026-03-01"}},
		{[]string{head, ",1413,1400,"}, nil, []string{"row 2, column time: found nothing"}},
		{[]string{"time,ref,reading,u_ref", "2026-01-01,1413,1400,-1"}, nil, []string{"row 2, column u_ref", "-1"}},
		{[]string{"time,ref,reading,u_ref_shared", "2026-01-01,1413,1400,5"}, nil, []string{"row 2, column ref_source: found nothing beside u_ref_shared"}},
		{[]string{"time,ref,reading,state", "2026-01-01,1413,1400,after"}, nil, []string{`row 2, column state: found "after"`, "as-found, as-left"}},
		{[]string{"ref,reading", "1413,1400"}, nil, []string{"column time"}},
		{[]string{head}, nil, []string{"checks.csv", "no rows"}},
		{nil, []string{"nowhere.csv"}, []string{"nowhere.csv: there is no such file"}},
		{nil, nil, []string{"drift needs FILE.csv, or --meter ID or --all"}},
		{nil, []string{"--all", "--meter", "P1"}, []string{"--all or --meter P1, not both"}},
		{nil, []string{"--meter", ""}, []string{"--meter: the name is empty"}},
		{nil, []string{penChecks, "--meter", "P9"}, nil},
		{nil, []string{penChecks, "--risk", "5"}, []string{"--risk", "above 0% and below 100%"}},
		{nil, []string{penChecks, "--risk", "0"}, []string{"--risk"}},
		{nil, []string{penChecks, "--tolerance", "0"}, []string{"--tolerance"}},
		{nil, []string{penChecks, "--resolution", "-1"}, []string{"--resolution: -1 is negative"}},
		{nil, []string{penChecks, "--plot", "drift.gif"}, []string{`"drift.gif"`, ".svg or .png"}},
		{nil, []string{penChecks, "--plot", "-"}, []string{".svg or .png"}},
		{nil, []string{penChecks, "--calendar", "-"}, []string{"--calendar", "checks.ics"}},
		{nil, []string{penChecks, "--chart", "sometimes"}, []string{"auto, always, never"}},
		{nil, []string{penChecks, "--all", "--plot", "a.svg"}, []string{"--all draws no chart"}},
		{nil, []string{penChecks, "--all", "--chart", "always"}, []string{"--all draws no chart"}},
		{nil, []string{penChecks, "--time-column", "t"}, []string{"--time-column goes with --pair"}},
		{nil, []string{"--pair", "a,b"}, []string{"--pair needs FILE.csv"}},
		{nil, []string{penChecks, "--pair", "a"}, []string{"two columns of the log, such as left,right"}},
		{nil, []string{penChecks, "--pair", "ref,reading", "--u-ref", "1%"}, []string{"--u-ref has no meaning for --pair"}},
		{nil, []string{penChecks, "--pair", "ref,readin"}, []string{"no such column", "the nearest is reading"}},
		{nil, []string{penChecks, penChecks}, []string{"unexpected argument"}},
	} {
		args := []string{"drift", "--time-zone", "UTC", "--now", "2026-03-05", "--logbook", filepath.Join(t.TempDir(), "none.db")}
		if c.rows != nil {
			args = append(args, table(t, c.rows...))
		}
		args = append(args, c.args...)
		if c.words == nil { // a file without a column meter is of the meter asked for
			assert.Equal(t, "P9", driftJSON(t, append(c.args, "--now", "2026-03-10")...)["meter"])
			continue
		}
		r := invoke(args...)
		assert.Equal(t, statusBadInput, r.status, "%v %v", c.rows, args)
		assert.Empty(t, r.stdout, "%v", args)
		for _, w := range c.words {
			assert.Contains(t, r.stderr, w, "%v %v", c.rows, args)
		}
	}
}

// What is odd, yet no error, is said.
func TestDriftWarns(t *testing.T) {
	for _, c := range []struct {
		rows []string
		want string
	}{
		{[]string{"2026-02-01,1413,1400", "2026-01-01,1413,1401"}, "not in order of time; they were sorted"},
		{[]string{"2026-02-01,1413,1400", "2026-02-01,1413,1400", "2026-03-01,1413,1400"}, "row 3 says the same as row 2"},
		{[]string{"2020-01-01,1413,1400", "2026-03-01,1413,1400"}, "nothing is known between 2020-01-01 and 2026-03-01 (6.2 years)"},
		{[]string{"2025-01-01,1413,1400"}, "the last check is 428 days old"},
		{[]string{"2026-03-01,1413,1400"}, "one check tells no rate"},
		{[]string{"2026-03-01,1413,1400"}, "no tolerance was given"},
	} {
		r := invoke("drift", table(t, append([]string{"time,ref,reading"}, c.rows...)...), "--now", "2026-03-05", "--time-zone", "UTC")
		require.Equal(t, statusDone, r.status, r.stderr)
		assert.Contains(t, r.stderr, c.want)
	}
}
