package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	penChecks = "../../testdata/drift/pen.csv"
	phChecks  = "../../testdata/drift/ph.csv"
)

// driftJSON runs drift in UTC with --json and reads the object.
func driftJSON(t *testing.T, args ...string) map[string]any {
	t.Helper()
	r := invoke(append([]string{"drift", "--json", "--time-zone", "UTC"}, args...)...)
	require.Equal(t, statusDone, r.status, "%v: %s", args, r.stderr)
	var out map[string]any
	require.NoError(t, json.Unmarshal([]byte(r.stdout), &out))
	return out
}

// table writes a file of checks.
func table(t *testing.T, lines ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "checks.csv")
	require.NoError(t, os.WriteFile(path, []byte(strings.Join(lines, "\n")+"\n"), 0o600))
	return path
}

func date(t *testing.T, object map[string]any, key string) time.Time {
	t.Helper()
	text, ok := object[key].(string)
	require.True(t, ok, "%s is a day: %v", key, object[key])
	day, err := time.Parse(time.DateOnly, text)
	require.NoError(t, err)
	return day
}

func TestDriftOutput(t *testing.T) {
	for name, args := range map[string][]string{
		"pen.txt":       {"drift", penChecks, "--tolerance", "5%", "--resolution", "1", "--now", "2026-03-10", "--chart", "always"},
		"ph.txt":        {"drift", phChecks, "--quantity", "ph", "--tolerance", "0.1", "--resolution", "0.01", "--now", "2026-02-20", "--chart", "always"},
		"bare.txt":      {"drift", penChecks, "--now", "2026-03-10"},
		"unsettled.txt": {"drift", "../../testdata/drift/unsettled.csv", "--tolerance", "5%", "--now", "2026-04-03"},
		"help.txt":      {"drift", "--help"},
	} {
		r := invoke(append(args, "--time-zone", "UTC")...)
		require.Equal(t, statusDone, r.status, r.stderr)
		golden(t, "drift/"+name, screen(args, r))
		if strings.HasSuffix(name, ".txt") {
			for _, line := range strings.Split(r.stdout, "\n") {
				assert.LessOrEqual(t, len([]rune(line)), 80, line)
			}
		}
	}
}

// A last check that is far outside is told in the first line, and no pass.
func TestDriftUnsettled(t *testing.T) {
	args := []string{"../../testdata/drift/unsettled.csv", "--tolerance", "5%", "--now", "2026-04-03"}
	out := driftJSON(t, args...)
	assert.Equal(t, true, out["last_check_unsettled"])
	assert.Equal(t, "undecided", out["verdict"])
	assert.Equal(t, "2026-04-03", out["next_check"])
	assert.Equal(t, "2026-04-01", out["overdue_since"])
	assert.Equal(t, statusNotPassing, invoke(append([]string{"drift", "--check"}, args...)...).status)
}

// The JSON, without the points of the line and with its numbers rounded.
func TestDriftJSONOutput(t *testing.T) {
	out := driftJSON(t, penChecks, "--tolerance", "5%", "--resolution", "1", "--now", "2026-03-10")
	line := out["line"].([]any)
	require.Greater(t, len(line), 20)
	out["line"] = []any{line[0], line[len(line)-1]}
	text, err := json.MarshalIndent(rounded(out), "", " ")
	require.NoError(t, err)
	golden(t, "drift/pen.json", string(text)+"\n")
}

// rounded is a value of JSON with numbers of five significant digits.
func rounded(v any) any {
	switch v := v.(type) {
	case float64:
		x, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 5, 64), 64)
		return x
	case []any:
		for i := range v {
			v[i] = rounded(v[i])
		}
	case map[string]any:
		for k := range v {
			v[k] = rounded(v[k])
		}
	}
	return v
}

