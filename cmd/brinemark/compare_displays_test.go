package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two displays known to differ have no verdict between them, and none is missed
// where each passes by the bottles.
func TestCompareOfDisplaysThatDiffer(t *testing.T) {
	judged := file(t, "judged.csv", `meter,sample,reading,ref,u_ref,u_reading
P1,a,300,301,1,1
P2,a,421,421.4,1.4,1
P1,b,600,602,1,1
P2,b,841,842.8,2,1
P1,c,900,902,2,1
P2,c,1261,1262.8,3,1
`)
	bare := file(t, "bare.csv", "meter,sample,reading\nP1,a,300\nP2,a,404\nP1,b,600\nP2,b,807\nP1,c,900\nP2,c,1211\n")
	failing := file(t, "failing.csv", "meter,sample,reading,ref,u_ref,u_reading\nP1,a,300,301,1,1\nP2,a,481,421.4,1.4,1\nP1,b,600,602,1,1\nP2,b,961,842.8,2,1\n")
	flags := []string{"--tolerance", "5%", "--ppm-factor", "P1=0.5", "--ppm-factor", "P2=0.7"}
	for _, c := range []struct {
		path   string
		status int
	}{{judged, statusDone}, {bare, statusNotPassing}, {failing, statusNotPassing}} {
		r := invoke(append([]string{"compare", c.path, "--check"}, flags...)...)
		assert.Equal(t, c.status, r.status, r.stdout)
		assert.NotContains(t, r.stdout, "disagree")
		assert.Contains(t, r.stdout, "displays differ: ppm (x 0.5) and ppm (x 0.7); compare them by the")
		assert.Contains(t, r.stdout, "Expected ratio 1.4")
	}
	v := decode(t, append([]string{"compare", bare}, flags...)...)
	pair := v["pairs"].([]any)[0].(map[string]any)
	require.Nil(t, pair["verdict"])
	require.Nil(t, pair["p_agree"])
	assert.InDelta(t, 1.4, pair["expected_ratio"], 1e-12)
	assert.Equal(t, []any{"ppm (x 0.5)", "ppm (x 0.7)"}, pair["displays"])
	// Displays alike keep their verdict.
	r := invoke("compare", bare, "--check", "--tolerance", "50%", "--ppm-factor", "P1=0.5", "--ppm-factor", "P2=0.5")
	assert.Equal(t, statusDone, r.status)
	assert.NotContains(t, r.stdout, "displays differ")
}
