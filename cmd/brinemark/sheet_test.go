package main

import (
	"fmt"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fullShelf is a record with bottles and meters to read them.
func fullShelf(t *testing.T) *session {
	t.Helper()
	s := shelfOf(t)
	s.ok("bottle", "add", "B4", "--buffer", "4.00", "--made", "2026-02-20")
	s.ok("bottle", "add", "B9", "--buffer", "10.01", "--made", "2026-02-20")
	s.ok("meter", "add", "tent pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--resolution", "1", "--range", "0..650", "--tolerance", "2%")
	s.ok("meter", "add", "new <pen>", "--quantity", "ec", "--tolerance", "2%")
	s.ok("meter", "add", "old pen", "--quantity", "ec")
	s.ok("meter", "retire", "old pen", "--time", "2026-02-01")
	s.ok("meter", "add", "P2", "--quantity", "ph", "--resolution", "0.01", "--tolerance", "0.1")
	s.ok("meter", "add", "T1", "--quantity", "temperature")
	return s
}

func TestSheetIsGolden(t *testing.T) {
	s := fullShelf(t)
	t.Chdir(t.TempDir())
	args := []string{"sheet", "--out", "bench.html", "--csv", "bench.csv", "--temp", "19C"}
	r := s.run(args...)
	require.Equal(t, statusDone, r.status, r.stderr)
	golden(t, "sheet/bench.txt", screen(args, r))
	for _, name := range []string{"bench.html", "bench-ec.csv", "bench-ph.csv"} {
		content, err := os.ReadFile(name)
		require.NoError(t, err)
		if text := string(content); strings.HasSuffix(name, ".html") {
			golden(t, "sheet/"+name, withoutStyle(t, text))
		} else {
			golden(t, "sheet/"+name, text)
		}
	}
	html, err := os.ReadFile("bench.html")
	require.NoError(t, err)
	text := plainText(string(html))
	for _, want := range []string{"new <pen>", "tent pen", "B4", "not for drinking", "Temp.", "Time", "Thermometer", "brinemark calibrate bench-ec.csv --meter 'tent pen' --save", "with its date, as in 2026-03-01 18:02"} {
		assert.Contains(t, text, want)
	}
	for _, not := range []string{"old pen", "T1", "brinemark compare", "B7"} {
		assert.NotContains(t, text, not, "out of use, of another quantity, alone of its kind, past its date")
	}
	assert.Contains(t, r.stderr, "bottle B7 was good until 2026-01-31")
	assert.Contains(t, r.stderr, "T1 measures temperature")
	assert.Contains(t, r.stderr, "range on record ends at 650", "K1413 is beyond what the tent pen can show")
}

// What stands in a cell is what "bottle show" says of that bottle on that meter.
func TestSheetSaysWhatEachMeterShouldShow(t *testing.T) {
	s := fullShelf(t)
	t.Chdir(t.TempDir())
	parts := s.json("sheet", "--csv", "x.csv", "--temp", "21C", "--u-temp", "0.3C", "--bottle", "A", "--bottle", "K1413", "--meter", "tent pen", "--meter", "new <pen>")["parts"].([]any)
	require.Len(t, parts, 1)
	part := parts[0].(map[string]any)
	assert.Equal(t, "A", part["bottles"].([]any)[0].(map[string]any)["bottle"], "the weakest first")
	cells := part["expected"].([]any)
	require.Len(t, cells, 4)
	for _, c := range cells {
		cell := c.(map[string]any)
		shown := s.json("bottle", "show", cell["bottle"].(string), "--meter", cell["meter"].(string), "--temp", "21C", "--u-temp", "0.3C")
		assert.Equal(t, shown["display"], cell["display"])
		assert.Equal(t, shown["u_display"], cell["u_display"])
		assert.Equal(t, shown["display_unit"], cell["display_unit"])
	}
	without := s.json("sheet", "--csv", "y.csv")
	assert.Nil(t, without["temp_C"])
	assert.Empty(t, without["parts"].([]any)[0].(map[string]any)["expected"])
}

// The template, filled in, goes through both commands without a word about its
// columns, and the readings are held against the bottles on record.
func TestFilledSheetIsCalibratedAndCompared(t *testing.T) {
	s := fullShelf(t)
	t.Chdir(t.TempDir())
	s.ok("sheet", "--csv", "bench.csv", "--bottle", "A", "--bottle", "K1413", "--meter", "tent pen", "--meter", "new <pen>", "--repeats", "2")
	template, err := os.ReadFile("bench.csv")
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(template)), "\n")
	require.Len(t, lines, 1+2*2*2)
	shows := map[string]map[string]float64{"tent pen": {"A": 600, "K1413": 641}, "new <pen>": {"A": 1215, "K1413": 1413}}
	filled := lines[0] + "\n"
	for i, line := range lines[1:] {
		cells := strings.Split(line, ",")
		require.Len(t, cells, 7)
		filled += fmt.Sprintf("%s,%s,%v,1,25,0.2,2026-03-01 10:%02d\n", cells[0], cells[1], shows[cells[0]][cells[1]]+float64(i%2), i)
	}
	require.NoError(t, os.WriteFile("bench.csv", []byte(filled), 0o644))

	for _, meter := range []string{"tent pen", "new <pen>"} {
		r := s.run("calibrate", "bench.csv", "--meter", meter, "--save")
		require.Equal(t, statusDone, r.status, r.stderr)
		assert.NotContains(t, r.stderr, "column", "calibrate knows all of its columns")
		assert.Contains(t, r.stdout, "K1413")
	}
	r := s.run("compare", "bench.csv")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.NotContains(t, r.stderr, "column", "compare knows all of its columns")
	result := s.json("compare", "bench.csv")
	meters := result["meters"].([]any)
	require.Len(t, meters, 2)
	for _, m := range meters {
		one := m.(map[string]any)
		want := map[string]string{"tent pen": "fail", "new <pen>": "pass"}[one["meter"].(string)]
		assert.Equal(t, want, one["verdict"], "%v: the bottles on record are the references", one["meter"])
	}

	// As it is printed, nothing in it was read.
	require.NoError(t, os.WriteFile("blank.csv", template, 0o644))
	for _, args := range [][]string{{"compare", "blank.csv"}, {"calibrate", "blank.csv", "--meter", "tent pen"}} {
		r = s.run(args...)
		assert.Equal(t, statusBadInput, r.status)
		assert.Contains(t, r.stderr, "blank.csv, column reading: found nothing in any row")
	}
}