// The files beside the result.
func TestDriftFiles(t *testing.T) {
	atNoon(t, "2026-03-10T12:00:00Z")
	folder := t.TempDir()
	chart, picture, days := filepath.Join(folder, "drift.svg"), filepath.Join(folder, "drift.PNG"), filepath.Join(folder, "checks.ics")
	for _, path := range []string{chart, picture} {
		r := invoke("drift", penChecks, "--tolerance", "5%", "--plot", path, "--calendar", days, "--time-zone", "UTC")
		require.Equal(t, statusDone, r.status, r.stderr)
		assert.NotContains(t, r.stdout, "\nChart\n", "a chart of characters is for screens")
	}
	for name, path := range map[string]string{"pen.svg": chart, "pen.ics": days} {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		golden(t, "drift/"+name, string(text))
	}
	image, err := os.ReadFile(picture)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(image), "\x89PNG\r\n"))
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, entries, 3, "nothing else is left there")
}

// What scripts rely on: these keys, with these kinds of values.
func TestDriftJSONKeepsToTheContract(t *testing.T) {
	with := driftJSON(t, penChecks, "--tolerance", "5%", "--now", "2026-03-10")
	bare := driftJSON(t, penChecks, "--now", "2026-03-10")
	for _, key := range []string{"n", "error_now", "u_error_now", "rate_per_30d", "u_rate_per_30d"} {
		number(t, with, key)
		number(t, bare, key)
	}
	assert.Equal(t, 11.0, with["n"])
	assert.Nil(t, with["meter"])
	number(t, with, "p_within_now")
	date(t, with, "due")
	date(t, with, "next_check")
	date(t, bare, "next_check")
	assert.Equal(t, "pass", with["verdict"])
	for _, key := range []string{"meter", "p_within_now", "due", "verdict"} {
		value, there := bare[key]
		assert.True(t, there, key)
		assert.Nil(t, value, key)
	}
	alarms := with["alarms"].([]any)
	require.NotEmpty(t, alarms)
	for _, a := range alarms {
		alarm := a.(map[string]any)
		for _, key := range []string{"time", "kind", "text"} {
			assert.NotEmpty(t, alarm[key], key)
		}
		_, err := time.Parse(time.RFC3339, alarm["time"].(string))
		assert.NoError(t, err)
	}
	assert.IsType(t, []any{}, with["warnings"])
	steady := driftJSON(t, table(t, "time,ref,reading", "2026-01-01,1413,1410", "2026-02-01,1413,1411"), "--now", "2026-02-02")
	assert.Equal(t, []any{}, steady["alarms"], "an empty list, never null")
}

// The pen was adjusted on 2025-12-01, between -5.3 % and +0.1 %. Who ignores the
// event takes the way back for noise, or the level from before.
func TestDriftGoesByEvents(t *testing.T) {
	with := driftJSON(t, penChecks, "--tolerance", "5%", "--now", "2026-02-27")
	assert.InDelta(t, -0.026, number(t, with, "error_now"), 0.006)
	assert.InDelta(t, -0.0095, number(t, with, "rate_per_30d"), 0.002)
	// Readings that go on falling without a break, and the same with a reading
	// back at zero after an adjustment that was written down or not.
	falling := []string{"time,ref,reading,event", "2025-09-01,1000,1000,", "2025-10-01,1000,990,", "2025-11-01,1000,980,", "2025-12-01,1000,970,"}
	next := []string{"2026-01-01,1000,998,", "2026-02-01,1000,988,"}
	written := append(append(append([]string{}, falling...), "2025-12-02,,,adjusted"), next...)
	silent := append(append([]string{}, falling...), next...)
	a := driftJSON(t, table(t, written...), "--now", "2026-02-02", "--tolerance", "5%")
	b := driftJSON(t, table(t, silent...), "--now", "2026-02-02", "--tolerance", "5%")
	assert.InDelta(t, -0.0095, number(t, a, "rate_per_30d"), 0.002, "the rate goes on across an adjustment")
	assert.Less(t, number(t, a, "u_rate_per_30d"), number(t, b, "u_rate_per_30d"), "an unwritten one leaves doubt")
	events := a["events"].([]any)
	require.Len(t, events, 1)
	assert.Equal(t, 4.0, events[0].(map[string]any)["checks_before"])
	assert.Empty(t, b["events"])
}

