package main

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// penAndStock is a record with a pen that shows ppm and three bottles of one
// stock.
func penAndStock(t *testing.T) *session {
	t.Helper()
	s := newSession(t)
	s.ok("meter", "add", "tent pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--alpha", "2%", "--tolerance", "5%")
	for bottle, strength := range map[string]string{"A": "300mg/L", "B": "600mg/L", "C": "900mg/L"} {
		s.ok("bottle", "add", bottle, "--salt", "NaCl", "--strength", strength, "--u-strength", "0.3%", "--source", "stock 1", "--u-shared", "0.5%", "--made", "2026-02-01")
	}
	s.screen.Reset()
	return s
}

// points are those of a result.
func points(result map[string]any) []map[string]any {
	var out []map[string]any
	for _, p := range result["points"].([]any) {
		out = append(out, p.(map[string]any))
	}
	return out
}

// texts joins the warnings of a result.
func texts(result map[string]any) string { return fmt.Sprint(result["warnings"]) }

func number(t *testing.T, of any, keys ...string) float64 {
	t.Helper()
	for _, key := range keys {
		of = of.(map[string]any)[key]
	}
	require.IsType(t, 0.0, of, "%v", keys)
	return of.(float64)
}

func TestCalibrateWithBottlesOnRecordGolden(t *testing.T) {
	s := penAndStock(t)
	path := file(t, "pen.csv", `state,time,bottle,reading,temp_C
as-found,2026-03-01 09:00,A,270,18.0
as-found,2026-03-01 09:05,B,532,18.2
as-found,2026-03-01 09:10,C,784,18.1
as-left,2026-03-01 09:40,A,309,18.0
as-left,2026-03-01 09:45,B,607,18.2
as-left,2026-03-01 09:50,C,899,18.1
`)
	s.ok("calibrate", path, "--meter", "tent pen", "--u-temp", "0.2C", "--u-reading", "1", "--save", "--note", "trim turned by a quarter")
	shown := strings.ReplaceAll(s.screen.String(), path, filepath.Base(path))
	s.screen.Reset()
	s.screen.WriteString(shown)
	s.ok("meter", "show", "tent pen")
	s.golden("record/calibrate.txt")
	assert.Contains(t, s.ok("logbook", "check"), "nothing wrong")
}

