package main

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const compareData = "../../testdata/compare/"

// compareLines are comparisons as people ask for them.
var compareLines = map[string][]string{
	"three-pens":    {"three-pens.csv", "--tolerance", "5%"},
	"no-tolerance":  {"three-pens.csv"},
	"no-reference":  {"no-reference.csv", "--tolerance", "5%"},
	"peak-flow":     {"peak-flow.csv", "--quantity", "other", "--tolerance", "10"},
	"one-bottle":    {"one-bottle.csv", "--tolerance", "5%"},
	"cold-and-warm": {"cold-and-warm.csv", "--tolerance", "5%"},
	"known-factor":  {"three-pens.csv", "--tolerance", "5%", "--ppm-factor", "P1=1", "--ppm-factor", "P2=1", "--ppm-factor", "P3=1"},
	"ph":            {"ph.csv", "--quantity", "ph", "--tolerance", "0.1"},
}

func TestCompareGolden(t *testing.T) {
	for name, line := range compareLines {
		args := append([]string{"compare"}, line...)
		shown := screen(args, invoke(append([]string{"compare", compareData + line[0]}, line[1:]...)...))
		golden(t, "compare/"+name+".txt", shown)
		r := invoke(append([]string{"compare", "--json", compareData + line[0]}, line[1:]...)...)
		assert.Equal(t, statusDone, r.status, name)
		golden(t, "compare/"+name+".json", sixDigits(r.stdout))
	}
}

// sixDigits rounds the numbers of a JSON text, so that a golden file does not
// depend on the last bits of the machine's arithmetic.
func sixDigits(text string) string {
	return regexp.MustCompile(`-?\d+\.\d+(e[-+]?\d+)?`).ReplaceAllStringFunc(text, func(number string) string {
		x, err := strconv.ParseFloat(number, 64)
		if err != nil {
			return number
		}
		return strconv.FormatFloat(x, 'g', 6, 64)
	})
}

func compareJSON(t *testing.T, csv string, flags ...string) map[string]any {
	t.Helper()
	r := invokeWith(csv, append([]string{"compare", "-", "--json"}, flags...)...)
	require.Equal(t, statusDone, r.status, r.stderr)
	var out map[string]any
	require.NoError(t, json.Unmarshal([]byte(r.stdout), &out))
	return out
}

// The keys that scripts rely on.
func TestCompareJSONKeys(t *testing.T) {
	out := compareJSON(t, "meter,sample,reading,ref\nP1,a,100,100\nP2,a,103,100\nP1,b,200,200\nP2,b,207,200\nP1,c,301,300\nP2,c,309,300\n", "--tolerance", "5%")
	for _, key := range []string{"quantity", "pairs", "meters", "trust", "causes", "next", "warnings"} {
		assert.Contains(t, out, key)
	}
	assert.Equal(t, "ec", out["quantity"])
	assert.Nil(t, out["trust"], "3 % is within the tolerance")
	assert.NotEmpty(t, out["next"])
	sum, last := 0.0, 1.0
	for _, c := range out["causes"].([]any) {
		cause := c.(map[string]any)
		for _, key := range []string{"cause", "meter", "sample", "size", "probability", "text"} {
			assert.Contains(t, cause, key)
		}
		p := cause["probability"].(float64)
		assert.LessOrEqual(t, p, last, "ordered by probability")
		sum, last = sum+p, p
	}
	assert.InDelta(t, 1, sum, 1e-9)
	pair := out["pairs"].([]any)[0].(map[string]any)
	for _, key := range []string{"a", "b", "n", "bias", "u_bias", "ratio", "limits_low", "limits_high", "slope", "intercept", "p_agree", "verdict"} {
		assert.Contains(t, pair, key)
	}
	assert.Equal(t, "P1", pair["a"])
	assert.InDelta(t, (3+7+8)/3.0, pair["bias"].(float64), 1e-9)
	assert.InDelta(t, 1.03, pair["ratio"].(float64), 0.005)
	meters := out["meters"].([]any)
	require.Len(t, meters, 2)
	second := meters[1].(map[string]any)
	assert.Equal(t, "P2", second["meter"])
	assert.InDelta(t, 0.035, second["worst_error"].(float64), 1e-9, "a fraction, as the tolerance is")
	assert.Contains(t, second, "verdict")
}

