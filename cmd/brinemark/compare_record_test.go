package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// file writes a table beside the record.
func (s *session) table(name, csv string) string {
	s.t.Helper()
	path := filepath.Join(filepath.Dir(s.file), name)
	require.NoError(s.t, os.WriteFile(path, []byte(csv), 0o600))
	return path
}

// exported are the rows of one kind on record.
func (s *session) exported(kind string) []map[string]any {
	s.t.Helper()
	r := invoke("logbook", "export", "--logbook", s.file)
	require.Equal(s.t, statusDone, r.status, r.stderr)
	var out []map[string]any
	for _, line := range strings.Split(strings.TrimSpace(r.stdout), "\n") {
		var row map[string]any
		require.NoError(s.t, json.Unmarshal([]byte(line), &row))
		if row["kind"] == kind {
			out = append(out, row)
		}
	}
	return out
}

// shelfOfBottles is a record with two pens of different displays and three
// bottles of one stock.
func shelfOfBottles(t *testing.T) *session {
	s := newSession(t)
	s.ok("meter", "add", "tent pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--alpha", "2%", "--tolerance", "3%", "--range", "0..1999", "--resolution", "1")
	s.ok("meter", "add", "blue", "--quantity", "ec", "--unit", "uS/cm", "--alpha", "1.9%", "--tolerance", "3%")
	for name, strength := range map[string]string{"A": "300mg/L", "B": "600mg/L", "C": "900mg/L"} {
		s.ok("bottle", "add", name, "--salt", "NaCl", "--strength", strength, "--u-strength", "0.2%", "--source", "stock 1", "--u-shared", "1.5%", "--made", "2026-02-01")
	}
	return s
}

const penTable = `meter,bottle,reading,u_reading,temp_C
tent pen,A,306,1,19.5
blue,A,618,2,19.5
tent pen,B,603,1,19.5
blue,B,1215,2,19.5
tent pen,C,893,1,12
blue,C,1795,2,12
`

func TestCompareBottlesOnRecord(t *testing.T) {
	s := shelfOfBottles(t)
	s.screen.Reset()
	path := s.table("pens.csv", penTable)
	s.ok("compare", path, "--u-temp", "0.3C", "--save", "--note", "after the new battery")
	s.ok("meter", "show", "tent pen")
	s.ok("compare", s.table("no-bottles.csv", strings.ReplaceAll(penTable, ",bottle,", ",sample,")))
	text := chance.ReplaceAllString(s.screen.String(), "$1-xxxxxxxxxxxx")
	golden(t, "record/compare.txt", strings.ReplaceAll(text, filepath.Dir(s.file)+string(filepath.Separator), ""))
}

// What a bottle should show on each meter at each temperature: KCl of
// 0.01 mol/kg has 1219.93 uS/cm at 18 C and 1408.23 at 25 C (K.W. Pratt et al.,
// IUPAC, Pure Appl. Chem. 73 (2001) 1783). A program that ignores the meter's
// factor, its compensation or the temperature gets others.
func TestCompareTakesTheReferenceFromTheRecord(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "plain", "--quantity", "ec", "--unit", "uS/cm", "--compensation", "none")
	s.ok("meter", "add", "ppm", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.64", "--compensation", "none")
	s.ok("meter", "add", "milli", "--quantity", "ec", "--unit", "mS/cm", "--alpha", "2%")
	s.ok("bottle", "add", "K", "--salt", "KCl", "--strength", "0.01mol/kg", "--u-strength", "0.1%")
	out := s.json("compare", s.table("k.csv", `meter,bottle,sample,reading,temp_C
plain,K,,1220,18
PPM,k,K,781,18
milli,K,,1.42,18
plain,K,warm,1408,25
PPM,K,warm,901,25
`), "--save", "--tolerance", "2%")
	want := map[string][]float64{
		"plain": {1219.93, 1408.23}, "PPM": {0.64 * 1219.93, 0.64 * 1408.23}, "milli": {1.21993 / (1 - 7*0.02)},
	}
	for _, m := range out["meters"].([]any) {
		meter := m.(map[string]any)
		samples := meter["samples"].([]any)
		require.Len(t, samples, len(want[meter["meter"].(string)]), meter["meter"])
		for i, sample := range samples {
			assert.InEpsilon(t, want[meter["meter"].(string)][i], sample.(map[string]any)["ref"].(float64), 0.0005, "%v, %d", meter["meter"], i)
		}
	}
	rows := s.exported("comparison")
	require.Len(t, rows, 1)
	second := rows[0]["readings"].([]any)[1].(map[string]any)
	assert.Equal(t, "PPM", second["meter"], "as it was named")
	assert.Equal(t, "ppm", second["meter_id"])
	assert.Equal(t, "K", second["bottle_id"])

	// The flag goes before the record, for the reference too.
	r := s.run("compare", "--json", filepath.Join(filepath.Dir(s.file), "k.csv"), "--ppm-factor", "PPM=0.5")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stdout, "--ppm-factor PPM=0.5 is taken; on record ppm shows ppm with factor 0.64")
	var flagged map[string]any
	require.NoError(t, json.Unmarshal([]byte(r.stdout), &flagged))
	meter := flagged["meters"].([]any)[1].(map[string]any)
	assert.InEpsilon(t, 0.5*1219.93, meter["samples"].([]any)[0].(map[string]any)["ref"].(float64), 0.0005)
}

