package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A meter that was never checked is to be checked today, in its report as among
// the drifts of all; one out of use is not.
func TestReportOfAMeterThatWasNeverChecked(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "new", "--quantity", "ec", "--tolerance", "5%")
	s.ok("meter", "add", "gone", "--quantity", "ec")
	s.ok("meter", "retire", "gone", "--time", "2026-01-01")
	r := s.run("report", "--meter", "new", "--now", "2026-03-01")
	text := strings.Join(strings.Fields(r.stdout), " ")
	assert.Contains(t, text, "so nobody knows how far to trust it. Check it now.")
	assert.Regexp(t, `next check +2026-03-01`, r.stdout)
	assert.Equal(t, "2026-03-01", s.json("report", "--meter", "new", "--now", "2026-03-01")["next_check"])
	assert.Nil(t, s.json("report", "--meter", "gone", "--now", "2026-03-01")["next_check"])
	assert.NotContains(t, s.run("report", "--meter", "gone", "--now", "2026-03-01").stdout, "heck it now")
}