// A meter that loses 0.03 % a month, and has lost 1.4 %, reaches 2 % in less
// than two years: its due day is not cut to what practice allows; the next check
// is. Beyond five years there is none.
func TestDriftDueIsNotCapped(t *testing.T) {
	lines := []string{"time,ref,reading,u_ref,u_reading"}
	start := time.Date(2022, 1, 1, 0, 0, 0, 0, time.UTC)
	for month := range 48 {
		lines = append(lines, fmt.Sprintf("%s,1413,%d,2,2", start.AddDate(0, month, 0).Format(time.DateOnly), int(math.Round(1413*(1-0.0003*float64(month))))+[]int{1, -1, 0}[month%3]))
	}
	path := table(t, lines...)
	now := time.Date(2025, 12, 5, 0, 0, 0, 0, time.UTC)
	out := driftJSON(t, path, "--now", "2025-12-05", "--tolerance", "2%")
	due, next := date(t, out, "due"), date(t, out, "next_check")
	days := due.Sub(now).Hours() / 24
	assert.True(t, days > 200 && days < 2*365, "%v days", days)
	assert.Equal(t, "2025-12-31", next.Format(time.DateOnly), "30 days after the last check, on 2025-12-01 (common practice)")
	far := driftJSON(t, path, "--now", "2025-12-05", "--tolerance", "40%")
	assert.Nil(t, far["due"])
	assert.Equal(t, "2025-12-31", far["next_check"])
	early := driftJSON(t, path, "--now", "2025-12-05", "--tolerance", "2%", "--risk", "1%")
	assert.True(t, date(t, early, "due").Before(due), "less risk, an earlier day")
	late := driftJSON(t, path, "--now", "2025-12-05", "--tolerance", "2%", "--risk", "30%")
	assert.True(t, date(t, late, "due").After(due), "more risk, a later day")
}

// Twenty checks against bottles of one stock, whose own error of 3 % they all
// share, do not average it away. (What is known of meters as such lessens it a
// little; twenty independent ones would leave 0.7 %.)
func TestDriftKeepsWhatReferencesShare(t *testing.T) {
	lines := []string{"time,ref,reading,u_ref,u_reading,ref_source,u_ref_shared"}
	for day := range 20 {
		lines = append(lines, fmt.Sprintf("2026-01-%02d,1000,1000,1,1,stock,30", day+1))
	}
	shared := driftJSON(t, table(t, lines...), "--now", "2026-01-21")
	assert.Greater(t, number(t, shared, "u_error_now"), 0.02)
	own := driftJSON(t, table(t, strings.Split(strings.ReplaceAll(strings.Join(lines, "\n"), ",stock,30", ",,"), "\n")...), "--now", "2026-01-21")
	assert.Less(t, number(t, own, "u_error_now"), 0.004)
}

// The order of rows is not that of time; what comes out is the same.
func TestDriftSortsRows(t *testing.T) {
	rows := []string{"2026-01-01,1413,1410", "2026-02-01,1413,1400", "2026-03-01,1413,1391"}
	sorted := driftJSON(t, table(t, append([]string{"time,ref,reading"}, rows...)...), "--now", "2026-03-02", "--tolerance", "5%")
	mixed := driftJSON(t, table(t, "time,ref,reading", rows[2], rows[0], rows[1]), "--now", "2026-03-02", "--tolerance", "5%")
	assert.Equal(t, sorted["error_now"], mixed["error_now"])
	assert.Equal(t, sorted["due"], mixed["due"])
	assert.Contains(t, mixed["warnings"].([]any)[0], "sorted")
	assert.NotContains(t, fmt.Sprint(sorted["warnings"]), "sorted")
	assert.Negative(t, number(t, mixed, "rate_per_30d"))
}

// The flags stand in for what rows leave out, and for nothing they state.
func TestDriftUncertaintyFlags(t *testing.T) {
	path := table(t, "time,ref,reading,u_ref,u_reading", "2026-01-01,1000,1000,,", "2026-02-01,1000,1000,,", "2026-03-01,1000,1000,1,1")
	first := func(out map[string]any, i int) float64 {
		return number(t, out["checks"].([]any)[i].(map[string]any), "u_error")
	}
	out := driftJSON(t, path, "--now", "2026-03-02", "--u-ref", "3%", "--u-reading", "40")
	assert.InDelta(t, math.Hypot(0.03, 0.04), first(out, 0), 0.01)
	assert.Less(t, first(out, 2), 0.02)
}