// Bottles of one stock share its error: the verdicts are those of a table that
// says so, and not those of one that says it of each bottle alone.
func TestCompareKeepsWhatBottlesShare(t *testing.T) {
	s := shelfOfBottles(t)
	// Both meters 1.5 % high, of 3 % allowed: how sure that is within rests on
	// the stock's 1.5 %, which three bottles do not average away.
	table := "meter,bottle,reading,u_reading,temp_C\n"
	refs := map[string][]float64{}
	for _, bottle := range []string{"A", "B", "C"} {
		for meter, factor := range map[string]string{"tent pen": "0.5", "blue": "1"} {
			strength := map[string]string{"A": "300mg/L", "B": "600mg/L", "C": "900mg/L"}[bottle]
			alpha := map[string]string{"tent pen": "2%", "blue": "1.9%"}[meter]
			r := invoke("reference", "--json", "--salt", "NaCl", "--strength", strength, "--temp", "19.5C", "--ppm-factor", factor, "--alpha", alpha)
			if factor == "1" {
				r = invoke("reference", "--json", "--salt", "NaCl", "--strength", strength, "--temp", "19.5C", "--alpha", alpha)
			}
			require.Equal(t, statusDone, r.status, r.stderr)
			var out map[string]any
			require.NoError(t, json.Unmarshal([]byte(r.stdout), &out))
			ref := out["display"].(float64)
			refs[meter] = append(refs[meter], ref)
			table += fmt.Sprintf("%s,%s,%.0f,%.3f,19.5\n", meter, bottle, 1.015*ref, 0.002*ref)
		}
	}
	pWithin := func(out map[string]any) map[string]float64 {
		p := map[string]float64{}
		for _, m := range out["meters"].([]any) {
			p[m.(map[string]any)["meter"].(string)] = m.(map[string]any)["p_within"].(float64)
		}
		return p
	}
	onRecord := pWithin(s.json("compare", s.table("shared.csv", table)))

	typed := func(shared bool) map[string]float64 {
		lines := strings.Split(strings.TrimSpace(table), "\n")
		text := "meter,sample,reading,u_reading,temp_C,ref,u_ref,ref_source,u_ref_shared\n"
		for _, line := range lines[1:] {
			cells := strings.Split(line, ",")
			ref := refs[cells[0]][strings.Index("ABC", cells[1])]
			own, stock := 0.002*ref, math.Hypot(0.015, 0.001)*ref // the model's 0.1 % is of all bottles as well
			if !shared {
				own, stock = math.Hypot(own, stock), 0
			}
			text += fmt.Sprintf("%s,%g,%g,stock 1,%g\n", line, ref, own, stock)
		}
		return pWithin(s.json("compare", s.table("typed.csv", text)))
	}
	together, alone := typed(true), typed(false)
	for meter, p := range onRecord {
		assert.InDelta(t, together[meter], p, 0.01, meter)
		assert.Greater(t, math.Abs(alone[meter]-p), 0.05, "%s: %v if each bottle had its own error", meter, alone[meter])
	}
	comparison := s.json("compare", s.table("shared.csv", table), "--save")
	require.NotEmpty(t, comparison["id"])
	saved := s.exported("comparison")[0]["readings"].([]any)[0].(map[string]any)
	assert.Equal(t, "stock 1", saved["ref_source"])
	var ids []string
	for _, part := range saved["ref_parts"].([]any) {
		ids = append(ids, part.(map[string]any)["source"].(map[string]any)["id"].(string))
	}
	assert.Contains(t, ids, "source:stock 1")
	assert.Contains(t, ids, "model:NaCl")
}