// A sheet that is filled in in part is used as far as it goes: rows that were not
// read are left out, with a note that counts them.
func TestSheetFilledInPart(t *testing.T) {
	s := fullShelf(t)
	t.Chdir(t.TempDir())
	s.ok("sheet", "--csv", "bench.csv", "--bottle", "A", "--bottle", "K1413", "--meter", "tent pen", "--meter", "new <pen>", "--repeats", "2")
	part := strings.NewReplacer("tent pen,A,,,,,\ntent pen,A,,,,,\n", "tent pen,A,,,,,\ntent pen,A,600,1,25,0.2,2026-03-01 10:00\n", "new <pen>,K1413,,,,,\nnew <pen>,K1413,,,,,\n",
		"new <pen>,K1413,,,,,\nnew <pen>,K1413,1413,1,25,0.2,2026-03-01 10:05\n", "tent pen,K1413,,,,,\ntent pen,K1413,,,,,\n", "tent pen,K1413,641,1,25,0.2,2026-03-01 10:10\ntent pen,K1413,,,,,\n").Replace(content(t, "bench.csv"))
	require.NoError(t, os.WriteFile("part.csv", []byte(part), 0o644))
	const note = "note: part.csv: 5 rows without a reading are left out"
	whole := strings.Join(slices.DeleteFunc(strings.SplitAfter(part, "\n"), func(line string) bool { return strings.Contains(line, ",,,,,") }), "")
	require.NoError(t, os.WriteFile("whole.csv", []byte(whole), 0o644))
	for _, args := range [][]string{{"calibrate", "FILE", "--meter", "tent pen"}, {"calibrate", "FILE", "--meter", "new <pen>"}, {"compare", "FILE"}} {
		args[1] = "part.csv"
		r := s.run(args...)
		require.Equal(t, statusDone, r.status, r.stderr)
		assert.Contains(t, r.stderr, note)
		args[1] = "whole.csv"
		same := s.run(args...)
		require.Equal(t, statusDone, same.status, same.stderr)
		assert.NotContains(t, same.stderr, "left out (")
		assert.Equal(t, same.stdout, r.stdout, "%v", args)
	}
	drift := "time,meter,bottle,ref,reading,temp_C\n2026-01-01,pen,A,600,600,25\n,pen,A,,,\n2026-02-01,pen,A,600,599,25\n"
	r := s.run("drift", file(t, "drift.csv", drift))
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, "note: drift.csv: 1 row without a reading is left out (row 3)")
	for name, text := range map[string]string{
		"no bottle and no ref": "meter,bottle,reading,temp_C\ntent pen,,600,25\ntent pen,A,600,25\n",
		"a ref, no reading":    "meter,bottle,ref,reading,temp_C\ntent pen,A,600,,25\ntent pen,A,,600,25\n",
		"a clock without day":  "meter,bottle,reading,temp_C,time\ntent pen,A,600,25,18:02\n",
	} {
		r := s.run("calibrate", file(t, "wrong.csv", text), "--meter", "tent pen")
		assert.Equal(t, statusBadInput, r.status, name)
		assert.Contains(t, r.stderr, "row 2, column ", name)
		if strings.Contains(text, "18:02") {
			assert.Contains(t, r.stderr, "want the date as well as the time, such as 2026-03-01 18:02")
		}
	}
}

