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
	s.ok("bottle", "weigh", "A", "--mass", "507.3g")
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

// Times that lie in the future are warned of, wherever one is put on record.
func TestTimesInTheFutureAreWarnedOf(t *testing.T) {
	s := stocked(t)
	for _, args := range [][]string{
		{"bottle", "weigh", "A", "--mass", "547.3g", "--time", "2027-03-01"},
		{"event", "add", "pen", "cleaned", "--time", "2027-03-01"},
		{"meter", "retire", "pen", "--time", "2027-03-01"},
	} {
		r := s.run(args...)
		require.Equal(t, statusDone, r.status, r.stderr)
		assert.Contains(t, r.stderr, "lies in the future, 2027-03-01T00:00:00Z", "%v", args)
	}
	for _, args := range [][]string{{"meter", "add", "P2", "--quantity", "ph"}, {"meter", "retire", "P2"}} {
		assert.NotContains(t, s.run(args...).stderr, "future")
	}
}

// A reading without a time is one of now, whether it is saved or not.
func TestAReadingWithoutATimeIsOfNow(t *testing.T) {
	s := stocked(t)
	now := s.json("bottle", "show", "A", "--temp", "25C")["value"].(float64)
	s.ok("bottle", "weigh", "A", "--mass", "502.3g", "--time", "2027-03-01")
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
