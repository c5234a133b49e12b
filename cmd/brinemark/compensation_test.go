package main

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// warm is a ppm pen (factor 0.5) in one bottle of table salt.
const warm = `time,temp_C,reading
2026-03-01 09:00,10.2,598
2026-03-01 09:20,15.1,598
2026-03-01 09:40,19.8,601
2026-03-01 10:00,25.2,605
2026-03-01 10:20,30.4,610
`

// warmBottle describes it.
const warmBottle = "--salt NaCl --strength 600mg/L --u-strength 0.6% --water-ec 8uS/cm --u-water-ec 2uS/cm --ppm-factor 0.5 --resolution 1 --time-zone UTC"

// compensationArgs puts a file before flags written in one line.
func compensationArgs(path, flags string) []string {
	return append([]string{"compensation", path}, strings.Fields(flags)...)
}

// kclPen is a pen in 0.01 mol/kg KCl at the temperatures of the primary table:
// what a pen of this rule shows, rounded to a step. See compensationTable.
func kclPen(rule func(kappa, temp float64) float64, step float64, temps ...float64) string {
	var b strings.Builder
	b.WriteString("temp_C,reading\n")
	for _, temp := range temps {
		x := step * math.Round(rule(primaryKCl[temp], temp)/step)
		fmt.Fprintf(&b, "%g,%s\n", temp, strconv.FormatFloat(x, 'f', -1, 64))
	}
	return b.String()
}

// primaryKCl is the conductivity of 0.01 mol/kg KCl in uS/cm (K.W. Pratt,
// W.F. Koch, Y.C. Wu, P.A. Berezansky, IUPAC, Pure Appl. Chem. 73 (2001) 1783).
var primaryKCl = map[float64]float64{
	0: 772.92, 5: 890.96, 10: 1013.95, 15: 1141.45, 18: 1219.93, 20: 1273.03,
	25: 1408.23, 30: 1546.63, 35: 1687.79, 40: 1831.27, 45: 1976.62, 50: 2123.43,
}

func straightPen(alpha, ref float64) func(kappa, temp float64) float64 {
	return func(kappa, temp float64) float64 { return kappa / (1 + alpha*(temp-ref)) }
}

func TestCompensationGolden(t *testing.T) {
	pen := file(t, "warm.csv", warm)
	several := file(t, "pens.csv", "meter,bottle,temp_C,reading,u_reading,u_temp_C\n"+
		"P1,A,10,1013,1,0.1\nP2,A,10,1200,1,0.1\nP1,A,20,1272,1,0.1\nP2,A,20,1300,1,0.1\nP1,A,30,1546,1,0.1\nP2,A,30,1500,1,0.1\nP1,A,35,1688,1,0.1\n")
	natural := file(t, "natural.csv", "temp_C,reading\n5,1489\n10,1458\n15,1438\n20,1422\n25,1408\n30,1398\n35,1388\n")
	coarse := file(t, "coarse.csv", "temp_C,reading\n20,1.41\n22.5,1.41\n25,1.41\n")
	kcl := "--salt KCl --strength 0.01mol/kg --u-strength 0.3%"
	for _, c := range []struct{ name, path, flags string }{
		{"pen", pen, warmBottle + " --u-temp 0.2C"},
		{"claim", pen, warmBottle + " --u-temp 0.2C --alpha 2% --tolerance 5%"},
		{"own-reference", pen, warmBottle + " --u-temp 0.2C --gain 1.01 --u-gain 0.003"},
		{"none", several, kcl + " --meter P1"},
		{"undecided", natural, kcl + " --resolution 20 --u-temp 0.3C"},
		{"coarse", coarse, kcl + " --display mS/cm --resolution 0.01 --u-temp 0.2C"},
		{"unstated", pen, "--salt NaCl --strength 600mg/L --ppm-factor 0.5 --time-zone UTC"},
		{"twenty", file(t, "twenty.csv", kclPen(straightPen(0.021, 20), 1, 10, 15, 20, 25, 30)), kcl + " --resolution 1 --u-temp 0.2C"},
	} {
		args := compensationArgs(c.path, c.flags)
		r := invoke(args...)
		require.Equal(t, statusDone, r.status, "%s: %s", c.name, r.stderr)
		args[1] = filepath.Base(args[1])
		golden(t, "compensation/"+c.name+".txt", screen(args, r))
	}
	r := invoke(append(compensationArgs(pen, warmBottle+" --u-temp 0.2C --alpha 2% --tolerance 5%"), "--json")...)
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Empty(t, r.stderr)
	golden(t, "compensation/claim.json", r.stdout)
}