// What is not known is null and never a number.
func TestCompareUnknownIsNull(t *testing.T) {
	out := compareJSON(t, "meter,sample,reading\nP1,a,100\nP2,a,103\n")
	pair := out["pairs"].([]any)[0].(map[string]any)
	for _, key := range []string{"u_bias", "limits_low", "limits_high", "slope", "intercept", "p_agree", "verdict"} {
		assert.Nil(t, pair[key], key)
	}
	assert.InDelta(t, 3, pair["bias"].(float64), 1e-12)
	meter := out["meters"].([]any)[0].(map[string]any)
	assert.Nil(t, meter["verdict"])
	assert.Nil(t, meter["worst_error"])

	out = compareJSON(t, "meter,sample,reading\nP1,a,100\nP2,a,103\n", "--tolerance", "5%")
	pair = out["pairs"].([]any)[0].(map[string]any)
	assert.Nil(t, pair["p_agree"])
	assert.Equal(t, "undecided", pair["verdict"], "a tolerance was given, so there is an answer")
}

func TestCompareRefusesBadInputInOneLine(t *testing.T) {
	const head = "meter,sample,reading,ref\n"
	for name, c := range map[string]struct{ csv, want string }{
		"one meter":        {head + "P1,a,100,\nP1,b,200,\n", `standard input: column meter: only one meter, "P1"`},
		"nothing shared":   {head + "P1,a,100,\nP2,b,200,\n", "standard input: column sample: no two meters read the same sample (a, b)"},
		"mixed units":      {head + "P1,a,610,600\nP2,a,603,600\nP1,b,1.42,1413\nP2,b,1410,1413\n", "standard input, row 4, column reading: found 1.42 for meter P1"},
		"unit in a cell":   {head + "P1,a,610uS/cm,\nP2,a,603,\n", "row 2, column reading"},
		"text":             {head + "P1,a,610,\nP2,a,many,\n", `row 3, column reading: found "many"; want a number`},
		"nan":              {head + "P1,a,NaN,\nP2,a,603,\n", "row 2, column reading"},
		"duplicate header": {"meter,sample,reading,reading\nP1,a,1,1\n", "row 1, column reading"},
		"missing column":   {"meter,reading\nP1,1\n", "column sample"},
		"empty":            {"", "standard input"},
		"header alone":     {head, "standard input"},
		"blank meter":      {head + ",a,610,\nP2,a,603,\n", "row 2, column meter"},
		"two references":   {head + "P1,a,610,600\nP1,a,612,630\nP2,a,603,600\n", "row 3, column ref: 630 for meter P1 in sample a, but 600 in row 2"},
		"replicate twice":  {"meter,sample,reading,replicate\nP1,a,610,1\nP1,a,690,1\nP2,a,600,1\n", "row 3, column replicate: replicate 1 of meter P1"},
		"negative u":       {"meter,sample,reading,ref,u_ref\nP1,a,610,600,-1\nP2,a,603,600,1\n", "row 2, column u_ref"},
		"nothing conducts": {head + "P1,a,-5,-5\nP2,a,-5,-5\n", "row 2, column ref: found -5; want 0 or more"},
		"fahrenheit":       {"meter,sample,reading,temp_C\nP1,a,610,25\nP2,a,603,68\n", "row 3, column temp_C: found 68; want -5 to 50 (a temperature in C; is this one in Fahrenheit?)"},
		"contradicting":    {head + "P1,a,1413,\nP2,a,1410,\nP1,a,1700,\n", "row 4, column reading: found 1700 for meter P1 in sample a, but 1413 in row 2"},
		"contradicting by more than others scatter": {head + "P1,a,1000,\nP1,a,1700,\nP2,a,1000,\nP1,b,600,\nP1,b,602,\nP1,b,599,\nP2,b,600,\n", "row 3, column reading: found 1700"},
	} {
		r := invokeWith(c.csv, "compare", "-", "--tolerance", "5%")
		assert.Equal(t, statusBadInput, r.status, name)
		assert.Empty(t, r.stdout, name)
		assert.Contains(t, r.stderr, c.want, name)
		assert.Equal(t, 1, strings.Count(r.stderr, "\n"), "%s: one line: %s", name, r.stderr)
	}
	for kind, c := range map[string]struct{ csv, want string }{
		"ph":          {head + "P1,a,7.01,7\nP2,a,77,7\n", "row 3, column reading: found 77; want the pH shown, from -2 to 16"},
		"humidity":    {head + "P1,a,75,\nP2,a,120,\n", "row 3, column reading: found 120; want -10 to 110"},
		"temperature": {head + "P1,a,-5,-5\nP2,a,-5,-5\nP1,b,5,5\nP2,b,5,5\n", "row 4, column ref: found 5 beside references of the other sign"},
		"oxygen":      {head + "P1,a,8,-8\nP2,a,8,8\n", "row 2, column ref: found -8"},
	} {
		r := invokeWith(c.csv, "compare", "-", "--tolerance", "5%", "--quantity", kind)
		assert.Equal(t, statusBadInput, r.status, kind)
		assert.Contains(t, r.stderr, c.want, kind)
	}
	r := invokeWith(head+"P1,a,7.01,77\nP2,a,7.02,77\n", "compare", "-", "--quantity", "ph")
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "row 2, column ref: found 77; want 0 to 14 (a buffer's pH)")
	r = invokeWith("meter,sample,reading\nP1,a,68\nP2,a,20\nP1,b,77\nP2,b,25\n", "compare", "-", "--quantity", "temperature")
	assert.Contains(t, r.stderr, "row 2, column reading: found 68 for meter P1, what a thermometer in Fahrenheit shows")
	for want, args := range map[string][]string{
		"needs FILE.csv":       {"compare"},
		"there is no such":     {"compare", "no.csv"},
		"is not above zero":    {"compare", compareData + "ph.csv", "--tolerance", "0"},
		"nearest is --toleran": {"compare", compareData + "ph.csv", "--tolerence", "5%"},
		"temperature":          {"compare", compareData + "ph.csv", "--quantity", "temprature"},
	} {
		r := invoke(args...)
		assert.Equal(t, statusBadInput, r.status, args)
		assert.Contains(t, r.stderr, want)
	}
}

