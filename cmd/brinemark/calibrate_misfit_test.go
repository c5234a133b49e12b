package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// One bad bottle of three: it is named, and nothing recommends the line through it.
func TestCalibrateNamesTheBadBottle(t *testing.T) {
	path := file(t, "bad.csv", `bottle,ref,reading,u_ref,ref_source,u_ref_shared,u_reading
A,618.6,619,0.62,s1,4.95,1
B,1215.1,1313,1.22,s1,9.72,1
C,1991.3,1992,1.99,s1,15.93,1
`)
	r := invoke("calibrate", path, "--tolerance", "2%", "--check")
	require.Equal(t, statusNotPassing, r.status)
	golden(t, "calibrate/bad-bottle.txt", screen([]string{"calibrate", "bad.csv", "--tolerance", "2%", "--check"}, r))
	v := decode(t, "calibrate", path, "--tolerance", "2%")
	misfit := v["misfit"].(map[string]any)
	assert.Equal(t, "B", misfit["bottle"])
	assert.Equal(t, 3.0, misfit["row"])
	assert.Equal(t, 1215.1, misfit["ref"])
	assert.Less(t, misfit["p"], 1e-6)
	assert.Empty(t, misfit["swapped"])
	assert.InDelta(t, 1, number(t, misfit, "without", "fit", "slope"), 0.003)
	assert.Equal(t, "pass", misfit["without"].(map[string]any)["verdict"])
	assert.Less(t, number(t, v, "fit", "slope"), 0.9, "the fit stays what generalised least squares gives")
	assert.Nil(t, decode(t, "calibrate", file(t, "pen.csv", pen))["misfit"])

	swapped := file(t, "swapped.csv", "bottle,ref,reading,u_ref,u_reading\nA,618.6,1216,1,1\nB,1215.1,619,1,1\nC,1991.3,1992,2,1\n")
	misfit = decode(t, "calibrate", swapped, "--tolerance", "2%")["misfit"].(map[string]any)
	assert.Equal(t, []any{"A", "B"}, misfit["swapped"])
	assert.Nil(t, misfit["bottle"])
}