// A perfect pen of 2 %/C, computed from the primary table, is found to have
// 2 %/C, a gain of 1 and nothing to complain of; one of 1.8 %/C is not. The
// model and the table agree to 0.06 %, which over 25 C is 0.003 %/C.
func TestCompensationFromPublishedKCl(t *testing.T) {
	for _, c := range []struct {
		alpha, ref float64
		rule       string
	}{{0.02, 25, "linear"}, {0.018, 25, "linear"}, {0.025, 25, "linear"}, {0, 25, "none"}} {
		path := file(t, "kcl.csv", kclPen(straightPen(c.alpha, c.ref), 0.1, 5, 10, 15, 20, 25, 30, 35))
		v := decode(t, compensationArgs(path, "--salt KCl --strength 0.01mol/kg --u-strength 0.1% --water-ec 0uS/cm --u-water-ec 0 --resolution 0.1 --u-temp 0")...)
		assert.InDelta(t, 100*c.alpha, v["alpha_percent_per_C"], 0.006, "%g", c.alpha)
		assert.Equal(t, c.rule, v["rule"], "%g", c.alpha)
		if c.rule == "linear" {
			assert.InDelta(t, 1, v["gain"], 0.001)
			assert.LessOrEqual(t, v["alpha_low_percent_per_C"], 100*c.alpha)
			assert.GreaterOrEqual(t, v["alpha_high_percent_per_C"], 100*c.alpha)
		}
		for _, x := range v["readings"].([]any) {
			row := x.(map[string]any)
			assert.InDelta(t, row["reading"].(float64), row["fit"].(float64)+row["reading_minus_fit"].(float64), 1e-9)
			assert.InDelta(t, row["reading_minus_fit"], row["fit"].(float64)*row["reading_minus_fit_rel"].(float64), 1e-9)
		}
	}
}

func TestCompensationJSON(t *testing.T) {
	pen := file(t, "warm.csv", warm)
	v := decode(t, compensationArgs(pen, warmBottle+" --u-temp 0.2C")...)
	for _, key := range []string{"meter", "bottle", "time", "ref_temp_C", "alpha_percent_per_C", "u_alpha_percent_per_C", "alpha_low_percent_per_C",
		"gain", "u_gain", "own_reference", "same_at", "rule", "rules", "readings", "claimed_percent_per_C", "p_within", "verdict", "advice", "cautions", "warnings"} {
		require.Contains(t, v, key)
	}
	assert.Nil(t, v["own_reference"])
	assert.Nil(t, v["verdict"])
	assert.Nil(t, v["claimed_percent_per_C"])
	assert.Equal(t, "2026-03-01T10:20:00Z", v["time"])
	sum := 0.0
	for _, r := range v["rules"].([]any) {
		if p := r.(map[string]any)["probability"]; p != nil {
			sum += p.(float64)
		}
	}
	assert.InDelta(t, 1, sum, 1e-9)

	// The gain with its doubt: the strength is in it, and only there.
	unstated := decode(t, compensationArgs(pen, "--salt NaCl --strength 600mg/L --ppm-factor 0.5 --resolution 1 --u-temp 0.2C")...)
	assert.Nil(t, unstated["u_meter_gain"])
	assert.NotNil(t, unstated["u_gain"])
	assert.Contains(t, fmt.Sprint(unstated["warnings"]), "exactly as labelled")

	own := decode(t, compensationArgs(pen, warmBottle+" --u-temp 0.2C --gain 0.99 --u-gain 0.003")...)
	require.NotNil(t, own["own_reference"])
	assert.NotContains(t, fmt.Sprint(own["warnings"]), "was taken as")
	ownUnknown := decode(t, compensationArgs(pen, warmBottle+" --u-temp 0.2C --gain 0.99")...)
	assert.Nil(t, ownUnknown["own_reference"].(map[string]any)["u_ref_temp_C"], "a gain without uncertainty has none to give")

	// The reading in another unit changes nothing but the numbers.
	mS := decode(t, compensationArgs(file(t, "mS.csv", strings.NewReplacer(",598", ",1.196", ",601", ",1.202", ",605", ",1.21", ",610", ",1.22").Replace(warm)),
		"--salt NaCl --strength 600mg/L --u-strength 0.6% --water-ec 8uS/cm --u-water-ec 2uS/cm --display mS/cm --resolution 0.002 --u-temp 0.2C --time-zone UTC")...)
	assert.InDelta(t, v["alpha_percent_per_C"], mS["alpha_percent_per_C"], 1e-9)
}