func TestDriftOfSeveralMetersInAFile(t *testing.T) {
	path := table(t, "time,ref,reading,meter,event",
		"2026-01-01,1000,1000,P1,", "2026-02-01,1000,999,P1,", "2026-01-01,1000,900,P2,", "2026-02-01,1000,890,p2,", "2026-02-01,,,P3,cleaned")
	one := driftJSON(t, path, "--meter", "P2", "--now", "2026-02-02")
	assert.Equal(t, "P2", one["meter"])
	assert.Equal(t, 2.0, one["n"], "upper and lower case are one meter")
	assert.InDelta(t, -0.108, number(t, one, "error_now"), 0.01)
	all := driftJSON(t, path, "--all", "--now", "2026-02-02", "--tolerance", "5%")
	meters := all["meters"].([]any)
	require.Len(t, meters, 2)
	assert.Equal(t, "P2", meters[0].(map[string]any)["meter"], "the one outside tolerance first, though it stands second in the file")
	assert.Equal(t, "fail", meters[0].(map[string]any)["verdict"])
	assert.Equal(t, "P3", all["unchecked"].([]any)[0].(map[string]any)["meter"])
	r := invoke("drift", path, "--now", "2026-02-02", "--time-zone", "UTC")
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, `row 4, column meter: found "P2"`)
}

func TestDriftStatus(t *testing.T) {
	good := []string{"drift", penChecks, "--now", "2026-03-10", "--time-zone", "UTC"}
	for _, c := range []struct {
		args []string
		want int
	}{
		{[]string{"--tolerance", "5%", "--check"}, statusDone},
		{[]string{"--tolerance", "1%", "--check"}, statusNotPassing},
		{[]string{"--tolerance", "1%"}, statusDone},
		{[]string{"--check"}, statusNotPassing},
		{[]string{"--plot", filepath.Join(t.TempDir(), "no", "such.svg")}, statusBadInput},
		{[]string{"--calendar", filepath.Join(t.TempDir(), "no", "such.ics")}, statusBadInput},
	} {
		r := invoke(append(append([]string{}, good...), c.args...)...)
		assert.Equal(t, c.want, r.status, "%v: %s", c.args, r.stderr)
		if c.want == statusBadInput {
			assert.Empty(t, r.stdout, "%v", c.args)
		}
	}
}

// A reading beside an adjustment: before it, it is the last of the old course;
// after it, the first of the new one.
func TestDriftGoesByTheState(t *testing.T) {
	run := func(state string) map[string]any {
		return driftJSON(t, table(t, "time,ref,reading,u_ref,u_reading,event,state", "2026-01-01,1000,985,1,1,,", "2026-02-01,1000,970,1,1,adjusted,"+state), "--now", "2026-02-02")
	}
	found, left := run("as-found"), run("as-left")
	assert.Equal(t, 2.0, found["events"].([]any)[0].(map[string]any)["checks_before"])
	assert.Equal(t, 1.0, left["events"].([]any)[0].(map[string]any)["checks_before"])
	assert.InDelta(t, 0, number(t, found, "error_now"), 0.012, "set right since")
	assert.InDelta(t, -0.03, number(t, left, "error_now"), 0.005, "set wrong")
	assert.Contains(t, fmt.Sprint(run("")["warnings"]), "before or after the event is not told")
}

func TestChartOfCharactersIsForScreens(t *testing.T) {
	for _, c := range []struct {
		when           string
		onScreen, want bool
	}{{"", true, true}, {"", false, false}, {"auto", true, true}, {"auto", false, false}, {"always", false, true}, {"never", true, false}} {
		assert.Equal(t, c.want, charting{when: c.when}.drawsChart(c.onScreen), c)
	}
}
