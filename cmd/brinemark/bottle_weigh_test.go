package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// stocked is a session with a pen and a bottle that can be weighed again.
func stocked(t *testing.T) *session {
	s := newSession(t)
	s.ok("meter", "add", "pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--alpha", "2%", "--tolerance", "5%")
	s.ok("bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "0.5%", "--made", "2026-02-01",
		"--full-mass", "552.3g", "--empty-mass", "52.3g", "--u-bottle-mass", "0.05g")
	return s
}

// bottleTable writes a table with one reading of bottle A.
func bottleTable(t *testing.T) string {
	path := filepath.Join(t.TempDir(), "a.csv")
	require.NoError(t, os.WriteFile(path, []byte("bottle,reading,u_reading,temp_C\nA,606,1,25\n"), 0o600))
	return path
}

// A mass that was mistyped would otherwise bar the right one: the bottle would
// appear to have become heavier. Calibrations held against it are named.
func TestAMistypedWeighingIsCorrected(t *testing.T) {
	s := stocked(t)
	s.ok("bottle", "weigh", "A", "--mass", "507.3g", "--nothing-poured")
	id := s.json("calibrate", bottleTable(t), "--meter", "pen", "--u-temp", "0.2C", "--save")["id"].(string)
	atNoon(t, "2026-03-01T12:10:00Z")
	r := s.run("bottle", "weigh", "A", "--mass", "547.3g")
	require.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "heavier by 40 g")
	r = s.run("bottle", "weigh", "A", "--mass", "547.3g", "--correct")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stdout, "evaporated   5.005 ± 0.071 g of water, 1.000 ± 0.014 % of the content")
	assert.Contains(t, r.stderr, "calibration "+id+" of meter pen was held against what was wrong, A/2: make it again with --save --corrects "+id)
	after := s.json("bottle", "show", "A")
	assert.Equal(t, "A/3", after["id"])
	assert.Equal(t, "A/2", after["supersedes"])
	assert.Equal(t, "2026-03-01T12:00:00Z", after["since"])

	other := stocked(t)
	other.ok("bottle", "weigh", "A", "--mass", "547.3g")
	assert.Equal(t, other.json("bottle", "show", "A")["value"], after["value"], "as if the slip had not been")

	r = other.run("bottle", "weigh", "A", "--mass", "547.3g", "--correct", "--time", "2026-03-02")
	require.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "want that time, or an earlier one")
}

// A time in the future is warned of wherever one is put on record, with the
// clock's day: of the two one is wrong, and the program cannot tell which.
func TestTimesInTheFuture(t *testing.T) {
	s := stocked(t)
	s.ok("meter", "add", "pen 2", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5")
	for _, args := range [][]string{
		{"bottle", "weigh", "A", "--mass", "547.3g", "--time", "2027-03-01"},
		{"event", "add", "pen", "cleaned", "--time", "2027-03-01"},
		{"bottle", "add", "B", "--buffer", "7.00", "--made", "2027-03-01"},
		{"calibrate", bottleTable(t), "--meter", "pen", "--save", "--time", "2026-03-02"},
		{"calibrate", file(t, "t.csv", "ref,reading,time\n600,606,2026-03-01\n900,906,2027-03-01\n"), "--meter", "pen", "--save", "--time", "2026-03-01"},
		{"compare", file(t, "c.csv", "meter,sample,reading,time\npen,A,606,2027-03-01\npen 2,A,600,2027-03-01\n"), "--save"},
		{"recipe", "made", "--salt", "NaCl", "--salt-mass", "0.3g", "--water-mass", "500g", "--grade", "reagent", "--save", "C", "--made", "2027-03-01"},
		{"meter", "retire", "pen", "--time", "2027-03-01"},
	} {
		r := s.run(args...)
		require.Equal(t, statusDone, r.status, "%v: %s", args, r.stderr)
		assert.Regexp(t, "in the future, 202[67]-03-0.*, and the clock says it is 2026-03-01: is the da", r.stderr, "%v", args)
	}
	for _, args := range [][]string{{"meter", "add", "P2", "--quantity", "ph"}, {"meter", "retire", "P2"}} {
		assert.NotContains(t, s.run(args...).stderr, "future")
	}
}

// What was poured out may not be evaporation: a loss that no closed bottle has is
// warned of unless somebody says that nothing was poured, and the words name what
// works.
func TestWhatWasPouredIsAskedFor(t *testing.T) {
	s := stocked(t)
	r := s.run("bottle", "weigh", "A", "--mass", "485.3g")
	require.Equal(t, statusDone, r.status, r.stderr)
	for _, says := range []string{"bottle A is lighter by 67.1 g, 13 % of its content", "--nothing-poured", "--mass 552.3g --left-mass 485.3g --correct"} {
		assert.Contains(t, r.stderr, says)
	}
	right := s.run("bottle", "weigh", "A", "--mass", "552.3g", "--left-mass", "485.3g", "--correct")
	require.Equal(t, statusDone, right.status, right.stderr)
	assert.Contains(t, right.stdout, "485.300 ± 0.050 g")
	assert.NotContains(t, right.stderr, "lighter")
	quiet := s.run("bottle", "weigh", "A", "--mass", "485.3g", "--nothing-poured", "--correct")
	require.Equal(t, statusDone, quiet.status, quiet.stderr)
	assert.Contains(t, quiet.stdout, "evaporated   67.071")
	assert.NotContains(t, quiet.stderr, "lighter")
	r = s.run("bottle", "weigh", "A", "--mass", "552.3g", "--time", "2026-01-31", "--correct")
	require.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "it was made on 2026-02-01, and the weighing is of 2026-01-31")
}