func TestCompensationCheck(t *testing.T) {
	path := file(t, "kcl.csv", kclPen(straightPen(0.02, 25), 1, 5, 10, 15, 20, 25, 30, 35))
	flags := "--salt KCl --strength 0.01mol/kg --resolution 1 --u-temp 0.1C --check"
	for _, c := range []struct {
		more   string
		status int
	}{
		{"--alpha 2% --tolerance 5%", statusDone},
		{"--alpha 2% --tolerance 0.1", statusDone},
		{"--alpha 1.8% --tolerance 5%", statusNotPassing},
		{"", statusNotPassing},
		{"--alpha 2%", statusNotPassing},
	} {
		r := invoke(compensationArgs(path, flags+" "+c.more)...)
		assert.Equal(t, c.status, r.status, "%s: %s", c.more, r.stderr)
	}
}

func TestCompensationFiles(t *testing.T) {
	two := "meter;bottle;temp_C;reading\nP1;A;10;1013,5\nP2;B;10;1200\nP1;A;20;1273\nP2;B;20;1300\nP1;A;30;1546,5\nP2;B;30;1500\n"
	path := file(t, "two.csv", two)
	flags := "--salt KCl --strength 0.01mol/kg --u-temp 0 --resolution 0.5"
	r := invoke(compensationArgs(path, flags)...)
	require.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "two.csv, row 3, column meter")
	assert.Contains(t, r.stderr, "--meter")
	v := decode(t, compensationArgs(path, flags+" --meter p1")...)
	assert.Equal(t, "p1", v["meter"], "as asked for")
	assert.Equal(t, "none", v["rule"])
	v = decode(t, compensationArgs(path, flags+" --bottle B")...)
	assert.Equal(t, "B", v["bottle"])
	r = invoke(compensationArgs(path, flags+" --meter P9")...)
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, `no row of meter "P9"`)
	r = invokeWith(kclPen(straightPen(0.02, 25), 1, 10, 20, 30), compensationArgs("-", flags+" --json")...)
	assert.Equal(t, statusDone, r.status, r.stderr)
	// Unknown columns are noted and ignored.
	r = invoke(compensationArgs(file(t, "extra.csv", "temp_C,reading,weather\n10,1413,fine\n20,1414,fine\n30,1405,rain\n"), flags)...)
	assert.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, "weather")
	// A reading as if of another day.
	days := file(t, "days.csv", "temp_C,reading,time\n10,1414,2026-03-01\n20,1414,2026-03-02\n30,1407,2026-03-04\n")
	assert.Contains(t, fmt.Sprint(decode(t, compensationArgs(days, flags+" --time-zone UTC")...)["warnings"]), "more than a day")
}

