package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Hints about what was typed say what is right.
func TestCalibrateHints(t *testing.T) {
	r := invoke("calibrate", file(t, "f.csv", "ref,reading,temp_C\n1413,1400,63F\n"))
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, `row 2, column temp_C: found "63F"; want the number in C: 63F is 17.22`)
	r = invoke("calibrate", file(t, "u.csv", "bottle,reading,temp_C,u_temp_C\nA,1400,17,1.8F\n"))
	assert.Contains(t, r.stderr, "1.8F is 1", "a difference")
	r = invoke("recipe", "--salt", "NaCl", "--target", "600mg/L", "--batch", "1gal")
	assert.Contains(t, r.stderr, `"1gal" has an unknown unit, "gal"`)

	s := newSession(t)
	s.ok("meter", "add", "penOS", "--quantity", "ec", "--unit", "mS/cm", "--tolerance", "5%")
	assert.Contains(t, texts(s.json("calibrate", "--point", "1.413=1.4", "--meter", "penO5")), "meter penO5 is not on record, and nothing is known of it; the nearest is penOS")
	assert.NotContains(t, texts(s.json("calibrate", "--point", "1.413=1.4", "--meter", "quite another")), "the nearest")

	// A figure that would decide has the unit of the readings.
	v := decode(t, "calibrate", "--unit", "mS/cm", "--point", "1.413=1.4129", "--point", "2.767=2.79", "--u-ref", "1%", "--u-reading", "0.001", "--tolerance", "1%")
	assert.Regexp(t, `an uncertainty of 0\.\d+ mS/cm would decide`, v["advice"])
}