// The sheet prints a comparison for each group of meters that show the same, and
// what it prints runs.
func TestSheetComparesWhatShowsTheSame(t *testing.T) {
	s := fullShelf(t)
	t.Chdir(t.TempDir())
	s.ok("meter", "add", "second pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--tolerance", "2%")
	s.ok("meter", "add", "third", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.7", "--tolerance", "2%")
	s.ok("meter", "add", "fourth", "--quantity", "ec", "--tolerance", "2%")
	lines := regexp.MustCompile(`brinemark compare [^<]*`)
	printed := func(meters ...string) (out []string) {
		args := []string{"sheet", "--out", "bench.html", "--bottle", "A", "--bottle", "K1413"}
		for _, m := range meters {
			args = append(args, "--meter", m)
		}
		s.ok(args...)
		for _, line := range lines.FindAllString(content(t, "bench.html"), -1) {
			out = append(out, strings.TrimSpace(html.UnescapeString(line)))
		}
		return out
	}
	assert.Equal(t, []string{"brinemark compare readings.csv --save"}, printed("tent pen", "second pen"))
	assert.Empty(t, printed("tent pen", "third", "fourth"))
	assert.Equal(t, []string{"brinemark compare readings.csv --meter 'tent pen' --meter 'second pen' --save", "brinemark compare readings.csv --meter 'new <pen>' --meter fourth --save"},
		printed("tent pen", "third", "new <pen>", "second pen", "fourth"))

	table := "meter,bottle,reading,u_reading,temp_C,u_temp_C,time\nthird,A,850,1,25,0.2,2026-03-01\ntent pen,A,600,1,25,0.2,2026-03-01\nsecond pen,A,610,1,25,0.2,2026-03-01\n" +
		"third,K1413,990,1,25,0.2,2026-03-01\ntent pen,K1413,641,1,25,0.2,2026-03-01\nsecond pen,K1413,720,1,25,0.2,2026-03-01\n"
	require.NoError(t, os.WriteFile("readings.csv", []byte(table), 0o644))
	r := s.run("compare", "readings.csv", "--meter", "tent pen", "--meter", "Second Pen", "--save")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.NotContains(t, r.stdout, "third")
	assert.NotContains(t, r.stderr, "compared as they are")
	alone := strings.Join(slices.DeleteFunc(strings.SplitAfter(table, "\n"), func(line string) bool { return strings.HasPrefix(line, "third") }), "")
	require.NoError(t, os.WriteFile("alone.csv", []byte(alone), 0o644))
	one, other := s.json("compare", "readings.csv", "--meter", "tent pen", "--meter", "second pen"), s.json("compare", "alone.csv")
	assert.Equal(t, other["pairs"], one["pairs"])
	assert.Equal(t, other["meters"], one["meters"], "each row has the reference of its own bottle")
	r = s.run("compare", "readings.csv", "--meter", "tent pen", "--meter", "nobody")
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, `readings.csv: found no reading of meter "nobody"; want meters of the file: third, tent pen, second pen`)
}

