package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// file writes a CSV file of the name into a folder of the test's own.
func file(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

// pen is a pen read in three bottles of one stock.
const pen = `bottle,ref,reading,u_ref,u_reading,ref_source,u_ref_shared,temp_C
A,706,690,2,2,stock 1,3.5,22.1
B,1413,1380,2,2,stock 1,7.1,22.3
C,2767,2710,4,4,stock 1,13.8,22.2
`

// decode runs a command with --json and reads the one object it prints.
func decode(t *testing.T, args ...string) map[string]any {
	t.Helper()
	r := invoke(append(args, "--json")...)
	require.Equal(t, statusDone, r.status, r.stderr)
	d := json.NewDecoder(strings.NewReader(r.stdout))
	var out map[string]any
	require.NoError(t, d.Decode(&out))
	require.False(t, d.More(), "one object only")
	return out
}

func TestCalibrateGolden(t *testing.T) {
	penFile := file(t, "pen.csv", pen)
	ph := file(t, "ph.csv", "buffer,reading,mv,temp_C\n4.00,4.10,165.0,22\n7.00,7.03,-2.5,22\n10.01,9.91,-166.1,22\n")
	room := file(t, "room.csv", "ref;reading;u_ref;u_reading;meter;time\n33,1;36,0;0,2;0,5;H1;2026-03-01 09:00\n75,3;77,1;0,2;0,5;H1;2026-03-01 11:00\n")
	for _, c := range []struct {
		name string
		args []string
	}{
		{"point", []string{"calibrate", "--point", "1413=1380", "--tolerance", "2%"}},
		{"two-points", []string{"calibrate", "--point", "706=690", "--point", "1413=1380", "--u-ref", "0.3%", "--u-ref-shared", "0.5%", "--u-reading", "3", "--at", "1000", "--tolerance", "2%"}},
		{"pen", []string{"calibrate", penFile, "--tolerance", "2%", "--at", "1000", "--at", "4000", "--unit", "uS/cm", "--meter", "P1", "--time", "2026-03-01T09:30:00Z"}},
		{"line", []string{"calibrate", penFile, "--fit", "line", "--tolerance", "5%", "--reading-for", "1413"}},
		{"monte-carlo", []string{"calibrate", penFile, "--monte-carlo", "--seed", "7", "--at", "1000"}},
		{"ph", []string{"calibrate", ph, "--quantity", "ph", "--tolerance", "0.1", "--u-mv", "0.5", "--u-reading", "0.02"}},
		{"humidity", []string{"calibrate", room, "--quantity", "humidity", "--tolerance", "3", "--time-zone", "UTC"}},
		{"thermometer", []string{"calibrate", "--quantity", "temperature", "--point", "0=0.6", "--point", "99.6=100.4", "--u-ref", "0.05", "--u-reading", "0.1", "--tolerance", "0.5", "--state", "as-left"}},
		{"theil-sen", []string{"calibrate", "--fit", "theil-sen", "--point", "100=101", "--point", "200=202", "--point", "300=302", "--point", "400=405", "--point", "500=560", "--point", "600=606"}},
	} {
		r := invoke(c.args...)
		require.Equal(t, statusDone, r.status, r.stderr)
		shown := make([]string, len(c.args))
		for i, a := range c.args {
			shown[i] = a
			if strings.HasSuffix(a, ".csv") {
				shown[i] = filepath.Base(a)
			}
		}
		golden(t, "calibrate/"+c.name+".txt", screen(shown, r))
	}
	r := invoke("calibrate", penFile, "--tolerance", "2%", "--at", "30", "--json")
	require.Equal(t, statusDone, r.status)
	golden(t, "calibrate/pen.json", r.stdout)
}

// The keys and meanings that scripts rely on.
func TestCalibrateJSON(t *testing.T) {
	penFile := file(t, "pen.csv", pen)
	v := decode(t, "calibrate", penFile, "--tolerance", "2%", "--at", "30")
	for _, key := range []string{"meter", "quantity", "time", "state", "fit", "points", "at", "tolerance", "tolerance_relative",
		"worst_error", "p_within", "verdict", "electrode", "advice", "warnings"} {
		require.Contains(t, v, key)
	}
	require.Equal(t, "ec", v["quantity"])
	require.Equal(t, "as-found", v["state"])
	require.Nil(t, v["time"])
	require.Nil(t, v["meter"])
	require.Nil(t, v["electrode"])
	require.Equal(t, 0.02, v["tolerance"])
	require.Equal(t, true, v["tolerance_relative"])
	require.InDelta(t, -33.0/1413, v["worst_error"], 1e-12)
	fit := v["fit"].(map[string]any)
	require.Equal(t, "errors-in-both", fit["method"])
	require.Equal(t, 3.0, fit["n"])
	require.Equal(t, 1.0, fit["dof"])
	for _, key := range []string{"intercept", "slope", "u_intercept", "u_slope", "cov", "residual_sd", "chi2"} {
		require.NotNil(t, fit[key], key)
	}
	at := v["at"].([]any)[0].(map[string]any)
	require.Equal(t, 30.0, at["reading"])
	require.InDelta(t, at["corrected"], (at["low"].(float64)+at["high"].(float64))/2, 1e-9)
	require.InDelta(t, 1.959964*at["u_corrected"].(float64), at["high"].(float64)-at["corrected"].(float64), 1e-5)
	for _, p := range v["points"].([]any) {
		p := p.(map[string]any)
		require.InDelta(t, fit["intercept"].(float64)+fit["slope"].(float64)*p["reading"].(float64), p["corrected"], 1e-9)
		require.InDelta(t, p["ref"].(float64)-p["corrected"].(float64), p["residual"], 1e-9)
	}

	// No tolerance: no verdict. Two points without uncertainties: no interval, and a warning.
	v = decode(t, "calibrate", "--point", "706=690", "--point", "1413=1380", "--at", "1000")
	require.Nil(t, v["verdict"])
	require.Nil(t, v["tolerance"])
	require.Nil(t, v["p_within"])
	at = v["at"].([]any)[0].(map[string]any)
	require.Nil(t, at["u_corrected"])
	require.Nil(t, at["low"])
	require.Nil(t, at["high"])
	require.NotEmpty(t, v["warnings"])
	require.Equal(t, "two-point", v["fit"].(map[string]any)["method"])
	require.Nil(t, v["fit"].(map[string]any)["u_slope"])

	// Lists are never null, and zero uncertainty of a reading asked about adds nothing.
	v = decode(t, "calibrate", "--point", "706=706", "--u-ref", "0.1", "--u-reading", "0.1", "--tolerance", "5%")
	require.Equal(t, []any{}, v["at"])
	require.Equal(t, []any{}, v["warnings"])
	require.Equal(t, "pass", v["verdict"])
}

// --u-at widens; an interval from scatter is Student's: t_95(1) = 12.706 (GUM, table G.2).
func TestCalibrateAtItsUncertainty(t *testing.T) {
	args := []string{"calibrate", "--point", "706=690", "--point", "1413=1380", "--point", "2767=2710", "--at", "1000"}
	at := decode(t, args...)["at"].([]any)[0].(map[string]any)
	require.InDelta(t, 12.7062047, (at["high"].(float64)-at["corrected"].(float64))/at["u_corrected"].(float64), 1e-6)
	wide := decode(t, append(args, "--u-at", "5")...)["at"].([]any)[0].(map[string]any)
	slope := decode(t, args...)["fit"].(map[string]any)["slope"].(float64)
	require.InDelta(t, math.Hypot(at["u_corrected"].(float64), 5*slope), wide["u_corrected"], 1e-9)
}

func TestCalibrateCheck(t *testing.T) {
	penFile := file(t, "pen.csv", pen)
	require.Equal(t, statusNotPassing, invoke("calibrate", penFile, "--tolerance", "2%", "--check").status)
	require.Equal(t, statusDone, invoke("calibrate", "--check", penFile, "--tolerance", "10%").status)
	require.Equal(t, statusNotPassing, invoke("calibrate", penFile, "--check").status)
}

// Files people write: semicolons and decimal commas, quoted names, several meters and states.
func TestCalibrateFiles(t *testing.T) {
	two := file(t, "two.csv", "meter,state,ref,reading\nP1,as-found,706,690\nP2,as-found,706,720\nP1,as-found,1413,1380\nP2,as-found,1413,1440\nP1,as-left,706,706\nP1,as-left,1413,1412\n")
	v := decode(t, "calibrate", two, "--meter", "p2")
	require.Len(t, v["points"], 2)
	require.InDelta(t, 707.0/720, v["fit"].(map[string]any)["slope"], 1e-9)
	v = decode(t, "calibrate", two, "--meter", "P1", "--state", "as-left")
	require.Equal(t, "as-left", v["state"])
	require.InDelta(t, 707.0/706, v["fit"].(map[string]any)["slope"], 1e-9)
	r := invoke("calibrate", two)
	require.Equal(t, statusBadInput, r.status)
	require.Contains(t, r.stderr, "two.csv, row 3, column meter")
	require.Contains(t, r.stderr, "--meter")
	v = decode(t, "calibrate", two, "--meter", "P1")
	require.Equal(t, "as-found", v["state"])
	require.Len(t, v["points"], 2)
	require.InDelta(t, 707.0/690, v["fit"].(map[string]any)["slope"], 1e-9)
	left := v["as_left"].(map[string]any)
	require.Equal(t, "as-left", left["state"])
	require.InDelta(t, 707.0/706, left["fit"].(map[string]any)["slope"], 1e-9)
	require.NotContains(t, decode(t, "calibrate", two, "--meter", "P1", "--state", "as-left"), "as_left")
	half := file(t, "half.csv", "state,ref,reading\nas-found,706,690\nas-left,706,706\n,1413,1412\n")
	r = invoke("calibrate", half)
	require.Equal(t, statusBadInput, r.status)
	require.Contains(t, r.stderr, "half.csv, row 4, column state: found nothing; want as-found or as-left in every row")
	r = invoke("calibrate", two, "--meter", "P9")
	require.Equal(t, statusBadInput, r.status)
	require.Contains(t, r.stderr, `"P9"`)

	times := file(t, "times.csv", "ref,reading,time\n706,690,2026-03-01 09:00\n1413,1380,2026-03-01 10:30\n")
	v = decode(t, "calibrate", times, "--time-zone", "UTC")
	require.Equal(t, "2026-03-01T10:30:00Z", v["time"])
	v = decode(t, "calibrate", times, "--time", "2026-04-01", "--time-zone", "UTC")
	require.Equal(t, "2026-04-01T00:00:00Z", v["time"])

	r = invokeWith("ref,reading\n706,690\n", "calibrate", "-", "--json")
	require.Equal(t, statusDone, r.status, r.stderr)
}

// Bad input: one line that names the place and the remedy, status 2, nothing on stdout.
func TestCalibrateRefuses(t *testing.T) {
	csv := func(text string) []string { return []string{"calibrate", file(t, "bad.csv", text)} }
	for _, c := range []struct {
		name string
		args []string
		want []string
	}{
		{"empty file", csv(""), []string{"bad.csv", "empty"}},
		{"header only", csv("ref,reading\n"), []string{"bad.csv", "no rows"}},
		{"missing column", csv("ref,value\n1,2\n"), []string{"column reading"}},
		{"duplicated header", csv("ref,reading,ref\n1,2,3\n"), []string{"column ref", "twice"}},
		{"text for a number", csv("ref,reading\n706,690\n1413,abc\n"), []string{"row 3, column reading", `"abc"`, "a number"}},
		{"ppm", csv("ref,reading\n600ppm,690\n"), []string{"row 2, column ref", "600ppm"}},
		{"NaN", csv("ref,reading\n706,NaN\n"), []string{"row 2, column reading"}},
		{"Inf", csv("ref,reading\nInf,690\n"), []string{"row 2, column ref"}},
		{"empty ref", csv("ref,reading\n,690\n"), []string{"row 2, column ref"}},
		{"negative uncertainty", csv("ref,reading,u_ref\n706,690,-1\n"), []string{"row 2, column u_ref", "-1", "0 or more"}},
		{"one point for two-point", []string{"calibrate", "--point", "1413=1380", "--fit", "two-point"}, []string{"two references", "gain"}},
		{"more parameters than points", []string{"calibrate", "--point", "1413=1380", "--fit", "line"}, []string{"two points", "parameters"}},
		{"identical references", append(csv("ref,reading\n1413,1380\n1413,1390\n"), "--fit", "line"), []string{"row 3, column ref", "1413", "different references"}},
		{"constant readings", csv("ref,reading\n706,1000\n1413,1000\n"), []string{"row 3, column reading", "1000 as in every row"}},
		{"zero uncertainty on everything", csv("ref,reading,u_ref,u_reading\n706,690,0,0\n1413,1380,0,0\n2767,2710,0,0\n"), []string{"row 2, column u_ref", "nothing is measured exactly"}},
		{"covariance not positive definite", csv("ref,reading,u_ref,ref_source,u_ref_shared\n706,690,0,s,5\n1413,1380,0,s,10\n2767,2710,0,s,20\n"), []string{"row 3, column u_ref", "no uncertainty of its own"}},
		{"a thousand off", csv("ref,reading\n706,0.69\n1413,1.38\n"), []string{"row 2, column reading", "a thousand times smaller", "uS/cm"}},
		{"half a column", csv("ref,reading,u_ref\n706,690,2\n1413,1380,\n"), []string{"row 3, column u_ref", "every row"}},
		{"share without a source", csv("ref,reading,u_ref_shared\n706,690,2\n"), []string{"row 2, column ref_source"}},
		{"Fahrenheit", csv("ref,reading,temp_C\n706,690,71\n"), []string{"row 2, column temp_C", "71", "Fahrenheit"}},
		{"blank line counts", csv("ref,reading,temp_C\n\n706,690,71\n"), []string{"row 3, column temp_C"}},
		{"no such buffer", append(csv("buffer,reading,temp_C\n4.01,4.1,20\n"), "--quantity", "ph"), []string{"row 2, column buffer", `"4.01"`, "4.00, 7.00, 10.01"}},
		{"buffer without temperature", append(csv("buffer,reading\n4.00,4.1\n"), "--quantity", "ph"), []string{"row 2, column temp_C"}},
		{"neither ref nor buffer", append(csv("buffer,reading\n,4.1\n"), "--quantity", "ph"), []string{"row 2, column ref"}},
		{"state", csv("ref,reading,state\n706,690,found\n"), []string{"row 2, column state", "as-found"}},
		{"buffer point", []string{"calibrate", "--point", "seven=7.0", "--quantity", "ph", "--temp", "20C"}, []string{"--point seven=7.0", "phthalate"}},
		{"point without =", []string{"calibrate", "--point", "1413"}, []string{"--point", "REF=READING"}},
		{"point with a unit", []string{"calibrate", "--point", "1413uS/cm=1380"}, []string{"1413uS/cm", "without a unit"}},
		{"point a thousand off", []string{"calibrate", "--point", "1413=1.38"}, []string{"--point 1413=1.38", "thousand"}},
		{"nothing", []string{"calibrate"}, []string{"FILE.csv", "--point"}},
		{"both", append(csv("ref,reading\n706,690\n"), "--point", "1=1"), []string{"not from both"}},
		{"no file", []string{"calibrate", "no-such-file.csv"}, []string{"no-such-file.csv"}},
		{"misspelt fit", []string{"calibrate", "--point", "1=1", "--fit", "two-points"}, []string{"two-point"}},
		{"misspelt quantity", []string{"calibrate", "--point", "1=1", "--quantity", "humidty"}, []string{"humidity"}},
		{"tolerance of 0", []string{"calibrate", "--point", "1=1", "--tolerance", "0"}, []string{"--tolerance", "above zero"}},
		{"negative u", []string{"calibrate", "--point", "1=1", "--u-ref", "-1"}, []string{"--u-ref"}},
		{"seed", []string{"calibrate", "--point", "1=1", "--seed", "1.5"}, []string{"--seed", "whole number"}},
		{"time", []string{"calibrate", "--point", "1=1", "--time", "yesterday"}, []string{"--time", "2026-03-01"}},
		{"zero point without its uncertainty", []string{"calibrate", "--point", "1413=1380", "--zero", "4", "--u-ref", "1%"}, []string{"--zero", "--u-zero"}},
		{"uncertainty of no zero point", []string{"calibrate", "--point", "1413=1380", "--u-zero", "4"}, []string{"--u-zero", "--zero READING"}},
		{"negative step", []string{"calibrate", "--point", "1413=1380", "--resolution", "-1"}, []string{"--resolution", "-1"}},
		{"negative u of a reading", []string{"calibrate", "--point", "1413=1380", "--u-at", "-2"}, []string{"--u-at", "-2"}},
		{"a row without a meter beside named ones", append(csv("meter,ref,reading\nP1,706,690\nP2,706,700\n,1413,1390\n"), "--meter", "P2"), []string{"row 4, column meter", "P1"}},
		{"a gain from ice", []string{"calibrate", "--point", "0=0.4", "--quantity", "temperature", "--fit", "gain"}, []string{"--point 0=0.4", "offset"}},
		{"zero point of a thermometer", []string{"calibrate", "--point", "20=21", "--quantity", "temperature", "--zero", "1"}, []string{"zero point"}},
	} {
		r := invoke(c.args...)
		require.Equal(t, statusBadInput, r.status, "%s: %s", c.name, r.stderr)
		require.Empty(t, r.stdout, c.name)
		require.Equal(t, 1, strings.Count(strings.TrimSpace(r.stderr), "\n")+1-strings.Count(r.stderr, "note: "), "%s: one line: %s", c.name, r.stderr)
		for _, w := range c.want {
			require.Contains(t, r.stderr, w, c.name)
		}
	}
}

// No text makes the parser of points panic, and what it takes is what was typed.
func FuzzParsePoint(f *testing.F) {
	for _, s := range []string{"1413=1380", "7.00=6.92", "=", "a=b", "1=", "=1", "1=2=3", "1e3=1e3", "NaN=1", "phthalate=4.1", " 1 = 2 "} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, err := parsePoint(text)
		if err != nil {
			return
		}
		require.False(t, math.IsNaN(p.reading) || math.IsInf(p.reading, 0))
		if p.notNumber == nil {
			require.False(t, math.IsNaN(p.ref) || math.IsInf(p.ref, 0))
		}
	})
}

