package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A tolerance in percent of a quantity whose errors are told in its unit: what was
// seen is the error worst against it, with its reference and its share of that.
func TestReportNamesTheReferenceOfWhatWasSeen(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "lamp", "--quantity", "other", "--unit", "lux", "--tolerance", "5%")
	path := file(t, "lux.csv", "time,ref,reading,u_ref,u_reading\n2026-02-27 09:00,100,103,1,1\n2026-02-27 09:10,500,508,5,3\n2026-02-27 09:20,1000,1030,10,5\n2026-02-27 09:30,2000,2088,20,10\n")
	s.ok("calibrate", path, "--meter", "lamp", "--save")
	r := s.json("report", "--meter", "lamp", "--now", "2026-03-05")
	assert.Contains(t, r["state_text"], "lux at 2000 lux (+4.4 % of it) on 27 February 2026", "4.4 %, though 3 lux of 100 are the least")
	assert.Regexp(t, `foretold today: \+\d.* lux at [\d.]+ lux \(\+\d\.\d+ % of it\)`, r["state_text"])
	assert.Equal(t, 2000.0, r["last_seen"].(map[string]any)["ref"])
}