// A fault is named, with whose it is and how large, and the other meter trusted.
func TestCompareSaysWhy(t *testing.T) {
	var b strings.Builder
	b.WriteString("meter,sample,reading,temp_C,ref,u_ref\n")
	for _, bottle := range []struct{ name, good, doubtful, temp, ref, u string }{
		{"a", "452", "583", "18", "450", "2.7"}, {"b", "899", "1029", "24", "900", "5.4"},
		{"c", "1406", "1545", "21", "1413", "8.5"}, {"d", "2105", "2228", "29", "2100", "12.6"},
	} {
		b.WriteString("good," + bottle.name + "," + bottle.good + "," + bottle.temp + "," + bottle.ref + "," + bottle.u + "\n")
		b.WriteString("doubtful," + bottle.name + "," + bottle.doubtful + "," + bottle.temp + "," + bottle.ref + "," + bottle.u + "\n")
	}
	out := compareJSON(t, b.String(), "--tolerance", "5%")
	first := out["causes"].([]any)[0].(map[string]any)
	assert.Equal(t, "zero", first["cause"])
	assert.Equal(t, "doubtful", first["meter"])
	assert.InDelta(t, 130, first["size"].(float64), 10)
	assert.Equal(t, "reading", first["size_of"])
	assert.Greater(t, first["probability"].(float64), 0.9)
	assert.Equal(t, "good", out["trust"])
	assert.Contains(t, first["text"], "too much everywhere, whatever the strength; rinse its probe")
}