// The reference of a bottle on record is what a perfect meter of that display
// shows, against the primary conductivities of KCl at 0.01 mol/kg: 1408.23
// uS/cm at 25 C, 1219.93 at 18 C and 1013.95 at 10 C (K.W. Pratt et al., IUPAC,
// Pure Appl. Chem. 73 (2001) 1783), to the 0.025 % by which the model meets
// them. Compensation is 1 + 2 % (t - 25 C), by its definition.
func TestReferenceOnTheDisplayOfTheMeter(t *testing.T) {
	s := newSession(t)
	s.ok("bottle", "add", "K", "--salt", "KCl", "--strength", "0.01mol/kg", "--u-strength", "0.1%")
	s.ok("meter", "add", "plain", "--quantity", "ec", "--compensation", "none")
	s.ok("meter", "add", "milli", "--quantity", "ec", "--unit", "mS/cm", "--compensation", "none")
	s.ok("meter", "add", "half", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--alpha", "2%")
	s.ok("meter", "add", "at 20", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.7", "--alpha", "1.9%", "--ref-temp", "20C")
	at := map[float64]float64{25: 1408.23, 18: 1219.93, 10: 1013.95}
	for meter, shows := range map[string]func(tempC float64) float64{
		"plain": func(t float64) float64 { return at[t] },
		"milli": func(t float64) float64 { return at[t] / 1000 },
		"half":  func(t float64) float64 { return 0.5 * at[t] / (1 + 0.02*(t-25)) },
		"at 20": func(t float64) float64 { return 0.7 * at[t] / (1 + 0.019*(t-20)) },
	} {
		for tempC := range at {
			want := shows(tempC)
			path := file(t, "one.csv", fmt.Sprintf("bottle,reading,temp_C\nk,%g,%g\n", want, tempC))
			v := s.json("calibrate", path, "--meter", meter, "--u-temp", "0")
			assert.InEpsilon(t, want, points(v)[0]["ref"], 0.00025, "%s at %g C", meter, tempC)
			assert.Equal(t, "K", points(v)[0]["bottle"], "as it is called on record")
		}
	}
	// The thermometer's error hardly shows on a meter that corrects for it, and
	// fully on one that does not: about 2 % for each C.
	path := file(t, "one.csv", "bottle,reading,temp_C,u_temp_C\nK,1220,18,0.5\n")
	without := points(s.json("calibrate", file(t, "two.csv", "bottle,reading,temp_C\nK,1220,18\n"), "--meter", "plain", "--u-temp", "0"))[0]
	with := points(s.json("calibrate", path, "--meter", "plain"))[0]
	grown := math.Sqrt(math.Pow(with["u_ref"].(float64), 2)-math.Pow(without["u_ref"].(float64), 2)) / 1219.93
	assert.InDelta(t, 0.5*0.0215, grown, 0.001)
	half := points(s.json("calibrate", path, "--meter", "half"))[0]
	assert.Less(t, half["u_ref"].(float64)/half["ref"].(float64), 0.002)
	// --u-temp stands in for an empty cell alone, --temp likewise.
	again := points(s.json("calibrate", path, "--meter", "plain", "--u-temp", "0", "--temp", "25C"))[0]
	assert.Equal(t, with["u_ref"], again["u_ref"])
	assert.Equal(t, 18.0, again["temp_C"])
	flags := points(s.json("calibrate", file(t, "three.csv", "bottle,reading\nK,1220\n"), "--meter", "plain", "--u-temp", "0.5C", "--temp", "18C"))[0]
	assert.Equal(t, with["u_ref"], flags["u_ref"])
	assert.Equal(t, 18.0, flags["temp_C"])
}

// Bottles named give what the same figures typed give: at 25 C nothing but the
// stock is shared (the model's share of a stated conductivity is nothing there).
func TestBottlesOnRecordAreWorthTheirFigures(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--alpha", "2%")
	text := "bottle,reading,u_reading,temp_C\n"
	typed := "bottle,ref,u_ref,ref_source,u_ref_shared,reading,u_reading,temp_C\n"
	for i, us := range []float64{706, 1413, 2767} {
		name, reading := string(rune('A'+i)), []float64{340, 690, 1372}[i]
		s.ok("bottle", "add", name, "--salt", "KCl", "--strength", fmt.Sprintf("%guS/cm", us), "--u-strength", "0.3%", "--source", "stock 1", "--u-shared", "0.8%")
		text += fmt.Sprintf("%s,%g,2,25\n", name, reading)
		typed += fmt.Sprintf("%s,%v,%v,stock 1,%v,%g,2,25\n", name, us/2, 0.003*us/2, 0.008*us/2, reading)
	}
	args := []string{"--meter", "P1", "--tolerance", "3%", "--at", "500", "--u-temp", "0"}
	recorded := s.json(append([]string{"calibrate", file(t, "recorded.csv", text)}, args...)...)
	byHand := s.json(append([]string{"calibrate", file(t, "typed.csv", typed)}, args[:6]...)...)
	for _, keys := range [][]string{{"p_within"}, {"worst_error"}, {"fit", "slope"}, {"fit", "intercept"}, {"fit", "u_slope"}, {"fit", "u_intercept"}, {"fit", "cov"}, {"fit", "chi2"}} {
		assert.InEpsilon(t, number(t, byHand, keys...), number(t, recorded, keys...), 1e-6, "%v", keys)
	}
	assert.Equal(t, byHand["verdict"], recorded["verdict"])
	assert.Equal(t, "errors-in-both", recorded["fit"].(map[string]any)["method"])
	for i, p := range points(recorded) {
		q := points(byHand)[i]
		for _, key := range []string{"ref", "u_ref", "u_ref_shared"} {
			assert.InEpsilon(t, q[key], p[key], 1e-9, "point %d, %s", i, key)
		}
		assert.Equal(t, "stock 1", p["ref_source"])
	}

	// The error of the stock does not average away: 0.8 % stays in the slope,
	// however exact the rest.
	exact := s.json("calibrate", file(t, "exact.csv", strings.ReplaceAll(text, ",2,25", ",0.01,25")), "--meter", "P1", "--u-temp", "0", "--fit", "gain")
	relative := number(t, exact, "fit", "u_slope") / number(t, exact, "fit", "slope")
	assert.Greater(t, relative, 0.0079)
	assert.Less(t, relative, 0.0087, "0.8 % shared and 0.3 % of each")

	// A reference typed beside them shares the error of the stock it names.
	mixed := strings.Replace(typed, "B,706.5,2.1195,stock 1,5.652,690", "B,,,,,690", 1)
	require.NotEqual(t, typed, mixed)
	both := s.json(append([]string{"calibrate", file(t, "mixed.csv", mixed)}, args...)...)
	for _, keys := range [][]string{{"fit", "slope"}, {"fit", "u_slope"}, {"fit", "u_intercept"}, {"p_within"}} {
		assert.InEpsilon(t, number(t, byHand, keys...), number(t, both, keys...), 1e-6, "%v", keys)
	}
}

// A pH buffer on record is one named in the column buffer, and needs no meter
// on record: its pH is on no scale of a display.
func TestBuffersOnRecord(t *testing.T) {
	s := newSession(t)
	s.ok("bottle", "add", "blue", "--buffer", "7.00", "--made", "2026-02-20")
	s.ok("bottle", "add", "red", "--buffer", "4.00", "--made", "2026-02-20")
	rest := ",7.19,-11.2,19.5\n%s,4.54,142.6,19.5\n"
	recorded := file(t, "recorded.csv", fmt.Sprintf("bottle,reading,mv,temp_C\nblue"+rest, "red"))
	named := file(t, "named.csv", fmt.Sprintf("buffer,reading,mv,temp_C\n7.00"+rest, "4.00"))
	want := s.json("calibrate", named, "--quantity", "ph", "--tolerance", "0.1")
	for _, args := range [][]string{{"--quantity", "ph", "--tolerance", "0.1"}, {"--meter", "glass"}} {
		if args[0] == "--meter" {
			s.ok("meter", "add", "glass", "--quantity", "ph", "--tolerance", "0.1")
		}
		got := s.json(append([]string{"calibrate", recorded}, args...)...)
		assert.Equal(t, want["fit"], got["fit"])
		assert.Equal(t, want["electrode"], got["electrode"])
		assert.Equal(t, want["p_within"], got["p_within"])
		assert.Equal(t, "blue", points(got)[0]["bottle"])
		assert.Contains(t, texts(got), "since nobody stated them: temperature")
	}
}

// What the record knows stands in for flags; a flag that says otherwise wins.
func TestTheMeterOnRecordStandsInForFlags(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ph", "--tolerance", "0.2", "--resolution", "0.01", "--range", "2..12")
	args := []string{"calibrate", "--point", "7.00=6.92", "--point", "4.00=4.10", "--temp", "20C", "--meter", "P1"}
	v := s.json(args...)
	assert.Equal(t, "ph", v["quantity"])
	assert.Equal(t, 0.2, v["tolerance"])
	assert.Equal(t, false, v["tolerance_relative"])
	assert.Equal(t, "pH", v["unit"])
	assert.NotContains(t, v, "id", "nothing is saved unasked")
	assert.Equal(t, v["p_within"], s.json(append(args, "--resolution", "0.01", "--tolerance", "0.2", "--quantity", "ph", "--unit", "pH")...)["p_within"])
	r := s.run(args...)
	assert.Contains(t, r.stderr, "note: P1 is on record: unit pH, tolerance 0.2, resolution 0.01\n")
	v = s.json(append(args, "--tolerance", "0.1", "--resolution", "0.1")...)
	assert.Equal(t, 0.1, v["tolerance"])
	assert.Contains(t, texts(v), "--tolerance 0.1 is used; on record that of P1 is 0.2")
	assert.Contains(t, texts(v), "--resolution 0.1 is used; on record that of P1 is 0.01")
	v = s.json("calibrate", "--point", "700=690", "--meter", "P1", "--quantity", "ec")
	assert.Contains(t, texts(v), "--quantity ec is used; the record has P1 as a meter of ph, and is not asked")
	assert.Nil(t, v["tolerance"])
	v = s.json("calibrate", "--point", "12.4=12", "--point", "7=7.02", "--meter", "P1", "--temp", "20C")
	assert.Contains(t, texts(v), "point 1 (ref 12.4) is left out of line and verdict: the display ends at 12, and 12 says only that there is at least as much")
	assert.Len(t, v["points"], 1)
	v = s.json("calibrate", "--point", "700=690", "--meter", "P7")
	assert.Equal(t, "P7", v["meter"], "a name that is not on record is a name")
	assert.Equal(t, "ec", v["quantity"])
}

func TestDoubtfulBottlesAreWarnedOf(t *testing.T) {
	s := penAndStock(t)
	s.ok("meter", "add", "P2", "--quantity", "ec", "--alpha", "2%", "--tolerance", "2%")
	day := func(meter, date, readings string) string {
		list := strings.Split(readings, " ")
		text := "time,bottle,reading,temp_C\n"
		for i, bottle := range []string{"A", "B", "C"} {
			text += fmt.Sprintf("%s,%s,%s,18\n", date, bottle, list[i])
		}
		path := file(t, "day.csv", text)
		v := s.json("calibrate", path, "--meter", meter, "--u-temp", "0.2C", "--u-reading", "2", "--save")
		return texts(v)
	}
	assert.NotContains(t, day("tent pen", "2026-02-10", "309 608 900"), "bottle")
	// One meter alone finds B off: its own affair.
	assert.NotContains(t, day("P2", "2026-02-11", "619 1300 1800"), "doubt the bottle")
	// The second finds it, too.
	assert.Contains(t, day("tent pen", "2026-02-12", "309 645 900"), "bottle B: 2 meters find it off in the same direction (tent pen by +6.1 %, P2 by +6.9 %)")
	// A meter that is off everywhere says nothing against a bottle.
	assert.NotContains(t, day("tent pen", "2026-02-13", "328 645 955"), "doubt the bottle")

	// Past its date, by the day of the reading and not by that of the command:
	// 90 days from 2026-02-01.
	atNoon(t, "2026-05-02T12:00:00Z")
	assert.NotContains(t, day("P2", "2026-05-02", "619 1216 1800"), "good until")
	assert.Contains(t, day("P2", "2026-05-03", "619 1216 1800"), "bottle A was good until 2026-05-02: make a fresh one")
	assert.Contains(t, day("P2", "2026-05-03", "619 1216 1801"), "the calibration lies in the future")
	assert.Contains(t, day("P2", "2026-01-31", "619 1216 1800"), "bottle C was made on 2026-02-01, after its reading of 2026-01-31")
}

// A bottle that was weighed again is worth what it was worth at the reading.
func TestTheVersionThatHeldAtTheReading(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ec", "--alpha", "2%")
	s.ok("bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "0.3%", "--full-mass", "552.3g", "--empty-mass", "52.3g", "--u-bottle-mass", "0.05g")
	s.ok("bottle", "weigh", "A", "--mass", "547.3g", "--time", "2026-02-15 12:00")
	path := file(t, "a.csv", "time,bottle,reading,temp_C\n2026-02-15 11:59,A,1215,25\n2026-02-15 12:01,A,1227,25\n")
	v := s.json("calibrate", path, "--meter", "P1", "--save", "--u-temp", "0.1C")
	before, after := points(v)[0]["ref"].(float64), points(v)[1]["ref"].(float64)
	assert.InDelta(t, 0.0101, after/before-1, 0.0004, "5 g of 500 g of water gone: 1 % stronger")
	assert.Contains(t, s.ok("logbook", "export"), `"bottle_id":"A/2"`)
	assert.Contains(t, texts(v), "bottle A was weighed again on 2026-02-15; its reading of 2026-02-15 is held against what it was worth before, A")
}

// A reference that was typed is used, whatever the record says.
func TestATypedReferenceWins(t *testing.T) {
	s := penAndStock(t)
	args := func(ref, rest string) []string {
		return []string{"calibrate", file(t, "one.csv", "bottle,ref,reading,temp_C"+rest+"\nB,"+ref+",600,18\n"), "--meter", "tent pen"}
	}
	v := s.json(args("640", "")...)
	assert.Equal(t, 640.0, points(v)[0]["ref"])
	assert.Nil(t, points(v)[0]["u_ref"])
	assert.Contains(t, texts(v), "row 2: ref is typed, 640, and used; the record says 607.89 of bottle B on tent pen: they differ by more than their uncertainty")
	v = s.json(args("612", "")...)
	assert.Equal(t, 612.0, points(v)[0]["ref"])
	assert.NotContains(t, texts(v), "ref is typed")
	// The same figure of another meter's display: a factor of 0.7 is caught.
	assert.Contains(t, texts(s.json(args("851", "")...)), "ref is typed, 851")
	// A file with all its references asks no record of its bottles.
	r := s.run("calibrate", file(t, "one.csv", "bottle,ref,reading,temp_C\nB,640,600,18\n"))
	assert.NotContains(t, r.stderr, "record")
	assert.Equal(t, statusDone, r.status)
}

func TestCalibrateRefusesWhatTheRecordCannotBack(t *testing.T) {
	s := penAndStock(t)
	s.ok("meter", "add", "old", "--quantity", "ec")
	s.ok("meter", "retire", "old", "--time", "2026-02-20")
	s.ok("bottle", "add", "rough", "--salt", "NaCl", "--strength", "600mg/L")
	s.ok("bottle", "add", "B7", "--buffer", "7.00")
	before := s.ok("logbook", "export")
	csv := func(text string) string { return file(t, "bad.csv", text) }
	one := csv("bottle,reading,temp_C\nB,600,18\n")
	for _, c := range []struct {
		args []string
		want []string
	}{
		{[]string{csv("bottle,reading,temp_C\nB,600,18\nX,300,18\n"), "--meter", "tent pen"}, []string{"bad.csv, row 3, column bottle", `"X"`, "there are A, B", "column ref"}},
		{[]string{csv("bottle,reading,temp_C\nB,600,18\nC,880,\n"), "--meter", "tent pen"}, []string{"bad.csv, row 3, column temp_C", "nothing", "--temp"}},
		{[]string{csv("bottle,reading\nB,600\n"), "--meter", "tent pen"}, []string{"row 2, column temp_C", "--temp"}},
		{[]string{csv("bottle,reading,temp_C\nB,600,64.4\n"), "--meter", "tent pen"}, []string{"row 2, column temp_C", "64.4", "Fahrenheit"}},
		{[]string{csv("bottle,reading,temp_C,u_temp_C\nB,600,18,30\n"), "--meter", "tent pen"}, []string{"row 2", "u_temp_C", "0 to 20"}},
		{[]string{csv("bottle,reading,temp_C,u_temp_C\nB,600,18,-1\n"), "--meter", "tent pen"}, []string{"row 2, column u_temp_C", "-1"}},
		{[]string{csv("bottle,reading,temp_C,u_ref\nB,600,18,2\n"), "--meter", "tent pen"}, []string{"row 2, column u_ref", `"2"`, "ref as well"}},
		{[]string{csv("bottle,reading,temp_C,u_ref_shared\nB,600,18,2\n"), "--meter", "tent pen"}, []string{"row 2, column u_ref_shared", "ref as well"}},
		{[]string{csv("bottle,reading,temp_C\n,600,18\n"), "--meter", "tent pen"}, []string{"row 2, column ref", "no such column", "column bottle"}},
		{[]string{csv("bottle,ref,reading,temp_C\nB,,600,18\n,,300,18\n"), "--meter", "tent pen"}, []string{"row 3, column ref", "nothing"}},
		{[]string{one}, []string{"row 2, column bottle", "--meter or the column meter"}},
		{[]string{one, "--meter", "P9"}, []string{"row 2, column bottle", `the meter "P9" on record`, "meter add"}},
		{[]string{csv("bottle,reading,temp_C\nB7,600,18\n"), "--meter", "tent pen"}, []string{"row 2, column bottle", "B7 is a reference of ph"}},
		{[]string{csv("bottle,reading,temp_C\nB,600,18\nrough,598,18\n"), "--meter", "tent pen"}, []string{"row 3, column bottle", `"rough"`, "--u-strength", "--u-ref"}},
		{[]string{one, "--meter", "tent pen", "--unit", "uS/cm"}, []string{"--unit uS/cm", "readings in ppm"}},
		{[]string{one, "--meter", "tent pen", "--quantity", "ph"}, []string{"--quantity ph", "one of ec"}},
		{[]string{"--point", "600=590", "--u-temp", "1C"}, []string{"--u-temp", "bottles on record"}},
		{[]string{one, "--save"}, []string{"--save needs --meter ID", "meter add"}},
		{[]string{one, "--save", "--meter", "tent pan"}, []string{`meter "tent pan" is not on record`, "the nearest is tent pen", "meter add"}},
		{[]string{"--point", "600=590", "--save", "--meter", "old"}, []string{"old is out of use since 2026-02-20", "--correct", "--time"}},
		{[]string{"--point", "600=590", "--save", "--meter", "tent pen", "--unit", "uS/cm"}, []string{"readings in ppm"}},
		{[]string{"--point", "600=590", "--meter", "tent pen", "--note", "a note"}, []string{"--note belongs to --save"}},
		{[]string{"--point", "600=590", "--meter", "tent pen", "--corrects", "x"}, []string{"--corrects belongs to --save"}},
		{[]string{csv("state,bottle,reading,temp_C\nas-found,B,600,18\nas-left,B,607,18\n"), "--meter", "tent pen", "--zero", "2"}, []string{"--zero", "--state"}},
	} {
		r := s.run(append([]string{"calibrate"}, c.args...)...)
		assert.Equal(t, statusBadInput, r.status, "%v: %s", c.args, r.stderr)
		assert.Empty(t, r.stdout, "%v", c.args)
		for _, text := range c.want {
			assert.Contains(t, r.stderr, text, "%v", c.args)
		}
	}
	assert.Equal(t, before, s.ok("logbook", "export"), "nothing was saved")

	// A meter may be checked, and a check of before entered late.
	assert.Contains(t, s.run("calibrate", "--point", "600=590", "--meter", "old").stderr, "out of use since 2026-02-20")
	s.ok("calibrate", "--point", "600=590", "--meter", "old", "--time", "2026-02-19", "--save")
	// Unknown alone is no half column: the readings are judged by their scatter.
	v := s.json("calibrate", csv("bottle,reading,temp_C\nrough,598,18\n"), "--meter", "tent pen")
	assert.Nil(t, points(v)[0]["u_ref"])
	assert.Contains(t, texts(v), "of bottle rough: its uncertainty is unknown, not zero")

	empty := filepath.Join(t.TempDir(), "none.db")
	for text, args := range map[string][]string{
		"row 2, column ref: found nothing; want the reference, or a bottle on record": {one, "--meter", "tent pen"},
		"there is no record yet; \"meter add\" or \"bottle add\" begins one":          {"--point", "600=590", "--meter", "tent pen", "--save"},
	} {
		r := invoke(append([]string{"--logbook", empty, "calibrate"}, args...)...)
		assert.Equal(t, statusBadInput, r.status)
		assert.Contains(t, r.stderr, text)
		assert.NoFileExists(t, empty)
	}
}
