package main

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shelfOf is a record with bottles of every kind.
func shelfOf(t *testing.T) *session {
	t.Helper()
	s := newSession(t)
	s.ok("bottle", "add", "K1413", "--salt", "KCl", "--strength", "1413uS/cm", "--u-strength", "0.5%", "--best-before", "2027-01-31")
	s.ok("bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "0.3%", "--source", "stock 1", "--u-shared", "0.5%", "--made", "2026-02-01",
		"--full-mass", "550g", "--empty-mass", "50g", "--u-bottle-mass", "0.5g")
	s.ok("bottle", "add", "B7", "--buffer", "7.00", "--made", "2026-01-01", "--note", `opened "late" <b>& kept</b> by the window, where it is warm in the afternoon`)
	s.ok("bottle", "add", "<script>", "--salt", "NaCl", "--strength", "300mg/L", "--note", "שלום \u202eעולם")
	return s
}

// plainText is what a reader of a page sees, near enough: no tags, no entities.
func plainText(html string) string {
	var b strings.Builder
	for html != "" {
		before, rest, _ := strings.Cut(html, "<")
		b.WriteString(before)
		_, html, _ = strings.Cut(rest, ">")
	}
	return strings.NewReplacer("&lt;", "<", "&gt;", ">", "&#34;", `"`, "&#39;", "'", "&amp;", "&", "\u00a0", " ").Replace(b.String())
}

// withoutStyle is a page without its style, which a browser judges.
func withoutStyle(t *testing.T, html string) string {
	t.Helper()
	before, rest, opened := strings.Cut(html, "<style>")
	_, after, closed := strings.Cut(rest, "</style>")
	require.True(t, opened && closed)
	return before + "<style></style>" + after
}

func TestLabelsAreGolden(t *testing.T) {
	s := shelfOf(t)
	t.Chdir(t.TempDir())
	r := s.run("label", "--all", "--out", "labels.html")
	require.Equal(t, statusDone, r.status, r.stderr)
	html, err := os.ReadFile("labels.html")
	require.NoError(t, err)
	golden(t, "label/labels.html", withoutStyle(t, string(html)))
	golden(t, "label/labels.txt", screen([]string{"label", "--all", "--out", "labels.html"}, r))

	text := plainText(string(html))
	for _, want := range []string{
		"K1413", "KCl, 1413.0 µS/cm", "1413.0 ± 7.1 µS/cm (k = 1), at 25 °C", "706.5 ± 3.5 (× 0.5)", "904.3 ± 4.5 (× 0.64)", "989.1 ± 4.9 (× 0.7)", "best before 2027-01-31",
		"pH buffer 7.00", "6.993 at 30 °C", "PAST ITS DATE", "made 2026-01-01", "NOT FOR DRINKING", "± unknown", `opened "late" <b>& kept</b>`, "<script>",
	} {
		assert.Contains(t, text, want)
	}
	assert.NotContains(t, string(html), "<script", "a bottle of that name makes no script")
}

func TestLabelsAsSVG(t *testing.T) {
	s := shelfOf(t)
	t.Chdir(t.TempDir())
	s.ok("label", "K1413", "b7", "--out", "labels.svg", "--paper", "letter", "--size", "4x2in", "--no-outline", "--skip", "3")
	svg, err := os.ReadFile("labels.svg")
	require.NoError(t, err)
	golden(t, "label/labels.svg", string(svg))
	assert.Contains(t, string(svg), `width="215.9mm" height="279.4mm"`)
	assert.NotContains(t, string(svg), "stroke")
	assert.Equal(t, 2, strings.Count(string(svg), `aria-label="QR code of `), "K1413 and B7")

	result := s.json("label", "A", "a", "--copies", "3", "--out", "labels.svg")
	assert.Len(t, result["labels"], 1, "one bottle, named twice")
	assert.Equal(t, 1.0, result["sheets"])
	svg, err = os.ReadFile("labels.svg")
	require.NoError(t, err)
	assert.Equal(t, 3, strings.Count(string(svg), `aria-label="QR code of A"`))
	first := result["labels"].([]any)[0].(map[string]any)
	displays := first["displays"].([]any)
	require.Len(t, displays, 3)
	for i, factor := range []float64{0.5, 0.64, 0.7} {
		d := displays[i].(map[string]any)
		assert.Equal(t, factor, d["ppm_factor"])
		assert.InEpsilon(t, factor*first["ec25_uS_cm"].(float64), d["display_ppm"], 1e-12, "at 25 C a perfect display is the factor times the truth")
		assert.InEpsilon(t, factor*first["u_ec25_uS_cm"].(float64), d["u_display_ppm"], 1e-9)
	}
}

