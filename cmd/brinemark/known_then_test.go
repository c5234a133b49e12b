package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A report of an earlier day judges by what was true then, and says how much of
// the record it leaves out.
func TestAReportOfAnEarlierDay(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "pen", "--quantity", "ec", "--unit", "uS/cm", "--tolerance", "5%")
	s.ok("meter", "add", "old", "--quantity", "ec", "--unit", "uS/cm", "--tolerance", "5%")
	check := func(meter, day, reading string) {
		s.ok("calibrate", "--meter", meter, "--save", "--time", day, "--point", "1413="+reading, "--u-ref", "0.3%", "--u-reading", "2")
	}
	for _, meter := range []string{"pen", "old"} {
		check(meter, "2026-01-10", "1412")
	}
	check("pen", "2026-02-20", "1200")
	s.ok("event", "add", "pen", "cleaned", "--time", "2026-02-21")
	s.ok("meter", "retire", "old", "--time", "2026-02-15")
	s.ok("bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "0.5%", "--made", "2026-01-05", "--full-mass", "552.3g", "--empty-mass", "52.3g", "--u-bottle-mass", "0.05g")
	s.ok("bottle", "weigh", "A", "--mass", "549.3g", "--time", "2026-02-20")
	s.ok("bottle", "add", "B", "--buffer", "7.00", "--made", "2026-02-20")

	then := s.json("report", "--meter", "old", "--now", "2026-02-01")
	assert.NotContains(t, fmt.Sprint(then), "Out of use")
	assert.NotContains(t, fmt.Sprint(then), "out-of-use")
	assert.Nil(t, then["description"].(map[string]any)["retired_at"])
	assert.NotNil(t, then["next_check"])
	assert.NotContains(t, fmt.Sprint(then["warnings"]), "left out")
	assert.Equal(t, "out-of-use", s.json("report", "--meter", "old", "--now", "2026-02-15")["state"])
	assert.Equal(t, "out-of-use", s.json("report", "--meter", "old")["state"])

	const left = "records later than 2026-02-01 are left out: this is how things stood then"
	then = s.json("report", "--meter", "pen", "--now", "2026-02-01")
	assert.Equal(t, "pass", then["state"])
	assert.Contains(t, then["warnings"], "2 "+left)
	assert.Equal(t, 1, strings.Count(fmt.Sprint(then["warnings"]), "left out"), "said once")
	r := s.run("report", "--meter", "pen", "--now", "2026-02-01", "--format", "markdown")
	assert.Contains(t, r.stdout, "2 "+left)
	first := s.json("report", "--meter", "pen", "--now", "2026-01-01")
	assert.Equal(t, "not-checked", first["state"])
	assert.Equal(t, []any{"3 " + strings.Replace(left, "02-01", "01-01", 1)}, first["warnings"])
	assert.NotContains(t, fmt.Sprint(s.json("report", "--meter", "pen")["warnings"]), "left out")

	all := s.json("report", "--all", "--now", "2026-02-01")
	assert.Equal(t, []any{"3 " + left}, all["warnings"], "a calibration, an event, and bottle B")
	states := fmt.Sprint(all["meters"])
	assert.NotContains(t, states, "out-of-use")
	bottles := all["bottles"].([]any)
	assert.Len(t, bottles, 1)
	assert.Equal(t, "A", bottles[0].(map[string]any)["id"], "as it was before it was weighed again")
	assert.Equal(t, "A/2", s.json("report", "--all")["bottles"].([]any)[0].(map[string]any)["id"])

	assert.ElementsMatch(t, []string{"old", "pen"}, meterNames(s.json("drift", "--all", "--now", "2026-02-01"), "meters"))
	assert.Equal(t, []string{"pen"}, meterNames(s.json("drift", "--all"), "meters"))
}
