package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Readings that are not compensated share an axis with values at 25 C: the
// chart says which is which, and says nothing where both stand at one
// temperature.
func TestCorrectChartSaysWhatIsCompensated(t *testing.T) {
	log := file(t, "log.csv", logOf("time,ec,ph,water", func(i int) string { return fmt.Sprintf("1300,6.%d,%d", i%10, 18+i%5) }))
	ec := aCalibration(t, "ec.json", "ec", "2026-03-01T00:00:00Z", "as-left", 0, 1)
	ph := aCalibration(t, "ph.json", "ph", "2026-03-01T00:00:00Z", "as-left", 0, 1)
	for _, c := range []struct {
		args []string
		want []string
	}{
		{nil, []string{"reading", "corrected"}},
		{[]string{"--compensation", "ec=none"}, []string{"reading, not compensated", "corrected, at 25 °C"}},
		{[]string{"--compensation", "ec=none", "--calibration", "ph=" + ph},
			[]string{"reading, not compensated (ec)", "corrected, at 25 °C (ec)", "reading", "corrected"}},
		{[]string{"--compensation", "ec=linear:1.9%", "--compensate-by", "natural-water"},
			[]string{"reading, at 25 °C by linear compensation", "corrected, at 25 °C by natural-water compensation"}},
	} {
		chart := filepath.Join(t.TempDir(), "chart.svg")
		r := invoke(append([]string{"correct", log, "--calibration", "ec=" + ec, "--temp", "water", "--time-zone", "UTC", "--plot", chart}, c.args...)...)
		require.Equal(t, statusDone, r.status, r.stderr)
		drawn, err := os.ReadFile(chart)
		require.NoError(t, err)
		for _, want := range c.want {
			assert.Contains(t, string(drawn), ">"+want+"<", "%v", c.args)
		}
		if c.args == nil {
			assert.NotContains(t, string(drawn), "compensated")
		}
	}
}