func TestSheetTemplateOfPH(t *testing.T) {
	s := fullShelf(t)
	t.Chdir(t.TempDir())
	s.ok("sheet", "--csv", "ph.csv", "--meter", "P2")
	template, err := os.ReadFile("ph.csv")
	require.NoError(t, err)
	filled := strings.NewReplacer("P2,B4,,,,,", "P2,B4,4.05,,25,,", "P2,B9,,,,,", "P2,B9,9.98,,25,,").Replace(string(template))
	require.NoError(t, os.WriteFile("ph.csv", []byte(filled), 0o644))
	result := s.json("calibrate", "ph.csv", "--meter", "P2")
	assert.Equal(t, "ph", result["quantity"])
	assert.Len(t, result["points"], 2)
}

func TestSheetRefused(t *testing.T) {
	s := fullShelf(t)
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("there.csv", []byte("meter,reading\nP2,7\n"), 0o644))
	for want, args := range map[string][]string{
		"sheet needs --out FILE.html, --csv FILE.csv": {"sheet"},
		"want a file whose name ends in .html":        {"sheet", "--out", "x.pdf"},
		"want a file whose name ends in .csv":         {"sheet", "--csv", "x.html"},
		"may hold readings":                           {"sheet", "--csv", "there.csv", "--meter", "P2", "--out", "x.html"},
		"there is no folder":                          {"sheet", "--csv", filepath.Join("none", "x.csv"), "--out", "x.html"},
		"no bottle for any meter":                     {"sheet", "--out", "x.html", "--meter", "T1"},
		`meter "nobody" is not on record`:             {"sheet", "--out", "x.html", "--meter", "nobody"},
		`bottle "Z" is not on record`:                 {"sheet", "--out", "x.html", "--bottle", "Z"},
		"--u-temp needs --temp":                       {"sheet", "--out", "x.html", "--u-temp", "1C"},
		"range":                                       {"sheet", "--out", "x.html", "--temp", "80C"},
		"unexpected argument":                         {"sheet", "A", "--out", "x.html"},
	} {
		r := s.run(args...)
		assert.Equal(t, statusBadInput, r.status, "%v: %s", args, r.stderr)
		assert.Contains(t, r.stderr, want, "%v", args)
	}
	left, err := os.ReadDir(".")
	require.NoError(t, err)
	require.Len(t, left, 1, "nothing is left behind")
	kept, err := os.ReadFile("there.csv")
	require.NoError(t, err)
	assert.Equal(t, "meter,reading\nP2,7\n", string(kept))
}

// A meter that is named is taken even when it is out of use, and said to be.
func TestSheetTakesWhatIsNamed(t *testing.T) {
	s := fullShelf(t)
	t.Chdir(t.TempDir())
	r := s.run("sheet", "--out", "x.html", "--meter", "old pen", "--bottle", "A", "--bottle", "B7", "--meter", "P2")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, "old pen is out of use since 2026-02-01")
	assert.Contains(t, r.stderr, "bottle B7 was good until")
	html, err := os.ReadFile("x.html")
	require.NoError(t, err)
	assert.Contains(t, plainText(string(html)), "old pen")
}