// A meter's factor on record says what a typed one says.
func TestCompareTakesTheFactorFromTheRecord(t *testing.T) {
	csv := "meter,sample,reading,ref,u_ref,u_reading,temp_C\n"
	for i, ref := range []float64{300, 600, 900} {
		csv += fmt.Sprintf("P1,%c,%g,%g,1.5,1,20\nP2,%c,%g,%g,1.5,1,20\n", 'A'+i, ref+1, ref, 'A'+i, math.Round(0.91*ref), ref)
	}
	causes := func(s *session, flags ...string) string {
		out := s.json(append([]string{"compare", s.table("pens.csv", csv), "--tolerance", "5%"}, flags...)...)
		text, err := json.Marshal(out["causes"])
		require.NoError(t, err)
		return string(text)
	}
	s := newSession(t)
	unknown := causes(s)
	typed := causes(s, "--ppm-factor", "P1=0.5", "--ppm-factor", "P2=0.5")
	s.ok("meter", "add", "P1", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5")
	s.ok("meter", "add", "p2", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5")
	onRecord := causes(s)
	assert.Equal(t, typed, onRecord)
	assert.NotEqual(t, unknown, onRecord, "0.91 is 0.64 of 0.7 for a pen of unknown factor")
}

// Quantity, tolerance and step come from the record where nobody typed them.
func TestCompareTakesWhatIsKnownOfAMeter(t *testing.T) {
	s := newSession(t)
	for _, name := range []string{"P1", "P2"} {
		s.ok("meter", "add", name, "--quantity", "ph", "--resolution", "0.1", "--tolerance", "0.1")
	}
	path := s.table("ph.csv", "meter,sample,reading\nP1,a,6.00\nP2,a,6.00\nP1,b,7.00\nP2,b,7.00\nP1,c,9.00\nP2,c,9.00\n")
	out := s.json("compare", path)
	assert.Equal(t, "ph", out["quantity"])
	assert.Equal(t, 0.1, out["tolerance"])
	assert.Equal(t, false, out["tolerance_relative"])
	pair := out["pairs"].([]any)[0].(map[string]any)
	assert.InDelta(t, 0.1*math.Sqrt(2.0/12/3), pair["u_bias"].(float64), 1e-9, "the step is a tenth, whatever was typed")

	r := s.run("compare", path, "--tolerance", "0.2")
	assert.Contains(t, r.stderr, "warning: --tolerance 0.2 is taken; on record is 0.1")
	r = s.run("compare", path, "--tolerance", "0.1")
	assert.NotContains(t, r.stderr, "--tolerance", "the same is no contradiction")
	r = s.run("compare", path, "--quantity", "ec")
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "--quantity is ec, and meter P1 measures ph, by the record")
	assert.Empty(t, r.stdout)

	s.ok("meter", "add", "P3", "--quantity", "ec", "--tolerance", "5%")
	r = s.run("compare", s.table("mixed.csv", "meter,sample,reading\nP1,a,6.00\nP3,a,6.00\n"))
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "meter P1 measures ph and meter P3 measures ec; want meters of one quantity")

	s.ok("meter", "add", "P4", "--quantity", "ec", "--tolerance", "2%", "--range", "0..2000", "--resolution", "10")
	s.ok("meter", "retire", "P3", "--time", "2026-02-28")
	r = s.run("compare", s.table("ec.csv", "meter,sample,reading\nP3,a,1413\nP4,a,1413\nP3,b,2700\nP4,b,2000\n"))
	require.Equal(t, statusDone, r.status, r.stderr)
	for _, text := range []string{
		"the tolerances on record differ (P3 5%, P4 2%), and none is taken; want --tolerance",
		"row 3: a display with a step of 10, as on record for P4, does not show 1413; taken as it is written",
		"row 5: P4 shows 2000, and its range on record ends there: the true value may be higher",
		"meter P3 is out of use since 2026-02-28",
	} {
		assert.Contains(t, r.stderr, text)
	}
}

