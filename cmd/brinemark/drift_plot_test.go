package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The chart of every quantity says in what unit its errors are.
func TestDriftChartsSayTheirUnit(t *testing.T) {
	for quantity, unit := range map[string]string{"ec": "% of the reference", "ph": "pH", "temperature": "°C", "humidity": "%RH", "oxygen": "mg/L", "co2": "ppm"} {
		checks := file(t, "checks.csv", "time,ref,reading\n2026-01-01,75,76\n2026-02-01,75,76.5\n2026-03-01,75,77\n2026-04-01,75,77.4\n")
		if quantity == "ph" || quantity == "oxygen" {
			checks = file(t, "small.csv", "time,ref,reading\n2026-01-01,7,7.01\n2026-02-01,7,7.05\n2026-03-01,7,7.07\n2026-04-01,7,7.1\n")
		}
		chart := filepath.Join(t.TempDir(), "chart.svg")
		r := invoke("drift", checks, "--quantity", quantity, "--now", "2026-04-02", "--time-zone", "UTC", "--plot", chart)
		require.Equal(t, statusDone, r.status, r.stderr)
		drawn, err := os.ReadFile(chart)
		require.NoError(t, err)
		assert.Regexp(t, `>error[^<]*, `+unit+`<`, string(drawn), quantity)
	}
}