// Bad input: one line that names the place and the remedy, status 2, nothing on stdout.
func TestCompensationRefuses(t *testing.T) {
	ok := kclPen(straightPen(0.02, 25), 1, 10, 20, 30)
	bottle := "--salt KCl --strength 0.01mol/kg --u-temp 0 --resolution 1"
	for _, c := range []struct {
		name, text, flags string
		want              []string
	}{
		{"no rows", "temp_C,reading\n", bottle, []string{"bad.csv", "no rows"}},
		{"no temperature", "reading\n1413\n", bottle, []string{"column temp_C"}},
		{"two temperatures", "temp_C,reading\n10,1414\n20,1414\n20,1413\n", bottle, []string{"bad.csv", "2 different temperatures", "3 or more"}},
		{"one temperature", "temp_C,reading\n20,1414\n20,1413\n20,1413\n", bottle, []string{"bad.csv", "all at one temperature", "span"}},
		{"one reading", "temp_C,reading\n20,1414\n", bottle, []string{"at least two"}},
		{"constant", "temp_C,reading\n10,1414\n20,1414\n30,1414\n", "--salt KCl --strength 0.01mol/kg", []string{"bad.csv", "every reading is 1414", "step of the display"}},
		{"too hot", "temp_C,reading\n20,1414\n30,1407\n60,1400\n", bottle, []string{"row 4, column temp_C", `"60"`, "0 to 50 C"}},
		{"Fahrenheit", "temp_C,reading\n20,1414\n30,1407\n77,1400\n", bottle, []string{"row 4, column temp_C", "25C"}},
		{"NaN", "temp_C,reading\n20,NaN\n", bottle, []string{"row 2, column reading"}},
		{"Inf", "temp_C,reading\nInf,1414\n", bottle, []string{"row 2, column temp_C"}},
		{"word", "temp_C,reading\n20,1414\nwarm,1414\n", bottle, []string{"row 3, column temp_C", `"warm"`}},
		{"zero reading", "temp_C,reading\n10,1414\n20,0\n30,1407\n", bottle, []string{"row 3, column reading", "above 0"}},
		{"negative reading", "temp_C,reading\n10,1414\n20,-1\n30,1407\n", bottle, []string{"row 3, column reading", "above 0"}},
		{"a thousand", "temp_C,reading\n10,1.414\n20,1.414\n30,1.407\n", bottle, []string{"row 2, column reading", "unit of the display, uS/cm"}},
		{"negative u", "temp_C,reading,u_reading\n10,1414,-1\n20,1414,1\n30,1407,1\n", bottle, []string{"row 2, column u_reading", "0 or more"}},
		{"u in some rows", "temp_C,reading,u_reading\n10,1414,1\n20,1414,\n30,1407,1\n", bottle, []string{"row 3, column u_reading", "--u-reading"}},
		{"u_temp in some rows", "temp_C,reading,u_temp_C\n10,1414,0.1\n20,1414,\n30,1407,0.1\n", bottle, []string{"row 3, column u_temp_C", "every row"}},
		{"two bottles", "temp_C,reading,bottle\n10,1414,A\n20,1414,B\n30,1407,A\n", bottle, []string{"row 3, column bottle", "--bottle"}},
		{"missing strength", ok, "--salt KCl", []string{"--strength"}},
		{"salt", ok, "--salt sugar --strength 0.01mol/kg", []string{"NaCl or KCl"}},
		{"step above readings", ok, "--salt KCl --strength 0.01mol/kg --resolution 5000", []string{"step of the display"}},
		{"step of 0", ok, "--salt KCl --strength 0.01mol/kg --resolution 0", []string{"--resolution"}},
		{"tolerance alone", ok, bottle + " --tolerance 5%", []string{"--tolerance needs --alpha"}},
		{"fraction of nothing", ok, bottle + " --alpha 0% --tolerance 5%", []string{"coefficient of 0"}},
		{"alpha", ok, bottle + " --alpha 2", []string{"2%"}},
		{"u-gain alone", ok, bottle + " --u-gain 0.01", []string{"--u-gain needs --gain"}},
		{"negative u-gain", ok, bottle + " --gain 1 --u-gain -0.01", []string{"--u-gain"}},
		{"gain of 0", ok, bottle + " --gain 0", []string{"--gain: 0 is out of range"}},
		{"gain in percent", ok, bottle + " --gain 97", []string{"--gain: 97 is out of range"}},
		{"ref temp", ok, bottle + " --ref-temp 77C", []string{"--ref-temp", "25C"}},
		{"strength", ok, "--salt KCl --strength 500g/L", []string{"strength"}},
		{"compensation is not for here", ok, bottle + " --compensation linear", []string{"unknown flag"}},
		{"ppm without a factor", ok, bottle + " --display ppm", []string{"--ppm-factor"}},
	} {
		r := invoke(compensationArgs(file(t, "bad.csv", c.text), c.flags)...)
		require.Equal(t, statusBadInput, r.status, "%s: %s", c.name, r.stderr)
		require.Empty(t, r.stdout, c.name)
		require.Equal(t, 1, strings.Count(r.stderr, "\n"), "%s: one line: %s", c.name, r.stderr)
		for _, w := range c.want {
			require.Contains(t, r.stderr, w, c.name)
		}
	}
	r := invoke("compensation", "--salt", "KCl", "--strength", "0.01mol/kg")
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "FILE.csv")
}

// Whatever stands in the file, the answer is a result with finite numbers or one
// line on stderr and status 2.
func FuzzCompensation(f *testing.F) {
	f.Add(kclPen(straightPen(0.02, 25), 1, 10, 20, 30), "1")
	f.Add("temp_C,reading\n10,1\n20,1\n30,1\n", "0.5")
	f.Add("temp_C;reading\n0;1e-9\n25;1e9\n50;1,5\n", "1e-12")
	f.Add("temp_C,reading,u_reading,u_temp_C\n0,1400,0,0\n25,1400,0,0\n50,1400,0,0\n", "1")
	f.Fuzz(func(t *testing.T, text, step string) {
		if strings.HasPrefix(step, "-") {
			return
		}
		r := invokeWith(text, "compensation", "-", "--json", "--salt", "KCl", "--strength", "0.01mol/kg", "--resolution", step, "--alpha", "2%", "--tolerance", "5%")
		switch r.status {
		case statusDone:
			var out map[string]any
			require.NoError(t, json.Unmarshal([]byte(r.stdout), &out), "%q", text)
			assert.NotNil(t, out["alpha_percent_per_C"], "%q", text)
		case statusBadInput:
			assert.Empty(t, r.stdout, "%q", text)
		default:
			t.Errorf("%q: status %d: %s", text, r.status, r.stderr)
		}
	})
}