// A display that stops is looked for where the record says that it ends.
func TestCompareTakesTheRangeFromTheRecord(t *testing.T) {
	s := newSession(t)
	csv := "meter,sample,reading,ref,u_ref,u_reading\n"
	for i, ref := range []float64{500, 1000, 1500, 1950, 2700} {
		csv += fmt.Sprintf("P1,%c,%.0f,%g,%g,%g\n", 'A'+i, math.Min(1.002*ref, 1999), ref, 0.006*ref, 0.004*ref)
		csv += fmt.Sprintf("P2,%c,%.0f,%g,%g,%g\n", 'A'+i, 0.999*ref, ref, 0.006*ref, 0.004*ref)
	}
	path := s.table("stops.csv", csv)
	first := func() map[string]any {
		out := s.json("compare", path, "--tolerance", "5%")
		assert.Equal(t, "P2", out["trust"])
		return out["causes"].([]any)[0].(map[string]any)
	}
	s.ok("meter", "add", "P1", "--quantity", "ec")
	without := first()
	s.ok("meter", "add", "P1", "--quantity", "ec", "--range", "0..1999", "--correct")
	with := first()
	assert.Equal(t, "saturation", with["cause"])
	assert.InDelta(t, 1999, with["size"].(float64), 10)
	assert.Less(t, with["u_size"].(float64), 0.5*without["u_size"].(float64))
}

// Old bottles, and bottles that two meters find off - now, or one now and one in
// a calibration on record - are warned of.
func TestCompareWarnsOfBottles(t *testing.T) {
	s := newSession(t)
	for _, name := range []string{"P1", "P2", "P3"} {
		s.ok("meter", "add", name, "--quantity", "ec", "--unit", "uS/cm", "--tolerance", "2%")
	}
	for i, name := range []string{"A", "B", "C"} {
		s.ok("bottle", "add", name, "--salt", "NaCl", "--strength", fmt.Sprintf("%duS/cm", 500*(i+1)), "--u-strength", "0.3%", "--best-before", "2026-03-01")
	}
	csv := "meter,bottle,reading,u_reading,temp_C,time\n"
	for i, name := range []string{"A", "B", "C"} {
		off := map[string]float64{"A": 1.001, "B": 1.05, "C": 0.999}[name]
		for _, meter := range []string{"P1", "P2"} {
			csv += fmt.Sprintf("%s,%s,%.0f,2,25,2026-02-27\n", meter, name, off*float64(500*(i+1)))
		}
	}
	r := s.run("compare", s.table("off.csv", csv))
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, "warning: bottle B: 2 meters find it off in the same direction (P1 by +5.0 %, P2 by +5.0 %)")
	assert.NotContains(t, r.stderr, "was good until")
	assert.NotContains(t, r.stderr, "u_ref_shared", "these share nothing")
	r = s.run("compare", filepath.Join(filepath.Dir(s.file), "off.csv"), "--tolerance", "6%")
	assert.NotContains(t, r.stderr, "find it off", "6 % is allowed")
	r = s.run("compare", s.table("late.csv", strings.ReplaceAll(csv, "2026-02-27", "2026-03-02")))
	assert.Contains(t, r.stderr, "bottle A was good until 2026-03-01")
	// One meter alone is no witness: it may be its own fault. Another one that
	// found the same before, in a calibration on record, is.
	alone := s.table("one.csv", strings.ReplaceAll(csv, "P2,B,1050", "P2,B,1001"))
	assert.NotContains(t, s.run("compare", alone).stderr, "find it off")
	book, err := logbook.Open(s.file, logbook.Options{Now: now})
	require.NoError(t, err)
	before := logbook.Calibration{
		Meter: "P3", Time: now().AddDate(0, 0, -10), State: "as-found", Quantity: "ec", Unit: "uS/cm", Method: "line", N: 3, Slope: 1,
		UBasis: "none", ReadingHigh: 1500, Result: []byte("{}"),
	}
	for bottle, reading := range map[string]float64{"A": 501, "B": 1047, "C": 1497} {
		ref := map[string]float64{"A": 500, "B": 1000, "C": 1500}[bottle]
		before.Readings = append(before.Readings, logbook.Reading{Ref: ref, Reading: reading, Bottle: bottle, BottleID: bottle})
	}
	require.NoError(t, book.Save(&before))
	require.NoError(t, book.Close())
	assert.Contains(t, s.run("compare", alone).stderr, "bottle B: 2 meters find it off in the same direction (P3 by +4.5 %, P1 by +5.0 %)")
	without := s.table("without.csv", strings.ReplaceAll(strings.ReplaceAll(csv, "P1,B,1050", "P1,B,1001"), "P2,B,1050", "P2,B,1001"))
	assert.NotContains(t, s.run("compare", without).stderr, "find it off", "two that find it right now")
}