func TestComparePPMFactors(t *testing.T) {
	for want, args := range map[string][]string{
		"want METER=FACTOR":    {"--ppm-factor", "0.5"},
		"a factor is above 0":  {"--ppm-factor", "P1=0"},
		"nearest is P1":        {"--ppm-factor", "P11=0.5"},
		"there are P1, P2, P3": {"--ppm-factor", "another=0.5"},
		"0,5":                  {"--ppm-factor", "P1=0,5"},
	} {
		r := invoke(append([]string{"compare", compareData + "three-pens.csv"}, args...)...)
		assert.Equal(t, statusBadInput, r.status, args)
		assert.Empty(t, r.stdout)
		assert.Contains(t, r.stderr, want)
	}
}

// Repetitions that contradict each other are a finding: shown, and warned of.
func TestCompareWarnsOfContradictoryReplicates(t *testing.T) {
	r := invokeWith("meter,sample,reading\nP1,a,1413\nP1,a,1550\nP2,a,1410\nP1,b,600\nP2,b,603\n", "compare", "-")
	assert.Equal(t, statusDone, r.status)
	assert.Contains(t, r.stderr, "warning: the readings of meter P1 in sample a contradict each other (1413 to 1550)")
}

func TestCompareCheck(t *testing.T) {
	agreeing := "meter,sample,reading\nP1,a,600\nP2,a,603\nP1,b,1413\nP2,b,1409\nP1,c,2760\nP2,c,2770\n"
	assert.Equal(t, statusDone, invokeWith(agreeing, "compare", "-", "--tolerance", "5%", "--check").status)
	assert.Equal(t, statusNotPassing, invokeWith(agreeing, "compare", "-", "--check").status, "no tolerance, no verdict")
	bad := invoke("compare", "--check", compareData+"three-pens.csv", "--tolerance", "5%")
	assert.Equal(t, statusNotPassing, bad.status)
	assert.Contains(t, bad.stdout, "disagree", "the result is shown all the same")
}

// Semicolons, decimal commas and the order of columns and flags change nothing.
func TestCompareReadsAnyDialect(t *testing.T) {
	a := compareJSON(t, "meter,sample,reading\nP1,a,600.5\nP2,a,603\nP1,b,1413\nP2,b,1409\n")
	b := compareJSON(t, "\ufeffreading;sample;meter\r\n600,5;a;P1\r\n603;a;P2\r\n1413;b;P1\r\n1409;b;P2\r\n")
	assert.Equal(t, a, b)
}

// Whatever the text, the answer is a result or one line of refusal.
func FuzzCompare(f *testing.F) {
	f.Add("meter,sample,reading,ref,u_ref,u_reading,ref_source,u_ref_shared\nP1,a,1,1,0,0,x,0\nP2,a,1,1,0,0,x,0\n")
	f.Add("meter;sample;reading\nP1;a;1e300\nP2;a;-1e300\nP1;b;0\nP2;b;0\n")
	f.Add("meter,sample,reading,ref\nP1,a,1,0\nP2,a,1,0\nP1,b,1,-0\nP2,b,1e-300,5\nP1,c,3,1e308\nP2,c,3,1\n")
	f.Fuzz(func(t *testing.T, csv string) {
		for _, args := range [][]string{{"--json", "--tolerance", "5%"}, {"--tolerance", "0.1"}} {
			r := invokeWith(csv, append([]string{"compare", "-"}, args...)...)
			if r.status == statusBadInput {
				assert.Empty(t, r.stdout)
				assert.NotEmpty(t, r.stderr)
				continue
			}
			require.Equal(t, statusDone, r.status, r.stderr)
			assert.NotContains(t, r.stdout, "NaN")
			assert.NotContains(t, r.stdout, "Inf")
		}
	})
}