func TestLabelsWarn(t *testing.T) {
	s := shelfOf(t)
	t.Chdir(t.TempDir())
	s.ok("bottle", "weigh", "A", "--mass", "545g")
	old := s.run("label", "A/1", "--out", "x.html")
	assert.Equal(t, statusBadInput, old.status, "the first version is A alone")
	assert.Contains(t, old.stderr, "the last one is A/2")

	now := s.run("label", "A", "--out", "x.html")
	assert.NotContains(t, now.stderr, "superseded", now.stderr)
	html, err := os.ReadFile("x.html")
	require.NoError(t, err)
	assert.Contains(t, plainText(string(html)), "value of 2026-03-01", "it was weighed again, and holds since")

	s.ok("bottle", "weigh", "A", "--mass", "544g", "--time", "2026-03-01T13:00:00Z")
	old = s.run("label", "A/2", "--out", "x.html")
	require.Equal(t, statusDone, old.status, old.stderr)
	assert.Contains(t, old.stderr, "A/2 is superseded by A/3")

	past := s.run("label", "B7", "--out", "x.html")
	assert.Equal(t, statusDone, past.status)
	assert.Contains(t, past.stderr, "bottle B7 was good until 2026-01-31")
	assert.Contains(t, past.stdout, "2026-01-31, past")
	unknown := s.run("label", "<script>", "--out", "x.html")
	assert.Contains(t, unknown.stderr, "its uncertainty was never stated")
	assert.Contains(t, unknown.stderr, "no date to be used by")
}

// The label itself says that its bottle is too old, in words, from the day after
// its last good one on; --now says which day it is.
func TestLabelPastItsDate(t *testing.T) {
	s := shelfOf(t)
	t.Chdir(t.TempDir())
	for day, past := range map[string]bool{"2026-01-31": false, "2026-01-31 23:59": false, "2026-02-01": true} {
		r := s.run("--time-zone", "UTC", "label", "B7", "--now", day, "--out", "x.svg")
		require.Equal(t, statusDone, r.status, r.stderr)
		svg := content(t, "x.svg")
		assert.Equal(t, past, strings.Contains(svg, `font-weight="bold" textLength="`) && strings.Contains(svg, ">PAST ITS DATE: do not trust it</text>"), day)
		assert.Equal(t, past, strings.Contains(r.stderr, "was good until 2026-01-31"), day)
		object := s.json("--time-zone", "UTC", "label", "B7", "--now", day, "--out", "x.svg")
		assert.Equal(t, past, object["labels"].([]any)[0].(map[string]any)["past_date"], day)
		for _, args := range [][]string{{"bottle", "list"}, {"bottle", "show", "B7"}} {
			r := s.run(append(args, "--time-zone", "UTC", "--now", day)...)
			require.Equal(t, statusDone, r.status, r.stderr)
			assert.Equal(t, past, strings.Contains(r.stderr, "was good until 2026-01-31"), "%v %s", args, day)
		}
	}
	s.ok("label", "K1413", "--out", "x.svg")
	assert.NotContains(t, content(t, "x.svg"), "PAST")
	assert.Contains(t, s.run("label", "B7", "--now", "soon", "--out", "x.svg").stderr, "--now")
}

// One figure is written in one way wherever it stands on the label: the strength
// of a conductivity is that at 25 C, and what a display shows of it the same as
// "bottle show" says.
func TestLabelWritesAFigureInOneWay(t *testing.T) {
	s := newSession(t)
	t.Chdir(t.TempDir())
	s.ok("bottle", "add", "C", "--salt", "KCl", "--strength", "1802uS/cm", "--u-strength", "0.83%")
	for _, factor := range []string{"0.5", "0.64", "0.7"} {
		s.ok("meter", "add", "pen"+factor, "--quantity", "ec", "--ppm-factor", factor, "--alpha", "2%")
	}
	s.ok("label", "C", "--out", "x.html")
	text := plainText(content(t, "x.html"))
	for _, factor := range []string{"0.5", "0.64", "0.7"} {
		shown := s.ok("bottle", "show", "C", "--meter", "pen"+factor, "--temp", "25C", "--u-temp", "0C")
		figure := regexp.MustCompile(`(?m)^on pen\S+ +(\S+ ± \S+) ppm`).FindStringSubmatch(shown)
		require.NotNil(t, figure, shown)
		assert.Contains(t, text, figure[1]+" (× "+factor+")")
	}
	assert.Contains(t, text, "1153.3 ± 9.6 (× 0.64)")
	assert.NotContains(t, text, "1153 ")
}