// Sizes of uncertainty, likewise.
func FuzzParseSize(f *testing.F) {
	for _, s := range []string{"1%", "5", "0", "-1", "-1%", "1 %", "5uS/cm", "", "%", "1e-3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := parseSize(text)
		if err == nil {
			require.True(t, s.Value >= 0 && !math.IsInf(s.Value, 0), "%q gives %g", text, s.Value)
		}
	})
}

// What a tester of the procedure found: each case with what must be said, or not.
func TestCalibrateSays(t *testing.T) {
	repeats := file(t, "repeats.csv", "bottle,ref,reading\nA,706,700\nA,706,701\nA,706,700\nB,1413,1400\nB,1413,1401\nB,1413,1402\n")
	for _, c := range []struct {
		name        string
		args        []string
		has, hasNot []string
	}{
		{"ice", []string{"--point", "0=0", "--quantity", "temperature", "--tolerance", "0.3", "--u-ref", "0.02", "--u-reading", "0.05"},
			[]string{"offset", "verdict      pass"}, []string{"readings fall", "slope"}},
		{"two bottles read again", []string{repeats, "--tolerance", "2%"}, []string{"verdict      undecided", "no interval"}, nil},
		{"typed decimals", []string{"--point", "2.00=1.80", "--tolerance", "2%", "--u-ref", "0.01", "--u-reading", "0.01"},
			[]string{"shows 2.00 where it shows", "1.80 now"}, nil},
		{"exactly on a line", []string{"--point", "100=101", "--point", "200=202", "--point", "300=303", "--tolerance", "5%", "--at", "150"},
			[]string{"give --resolution", "verdict      undecided"}, []string{"(exact)"}},
		{"the same with its step", []string{"--point", "100=101", "--point", "200=202", "--point", "300=303", "--tolerance", "5%", "--at", "150", "--resolution", "1"},
			[]string{"from the scatter of the points"}, []string{"(exact)", "give --resolution"}},
		{"zero point", []string{"--point", "1413=1380", "--zero", "4", "--u-zero", "2", "--u-ref", "1%", "--u-reading", "3"}, []string{"two-point"}, nil},
	} {
		r := invoke(append([]string{"calibrate"}, c.args...)...)
		require.Equal(t, statusDone, r.status, "%s: %s", c.name, r.stderr)
		all := r.stdout + r.stderr
		for _, w := range c.has {
			require.Contains(t, all, w, c.name)
		}
		for _, w := range c.hasNot {
			require.NotContains(t, all, w, c.name)
		}
	}
}