// Where all bottles are too old, the sheet says which, since when, and what to do;
// the bottles named are taken all the same, and said to be old on the sheet too.
func TestSheetOfOldBottles(t *testing.T) {
	s := newSession(t)
	t.Chdir(t.TempDir())
	s.ok("meter", "add", "P1", "--quantity", "ec")
	s.ok("meter", "add", "P2", "--quantity", "ph")
	for _, name := range []string{"A", "the b"} {
		s.ok("bottle", "add", name, "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "0.3%", "--best-before", "2026-01-31")
	}
	s.ok("bottle", "add", "B7", "--buffer", "7.00", "--best-before", "2026-02-28")
	r := s.run("sheet", "--out", "x.html", "--csv", "x.csv")
	assert.Equal(t, statusBadInput, r.status)
	assert.Equal(t, "brinemark: no bottle for any meter: past their date on 2026-03-01 are A, the b (good until 2026-01-31), B7 (good until 2026-02-28); "+
		"make fresh ones, or name those to use all the same, as in --bottle A (bottle weigh says what has evaporated from a solution)\n", r.stderr)
	assert.NoFileExists(t, "x.html")

	// Some are old: the meters that are left without are warned of.
	r = s.run("sheet", "--out", "x.html", "--now", "2026-02-28", "--time-zone", "UTC")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, "meter P1 measures ec, and the bottles for it are past their date, A, the b (good until 2026-01-31): it is left out")
	assert.Contains(t, r.stderr, "bottle A was good until 2026-01-31")
	assert.NotContains(t, plainText(content(t, "x.html")), "PAST ITS DATE")

	r = s.run("sheet", "--out", "x.html", "--bottle", "the b", "--bottle", "B7")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, "bottle B7 was good until 2026-02-28")
	text := strings.ReplaceAll(plainText(content(t, "x.html")), "\u2011", "-")
	assert.Contains(t, text, "good until 2026-01-31, PAST ITS DATE")
	assert.Contains(t, text, "good until 2026-02-28, PAST ITS DATE")

	r = s.run("sheet", "--out", "x.html", "--now", "2026-01-31", "--time-zone", "UTC")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Empty(t, r.stderr)

	for i := range 12 {
		s.ok("bottle", "add", fmt.Sprintf("more %02d", i), "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "0.3%", "--best-before", "2026-01-31")
	}
	assert.Contains(t, s.run("sheet", "--out", "x.html").stderr, "and 7 more; make fresh ones")
	empty := newSession(t)
	empty.ok("meter", "add", "P1", "--quantity", "ec")
	assert.Contains(t, empty.run("sheet", "--out", "x.html").stderr, "found 0 bottles and 1 meter; want a solution for a meter of ec, or a buffer for one of ph (bottle add")
}

// On a phone a bottle of the sheet is a card: letters of a name are not stacked in
// columns of a few millimetres. What it looks like is judged in a browser.
func TestSheetOnAPhone(t *testing.T) {
	s := fullShelf(t)
	t.Chdir(t.TempDir())
	s.ok("sheet", "--out", "x.html")
	_, phone, found := strings.Cut(content(t, "x.html"), "{ /* a bottle is a card")
	require.True(t, found)
	phone, _, _ = strings.Cut(phone, "@media print")
	assert.Contains(t, phone, "attr(data-head)")
	s.ok("label", "A", "--out", "y.html")
	assert.NotRegexp(t, `\.sheet svg`, content(t, "y.html"), "the style is of sheets, not of the labels drawn in them")
}

// More meters than fit side by side make more tables, and none is lost.
func TestSheetOfManyMeters(t *testing.T) {
	s := shelfOf(t)
	t.Chdir(t.TempDir())
	for i := range 12 {
		s.ok("meter", "add", fmt.Sprintf("M%02d", i), "--quantity", "ec")
	}
	s.ok("sheet", "--out", "x.html")
	html, err := os.ReadFile("x.html")
	require.NoError(t, err)
	assert.Equal(t, 3, strings.Count(string(html), "<table"))
	for i := range 12 {
		assert.Contains(t, plainText(string(html)), fmt.Sprintf("M%02d", i))
	}
}
