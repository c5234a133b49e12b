package main

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A meter whose unit was corrected: what was found before is in the unit of then,
// and says so.
func TestTheHistoryKeepsItsUnits(t *testing.T) {
	s := newSession(t)
	path := filepath.Join(t.TempDir(), "a.csv")
	require.NoError(t, os.WriteFile(path, []byte("ref,u_ref,reading,u_reading,temp_C\n310,1,270,1,18\n610,1,532,1,18\n"), 0o600))
	s.ok("meter", "add", "pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--alpha", "2%", "--tolerance", "20")
	id := s.json("calibrate", path, "--meter", "pen", "--save")["id"].(string)
	assert.Regexp(t, `as-found +1\.1450 +0\.8 +-78 +fail`, s.ok("meter", "show", "pen"))
	s.ok("meter", "add", "pen", "--quantity", "ec", "--unit", "uS/cm", "--alpha", "2%", "--tolerance", "20", "--correct")
	shown := s.ok("meter", "show", "pen")
	assert.Regexp(t, `as-found +1\.1450 +0\.8 ppm +-78 ppm +fail`, shown)
	assert.NotContains(t, shown, id)
	calibrations := s.json("meter", "show", "pen")["calibrations"].([]any)
	assert.Equal(t, "ppm", calibrations[0].(map[string]any)["unit"])
}

// What --corrects takes is shown with --all, and what took the place of what.
func TestTheHistorySaysWhatCanBeCorrected(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "pen", "--quantity", "ph")
	first := s.json("event", "add", "pen", "cleaned")["id"].(string)
	second := s.json("event", "add", "pen", "adjusted", "--corrects", first)["id"].(string)
	shown := s.ok("meter", "show", "pen", "--all")
	assert.Regexp(t, `cleaned +`+regexp.QuoteMeta(first)+`\n`, shown)
	assert.Regexp(t, `adjusted +`+regexp.QuoteMeta(second)+` +`+regexp.QuoteMeta(first)+`\n`, shown)
}