// The days of a bottle are those of the zone: made on the 2nd in the far east, it
// is weighed, and corrected, while Greenwich has the 1st.
func TestTheDayOfAWeighingIsThatOfTheZone(t *testing.T) {
	s := newSession(t)
	run := func(args ...string) outcome {
		return invoke(append([]string{"--time-zone", "Pacific/Auckland", "--logbook", s.file}, args...)...)
	}
	for _, args := range [][]string{
		{"bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "0.5%", "--made", "2026-03-02",
			"--full-mass", "552.3g", "--empty-mass", "52.3g", "--u-bottle-mass", "0.05g"},
		{"bottle", "weigh", "A", "--mass", "552.2g"},
		{"bottle", "weigh", "A", "--mass", "552.25g", "--correct"},
	} {
		r := run(args...)
		require.Equal(t, statusDone, r.status, "%v: %s", args, r.stderr)
	}
}

// A weighing that comes late changes nothing of what was saved before it; what
// read the bottle meanwhile is named, and made again it takes the new strength.
func TestALateWeighingNamesWhatReadTheBottle(t *testing.T) {
	s := stocked(t)
	save := func(more ...string) string {
		return s.json(append([]string{"calibrate", bottleTable(t), "--meter", "pen", "--u-temp", "0.2C", "--save"}, more...)...)["id"].(string)
	}
	between, after := save("--time", "2026-02-10"), save("--time", "2026-02-20")
	r := s.run("bottle", "weigh", "A", "--mass", "547.3g", "--time", "2026-02-15")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, "warning: calibration "+after+" of meter pen read bottle A after this weighing, and has the strength of before it: made again with --save --corrects "+after+" it takes the new one\n")
	assert.Contains(t, r.stderr, "read between the two weighings, and so with the strength of the first, were "+between+" (pen, 2026-02-10): by then bottle A was stronger by up to 1 %\n")
	ref := func(r map[string]any) float64 { return r["points"].([]any)[0].(map[string]any)["ref"].(float64) }
	old := ref(s.json("calibrate", bottleTable(t), "--meter", "pen", "--u-temp", "0.2C", "--time", "2026-02-10"))
	again := ref(s.json("calibrate", bottleTable(t), "--meter", "pen", "--u-temp", "0.2C", "--save", "--corrects", after))
	assert.InEpsilon(t, 1.01*old, again, 0.001)
	r = s.run("bottle", "weigh", "A", "--mass", "546.3g")
	assert.NotContains(t, r.stderr, between, "it read an older version")
	assert.NotContains(t, r.stderr, "after this weighing")
	assert.Contains(t, r.stderr, "read between the two weighings")
}

// A reading without a time is one of now, whether it is saved or not.
func TestAReadingWithoutATimeIsOfNow(t *testing.T) {
	s := stocked(t)
	now := s.json("bottle", "show", "A", "--temp", "25C")["value"].(float64)
	s.ok("bottle", "weigh", "A", "--mass", "302.3g", "--time", "2026-03-02", "--nothing-poured")
	table := bottleTable(t)
	for _, more := range [][]string{nil, {"--save"}} {
		r := s.json(append([]string{"calibrate", table, "--meter", "pen", "--u-temp", "0.2C"}, more...)...)
		points := r["points"].([]any)
		assert.InEpsilon(t, now/2, points[0].(map[string]any)["ref"], 1e-9, "%v", more)
	}
	typed := filepath.Join(t.TempDir(), "typed.csv")
	require.NoError(t, os.WriteFile(typed, []byte("bottle,ref,reading,temp_C\nA,607.4,606,25\n"), 0o600))
	r := s.run("calibrate", typed, "--meter", "pen")
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.False(t, strings.Contains(r.stderr, "ref is typed"), r.stderr)
}