// Buffers on record have one pH for every meter, which needs no place on record
// to be held against them: 9.18 at 25 C and 9.225 at 20 C (IUPAC 2002, borax).
func TestCompareBuffersOnRecord(t *testing.T) {
	s := newSession(t)
	for _, name := range []string{"phthalate", "phosphate", "borax"} {
		s.ok("bottle", "add", name, "--buffer", name)
	}
	csv := "meter,bottle,reading,temp_C\n"
	for _, meter := range []string{"P1", "P2"} {
		csv += meter + ",phthalate,4.01,25\n" + meter + ",phosphate,6.86,25\n" + meter + ",borax,9.50,25\n"
	}
	r := s.run("compare", s.table("ph.csv", csv), "--quantity", "ph", "--json")
	require.Equal(t, statusDone, r.status, r.stderr)
	var out map[string]any
	require.NoError(t, json.Unmarshal([]byte(r.stdout), &out))
	samples := out["meters"].([]any)[0].(map[string]any)["samples"].([]any)
	assert.InDelta(t, 9.180, samples[2].(map[string]any)["ref"].(float64), 0.001)
	assert.Contains(t, r.stdout, "bottle borax: 2 meters find it off in the same direction (P1 by +0.3")
	r = s.run("compare", s.table("cold.csv", strings.ReplaceAll(csv, ",25\n", ",20\n")), "--quantity", "ph", "--json")
	require.NoError(t, json.Unmarshal([]byte(r.stdout), &out))
	samples = out["meters"].([]any)[0].(map[string]any)["samples"].([]any)
	assert.InDelta(t, 9.225, samples[2].(map[string]any)["ref"].(float64), 0.001)
}

// A bottle is worth what it was at the time of the reading: before it was weighed
// again, and after.
func TestCompareTakesTheBottleOfTheDay(t *testing.T) {
	s := newSession(t)
	for _, name := range []string{"P1", "P2"} {
		s.ok("meter", "add", name, "--quantity", "ec", "--unit", "uS/cm", "--alpha", "2%")
	}
	s.ok("bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "0.3%", "--made", "2026-01-10", "--full-mass", "552g", "--empty-mass", "52g", "--u-bottle-mass", "0.05g")
	s.ok("bottle", "weigh", "A", "--mass", "542g", "--time", "2026-02-15")
	out := s.json("compare", s.table("days.csv", `meter,sample,bottle,reading,temp_C,time
P1,early,A,1215,25,2026-02-10
P2,early,A,1215,25,2026-02-10
P1,late,A,1239,25,2026-02-20
P2,late,A,1239,25,2026-02-20
P1,today,A,1239,25,
P2,today,A,1239,25,
`), "--tolerance", "5%", "--save")
	samples := out["meters"].([]any)[0].(map[string]any)["samples"].([]any)
	ref := func(i int) float64 { return samples[i].(map[string]any)["ref"].(float64) }
	assert.InDelta(t, 1+10.0/490, ref(1)/ref(0), 0.001, "10 g of 500 have gone; conductivity follows a little less")
	assert.Equal(t, ref(1), ref(2))
	var ids []any
	for _, r := range s.exported("comparison")[0]["readings"].([]any) {
		ids = append(ids, r.(map[string]any)["bottle_id"])
	}
	assert.Equal(t, []any{"A", "A", "A/2", "A/2", "A/2", "A/2"}, ids)
}