// A meter with a gain error beyond the tolerance is found by the references, and
// a good one is left alone.
func TestCompareFindsTheMeterThatIsWrong(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 1))
	for _, gain := range []float64{0.90, 1, 1.09} {
		var b strings.Builder
		b.WriteString("meter,sample,reading,ref,u_ref,u_reading\n")
		for i, ref := range []float64{500, 1000, 1413, 2000, 2760} {
			for k, meter := range []string{"good", "doubtful"} {
				g := []float64{1, gain}[k]
				reading := ref * g * (1 + 0.004*rng.NormFloat64())
				line, _ := json.Marshal([]float64{reading, ref, 0.006 * ref, 0.004 * ref})
				b.WriteString(meter + ",bottle " + string(rune('A'+i)) + "," + strings.Trim(string(line), "[]") + "\n")
			}
		}
		out := compareJSON(t, b.String(), "--tolerance", "5%")
		verdicts := map[string]any{}
		for _, m := range out["meters"].([]any) {
			verdicts[m.(map[string]any)["meter"].(string)] = m.(map[string]any)["verdict"]
		}
		want, pair := "pass", "agree"
		if gain != 1 {
			want, pair = "fail", "disagree"
		}
		assert.Equal(t, map[string]any{"good": "pass", "doubtful": want}, verdicts, "gain %v", gain)
		assert.Equal(t, pair, out["pairs"].([]any)[0].(map[string]any)["verdict"])
	}
}

// The display's step is what was typed: 6.00 resolves hundredths.
func TestCompareTakesTheStepAsTyped(t *testing.T) {
	out := compareJSON(t, "meter,sample,reading\nP1,a,6.00\nP2,a,6.00\nP1,b,7.00\nP2,b,7.00\nP1,c,9.00\nP2,c,9.00\n", "--quantity", "ph", "--tolerance", "0.1")
	pair := out["pairs"].([]any)[0].(map[string]any)
	assert.InDelta(t, 0.01*math.Sqrt(2.0/12/3), pair["u_bias"].(float64), 1e-9)
	assert.Equal(t, "agree", pair["verdict"])
	out = compareJSON(t, "meter,sample,reading\nP1,a,6\nP2,a,6\nP1,b,7\nP2,b,7\nP1,c,9\nP2,c,9\n", "--quantity", "ph", "--tolerance", "0.1")
	assert.Equal(t, "undecided", out["pairs"].([]any)[0].(map[string]any)["verdict"])
}

// A third opinion, a label good to 10 %, may be added to a sample that has a
// reference: it is said, and it decides nothing.
func TestCompareTakesAThirdOpinion(t *testing.T) {
	var b strings.Builder
	b.WriteString("meter,sample,reading,ref,u_ref,ref_source,u_ref_shared\n")
	for _, bottle := range []string{"a,452,%450,2.7,jar 1,2", "b,904,%900,5.4,jar 1,4", "c,1406,%1413,8.5,jar 1,6", "d,2105,%2100,12.6,jar 1,9"} {
		b.WriteString("good," + strings.Replace(bottle, "%", "", 1) + "\n")
		_, ref, _ := strings.Cut(bottle, "%")
		name, value, _ := strings.Cut(strings.Split(bottle, ",%")[0], ",")
		x, err := strconv.ParseFloat(value, 64)
		require.NoError(t, err)
		b.WriteString("low," + name + "," + strconv.Itoa(int(0.88*x)) + "," + ref + "\n")
	}
	before := compareJSON(t, b.String(), "--tolerance", "5%")
	b.WriteString("good,c,1406,1550,155,label,\n")
	after := compareJSON(t, b.String(), "--tolerance", "5%")
	assert.Empty(t, before["warnings"])
	require.Len(t, after["warnings"], 1)
	assert.Contains(t, after["warnings"].([]any)[0], "1550 (u 160, label)")
	for i := range 2 {
		a, b := before["meters"].([]any)[i].(map[string]any), after["meters"].([]any)[i].(map[string]any)
		assert.Equal(t, a["verdict"], b["verdict"])
		assert.Equal(t, a["n"], b["n"])
		assert.InDelta(t, a["worst_error"].(float64), b["worst_error"].(float64), 0.001)
	}
	first := func(out map[string]any) map[string]any { return out["causes"].([]any)[0].(map[string]any) }
	assert.Equal(t, "gain", first(after)["cause"])
	assert.Equal(t, "low", first(after)["meter"])
	assert.InDelta(t, first(before)["probability"].(float64), first(after)["probability"].(float64), 0.01)
	assert.Equal(t, "good", after["trust"])
}