// Tables and help keep within a screen of 80, whatever names and digits the file holds.
func TestCalibrateKeepsToTheScreen(t *testing.T) {
	long := file(t, "long.csv", "bottle,ref,reading\nThe long blue bottle from the second shelf,706.12345,690.12345\nB,141300.123456,138000.12\nC,276700.5,271000.25\nD,300000,333333\n")
	for _, args := range [][]string{{"calibrate", long, "--tolerance", "2%"}, {"calibrate", long, "--unit", "uS/cm"}, {"calibrate", "--help"}} {
		r := invoke(args...)
		require.Equal(t, statusDone, r.status, r.stderr)
		for _, line := range strings.Split(r.stdout, "\n") {
			require.LessOrEqual(t, utf8.RuneCountInString(line), 80, line)
		}
	}
	v := decode(t, "calibrate", long)
	require.Equal(t, "The long blue bottle from the second shelf", v["points"].([]any)[0].(map[string]any)["bottle"], "in full for programs")
}

// Names of bottles that differ only at their end are told apart in the table,
// whatever else it has to show; where there is room they are whole.
func TestBottlesAreToldApart(t *testing.T) {
	for what, names := range map[string][]string{
		"short": {"buffer-4", "buffer-7"},
		"long":  {"reference of the kitchen, bottle one", "reference of the kitchen, bottle two", "reference of the kitchen, bottle ten"},
		"wide":  {strings.Repeat("水", 20) + "一", strings.Repeat("水", 20) + "二"},
		"mixed": {"B", "a bottle with a name that goes on and on, 1", "a bottle with a name that goes on and on, 2"},
	} {
		for _, more := range [][]string{nil, {"--tolerance", "0.1"}} {
			text := "bottle,ref,reading,u_ref,u_reading\n"
			for i := range 8 {
				ref := 4.001 + float64(i%len(names))*3
				reading := ref + 0.113 + 0.001*float64(i)
				if i == 7 {
					reading += 0.4
				}
				text += fmt.Sprintf("%q,%.3f,%.3f,0.010,0.010\n", names[i%len(names)], ref, reading)
			}
			r := invoke(append([]string{"calibrate", file(t, "x.csv", text), "--quantity", "ph"}, more...)...)
			require.Equal(t, statusDone, r.status, r.stderr)
			fitsTheScreen(t, []string{"calibrate"}, r)
			_, table, _ := strings.Cut(r.stdout, "\nPoints\n")
			table, _, _ = strings.Cut(table, "\n\n")
			var shown []string
			for _, line := range strings.Split(table, "\n")[3:] {
				shown = append(shown, strings.TrimSpace(regexp.MustCompile(` +[47]\.\d|  10\.\d`).Split(line, 2)[0]))
			}
			require.Len(t, shown, 8, table)
			for i, name := range names {
				assert.Equal(t, shown[i], shown[min(7, i+len(names))], "%s: a bottle has one name\n%s", what, table)
				for j := range i {
					assert.NotEqual(t, shown[i], shown[j], "%s\n%s", what, table)
				}
				if what == "short" {
					assert.Equal(t, name, shown[i], table)
				}
			}
		}
	}
}