func TestLabelsOfAllAreInTheOrderPeopleCount(t *testing.T) {
	want := []string{"", "1", "02", "2b", "10", "B", "bottle", "bottle 1", "bottle 2", "bottle 2a", "bottle 11", "bottle 100", "bottle 18446744073709551617"}
	for i, a := range want {
		for j, b := range want {
			assert.Equal(t, cmp.Compare(i, j), asCounted(a, b), "%q and %q", a, b)
		}
	}
	s := newSession(t)
	t.Chdir(t.TempDir())
	for _, name := range []string{"bottle 11", "bottle 2", "bottle 1"} {
		s.ok("bottle", "add", name, "--buffer", "7.00", "--made", "2026-02-20")
	}
	assert.Regexp(t, `(?s)bottle 1 .*bottle 2 .*bottle 11 `, s.ok("label", "--all", "--out", "x.html"))
}

func TestLabelsRefused(t *testing.T) {
	s := shelfOf(t)
	t.Chdir(t.TempDir())
	for want, args := range map[string][]string{
		"label needs --out":                                         {"label", "A"},
		"IDs of bottles, or --all":                                  {"label", "--out", "x.html"},
		"all of them, not both":                                     {"label", "A", "--all", "--out", "x.html"},
		"ends in .html or .svg":                                     {"label", "A", "--out", "x.pdf"},
		"the nearest is K1413":                                      {"label", "K1414", "--out", "x.html"},
		"is no size of a label":                                     {"label", "A", "--out", "x.html", "--size", "70x37"},
		"too small for what has to stand":                           {"label", "A", "--out", "x.html", "--size", "25x12mm"},
		"larger than the paper (A4, 210x297mm)":                     {"label", "A", "--out", "x.html", "--size", "70x37in"},
		"a sheet has 24, want 0 to 23":                              {"label", "A", "--out", "x.html", "--skip", "24"},
		`"1.5" is no count; want a whole number from 1 to 1000`:     {"label", "A", "--out", "x.html", "--copies", "1.5"},
		`"1000000" is no count; want a whole number from 1 to 1000`: {"label", "A", "--out", "x.html", "--copies", "1000000"},
		`"0" is no count; want a whole number from 1 to 1000`:       {"label", "A", "--out", "x.html", "--copies", "0"},
		"an SVG holds one sheet, and these are 2":                   {"label", "A", "--out", "x.svg", "--copies", "25"},
		"the nearest right word is letter":                          {"label", "A", "--out", "x.svg", "--paper", "leter"},
		"there is no folder":                                        {"label", "A", "--out", filepath.Join("none", "x.svg")},
	} {
		r := s.run(args...)
		assert.Equal(t, statusBadInput, r.status, "%v", args)
		assert.Contains(t, r.stderr, want, "%v", args)
		assert.Empty(t, r.stdout)
	}
	left, err := os.ReadDir(".")
	require.NoError(t, err)
	assert.Empty(t, left, "nothing is left behind")

	empty := newSession(t)
	empty.ok("meter", "add", "P1", "--quantity", "ec")
	assert.Contains(t, empty.run("label", "--all", "--out", "x.html").stderr, "there is no bottle on record")
}

// What was in the file stays when the labels cannot be made.
func TestLabelsKeepWhatWasThere(t *testing.T) {
	s := shelfOf(t)
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("x.html", []byte("mine"), 0o600))
	s.run("label", "A", "nobody", "--out", "x.html")
	kept, err := os.ReadFile("x.html")
	require.NoError(t, err)
	assert.Equal(t, "mine", string(kept))
	s.ok("label", "A", "--out", "x.html")
	info, err := os.Stat("x.html")
	require.NoError(t, err)
	assert.Equal(t, "-rw-------", info.Mode().String(), "its rights stay")
}

// A full sheet.
func BenchmarkLabels(b *testing.B) {
	file := filepath.Join(b.TempDir(), "logbook.db")
	run := func(args ...string) {
		r := invoke(append([]string{"--logbook", file}, args...)...)
		require.Equal(b, statusDone, r.status, r.stderr)
	}
	for i := range 24 {
		run("bottle", "add", fmt.Sprintf("B%d", i), "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "1%")
	}
	for b.Loop() {
		run("label", "--all", "--out", filepath.Join(b.TempDir(), "x.html"))
	}
}
