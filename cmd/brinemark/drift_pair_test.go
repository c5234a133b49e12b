package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two probes in one tub, every half hour for 120 days, in a liquid that
// changes: left gains 1 % a month on right.
func TestDriftOfAPair(t *testing.T) {
	lines := []string{"time,left,right,temp_C"}
	for i := range 48 * 120 {
		day := float64(i) / 48
		liquid := 1800 + 200*math.Sin(day/9) + 20*math.Sin(2*math.Pi*day)
		noise := 4 * math.Sin(float64(i)*12.9898)
		left, right := fmt.Sprintf("%.1f", liquid*(1.004+0.01*day/30)+noise), fmt.Sprintf("%.1f", liquid-noise)
		if i%97 == 0 {
			right = ""
		}
		lines = append(lines, fmt.Sprintf("%s,%s,%s,21", time.Date(2025, 11, 1, 0, 30*i, 0, 0, time.UTC).Format("2006-01-02 15:04"), left, right))
	}
	path := table(t, lines...)
	out := driftJSON(t, path, "--pair", "left,right", "--tolerance", "10%", "--now", "2026-03-01")
	assert.InDelta(t, 0.044, number(t, out, "error_now"), 0.001)
	assert.InDelta(t, 0.01, number(t, out, "rate_per_30d"), 0.0003)
	assert.Equal(t, 120.0, out["n"])
	pair := out["pair"].(map[string]any)
	assert.Equal(t, 5760.0, pair["rows"])
	assert.Equal(t, 60.0, pair["rows_skipped"])
	back := driftJSON(t, path, "--pair", "right,left", "--tolerance", "10%", "--now", "2026-03-01")
	assert.InDelta(t, -0.01, number(t, back, "rate_per_30d"), 0.0015, "the other way round")
	args := []string{"drift", "tub.csv", "--pair", "left,right", "--tolerance", "5%", "--now", "2026-03-01", "--chart", "always"}
	tub := filepath.Join(filepath.Dir(path), "tub.csv")
	require.NoError(t, os.Rename(path, tub))
	r := invoke(append([]string{"drift", tub, "--time-zone", "UTC"}, args[2:]...)...)
	require.Equal(t, statusDone, r.status, r.stderr)
	golden(t, "drift/pair.txt", screen(args, r))
}

func FuzzDriftWords(f *testing.F) {
	f.Add("left,right")
	f.Add("5%")
	f.Add("drift.svg")
	f.Fuzz(func(t *testing.T, text string) {
		if p, err := parsePair(text); err == nil {
			require.NotEmpty(t, p.a)
			require.NotEmpty(t, p.b)
		}
		if risk, err := parseRisk(text); err == nil {
			require.True(t, risk > 0 && risk < 1, "%v", risk)
		}
		if path, err := parsePlot(text); err == nil {
			require.Equal(t, text, path)
			require.Regexp(t, `(?is)\.(svg|png)$`, path)
		}
	})
}
