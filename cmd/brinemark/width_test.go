package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// screenColumns is the width every table keeps to.
const screenColumns = 80

// displayColumns is how many columns of a screen a line takes: two for the letters
// of East Asia, none for a mark on another letter (Unicode Standard Annex 11, in
// so far as our texts need it).
func displayColumns(line string) int {
	n := 0
	for _, r := range line {
		switch {
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul):
			n += 2
		default:
			n++
		}
	}
	return n
}

// forPrograms tells output that is read by a program: it has the width it has.
func forPrograms(args []string) bool {
	if slices.Contains(args, "--json") || args[0] == "correct" || args[0] == "completion" || args[0] == "manual" || slices.Contains(args, "export") {
		return true
	}
	at := slices.Index(args, "--format")
	return at >= 0 && at+1 < len(args) && args[at+1] != "table" && args[at+1] != "text"
}

// partsNoWord tells that a line is too long only for a word that must stay whole,
// such as the path of a file.
func partsNoWord(line string) bool {
	return slices.ContainsFunc(strings.Fields(line), func(word string) bool {
		return displayColumns(word) > screenColumns/2 && strings.ContainsRune(word, filepath.Separator)
	})
}

// fitsTheScreen asserts that what a person reads of a run has no line wider than
// the screen, which would break it. A message is one line, however long: it can
// be searched for, and has no columns.
func fitsTheScreen(t *testing.T, args []string, r outcome) {
	t.Helper()
	var lines []string
	if !forPrograms(args) {
		lines = strings.Split(r.stdout, "\n")
	}
	for _, line := range strings.Split(r.stderr, "\n") {
		if !strings.HasPrefix(line, "warning: ") && !strings.HasPrefix(line, "note: ") && !strings.HasPrefix(line, "brinemark: ") {
			lines = append(lines, line)
		}
	}
	for _, line := range lines {
		assert.True(t, displayColumns(line) <= screenColumns || partsNoWord(line), "brinemark %s: %q", strings.Join(args, " "), line)
		assert.Equal(t, strings.TrimRight(line, " "), line, "brinemark %s: blanks at the end", strings.Join(args, " "))
		assert.NotContains(t, line, "\x1b", "no colour in a pipe")
	}
}

// The demonstration, from its first line to its last.
func TestDemoFitsTheScreen(t *testing.T) {
	t.Chdir(t.TempDir())
	args := []string{"demo", "demo"}
	r := invoke(args...)
	require.Equal(t, statusDone, r.status, r.stderr)
	fitsTheScreen(t, args, r)
}

// Names as long as the record takes them, notes of any length, and letters that
// are two columns wide do not break a table.
func TestLongNamesFitTheScreen(t *testing.T) {
	s := newSession(t)
	t.Chdir(t.TempDir())
	long := strings.Repeat("name ", 12) + "tail"
	solid := strings.Repeat("W", 64)
	wide := strings.Repeat("水", 30)
	for _, name := range []string{long, solid, wide} {
		s.ok("meter", "add", name, "--quantity", "ec", "--tolerance", "2%", "--range", "0..20mS/cm", "--note", strings.Repeat("a note without end ", 20))
		s.ok("bottle", "add", name, "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "0.3%", "--made", "2026-02-01", "--note", strings.Repeat("x", 300))
		s.ok("calibrate", "--point", "600=590", "--point", "900=880", "--meter", name, "--time", "2026-02-10", "--save", "--note", solid)
		bottled := s.table("bottled.csv", "bottle,reading,u_reading,temp_C\n\""+name+"\",1180,2,20\n")
		s.ok("calibrate", bottled, "--meter", name, "--time", "2026-02-20", "--save", "--note", solid)
		s.ok("event", "add", name, "note", "--note", strings.Repeat("a note without end ", 20))
	}
	for _, args := range [][]string{
		{"meter", "list", "--all"}, {"meter", "show", long, "--all"}, {"meter", "show", solid}, {"meter", "show", wide},
		{"bottle", "list"}, {"bottle", "show", long, "--meter", long}, {"bottle", "show", solid, "--meter", solid}, {"bottle", "show", wide, "--meter", wide},
		{"label", "--all", "--out", "x.html"}, {"sheet", "--temp", "19C", "--out", "y.html"}, {"drift", "--all"}, {"logbook", "check"},
		{"report", "--meter", long}, {"report", "--meter", solid, "--now", "2026-12-01"}, {"report", "--meter", wide, "--format", "text"}, {"report", "--all"},
	} {
		r := s.run(args...)
		require.Equal(t, statusDone, r.status, "%v: %s", args, r.stderr)
		fitsTheScreen(t, args, r)
	}
}

// The reports of the demonstration as text, on the day of the story and much later.
func TestDemoReportsFitTheScreen(t *testing.T) {
	record := filepath.Join(t.TempDir(), "logbook.db")
	require.NoError(t, os.WriteFile(record, []byte(sharedDemo(t).files[demoRecord]), 0o600))
	lines := 0
	for _, now := range []string{"2026-03-01", "2027-01-01"} {
		for _, which := range [][]string{{"--meter", "old-pen"}, {"--meter", "new-pen"}, {"--meter", "ph-pen"}, {"--meter", "tub-probe"}, {"--all"}} {
			args := append([]string{"report", "--logbook", record, "--time-zone", "UTC", "--format", "text", "--now", now}, which...)
			r := invoke(args...)
			require.Equal(t, statusDone, r.status, r.stderr)
			fitsTheScreen(t, args, r)
			lines += strings.Count(r.stdout, "\n")
			assert.NotContains(t, r.stdout, "µS", "a terminal has units in ASCII")
			assert.NotContains(t, r.stdout, "°C")
		}
	}
	assert.Greater(t, lines, 1000)
}

// Where a command judges, its verdict is a word, and the first one of the line it
// stands in; the line is the first of its figures.
func TestVerdictComesFirst(t *testing.T) {
	t.Chdir(t.TempDir())
	exampleFiles(t)
	atNoon(t, "2026-03-01T12:00:00Z")
	for want, args := range map[string][]string{
		`\Averdict +fail\n`:                                               {"calibrate", "old-pen.csv", "--tolerance", "5%"},
		`\Averdict +(pass|fail|undecided)\nbottle `:                       {"compensation", "warm.csv", "--salt", "NaCl", "--strength", "600mg/L", "--ppm-factor", "0.5", "--alpha", "2%", "--tolerance", "5%"},
		`\ADrift of .*\nverdict +(pass|fail|undecided)\nerror `:           {"drift", "checks.csv", "--tolerance", "5%"},
		`(?m)^verdict +meters .*\n.*\n-+\ndisagree +old-pen`:              {"compare", "both-pens.csv", "--tolerance", "5%"},
		`(?m)^verdict +meter .*\n.*\n-+\nfail +old-pen .*\npass +new-pen`: {"compare", "both-pens.csv", "--tolerance=5%"},
	} {
		r := invoke(args...)
		require.Equal(t, statusDone, r.status, r.stderr)
		assert.Regexp(t, want, r.stdout)
	}
}