// Tables keep to 80 columns whatever the names, which stay apart in them; the
// JSON has them in full.
func TestCompareCutsLongNamesInTables(t *testing.T) {
	names := []string{"the-blue-meter-in-the-big-greenhouse", "the-white-meter-in-the-big-greenhouse", "ein blaues Messgerät mit sehr langem Namen, zweites Haus"}
	var b strings.Builder
	b.WriteString("meter;sample;reading;ref;u_ref\n")
	for i, sample := range []string{"the bottle from the red box", "c-from-the-big-barrel-with-the-red-label", "c-from-the-big-barrel-with-the-reddish-label", "d"} {
		for k, name := range names {
			ref := 500 * float64(i+1)
			b.WriteString(name + ";" + sample + ";" + strconv.FormatFloat(ref*(1+0.05*float64(k))+float64(i*k), 'f', 1, 64) + ";" + strconv.FormatFloat(ref, 'f', 0, 64) + ";2\n")
		}
	}
	r := invokeWith(b.String(), "compare", "-", "--tolerance", "2%")
	require.Equal(t, statusDone, r.status, r.stderr)
	for _, line := range strings.Split(r.stdout, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 80, line)
	}
	assert.Contains(t, r.stdout, "the-bl", "the beginning of a name")
	assert.Contains(t, r.stdout, "the-wh")
	out := compareJSON(t, b.String(), "--tolerance", "2%")
	for i, m := range out["meters"].([]any) {
		assert.Equal(t, names[i], m.(map[string]any)["meter"])
	}
}

// A figure of unknown uncertainty has no more digits than the displays.
func TestCompareWritesNoMoreDigitsThanTheDisplays(t *testing.T) {
	r := invokeWith("meter,sample,reading\nP1,a,6.02\nP2,a,6.01\n", "compare", "-", "--quantity", "ph")
	assert.Contains(t, r.stdout, " -0.01 ± unknown")
	r = invokeWith("meter,sample,reading\nP1,a,1413\nP2,a,1501\n", "compare", "-")
	assert.Contains(t, r.stdout, " +88 ± unknown  1.06 ± unknown")
}

func TestCompareSaysWhereNothingCanBeSaid(t *testing.T) {
	r := invokeWith("meter,sample,reading\nP1,a,0\nP2,a,0\nP1,b,0\nP2,b,0\nP1,c,0\nP2,c,0\n", "compare", "-", "--tolerance", "5%")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stdout, "No cause stands out: these readings do not tell.")
	assert.Contains(t, r.stderr, "of readings of 0 a tolerance in percent allows nothing")
	r = invokeWith("meter,sample,reading\nP1,a,600\nP2,a,610\nP1,b,1000\nP2,b,1010\nP1,c,1400\nP2,c,1410\n", "compare", "-", "--tolerance", "5%")
	assert.NotContains(t, r.stdout, "10 (10 to 10)")
	assert.Contains(t, r.stdout, "10.8 (10.3 to 15.2)")
}
