package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A display that is full says "at least": by the record, and by --range.
func TestCalibrateLeavesOutFullDisplay(t *testing.T) {
	book := filepath.Join(t.TempDir(), "book.db")
	rows := file(t, "full.csv", "bottle,ref,reading,u_ref,u_reading\nA,447,450,1,1\nC,1394,999,3,1\nB,706,709,1,1\n")
	require.Equal(t, statusDone, invoke("meter", "add", "short", "--quantity", "ec", "--unit", "uS/cm", "--resolution", "1", "--range", "0..999", "--tolerance", "5%", "--logbook", book).status)
	for _, args := range [][]string{
		{"calibrate", rows, "--meter", "short", "--logbook", book},
		{"calibrate", rows, "--range", "0..999", "--tolerance", "5%"},
	} {
		v := decode(t, args...)
		assert.Equal(t, "pass", v["verdict"])
		assert.Len(t, v["points"], 2)
		assert.Contains(t, v["warnings"], "row 3, bottle C (ref 1394) is left out of line and verdict: the display ends at 999, and 999 says only that there is at least as much")
		out := v["left_out"].([]any)[0].(map[string]any)
		assert.Equal(t, 3.0, out["row"])
		assert.Equal(t, "C", out["bottle"])
		assert.InDelta(t, 1, v["fit"].(map[string]any)["slope"], 0.02)
	}
	for _, args := range [][]string{
		{"calibrate", "--point", "1394=999", "--range", "0..999"},
		{"calibrate", "--point", "1394=999", "--meter", "short", "--logbook", book},
		{"calibrate", "--point", "1394=999", "--range", "0..999uS/cm"},
		{"calibrate", "--point", "1394=999", "--range", "999..0"},
		{"calibrate", "--point", "1394=-298"},
	} {
		r := invoke(args...)
		assert.Equal(t, statusBadInput, r.status, "%v: %s", args, r.stdout)
		assert.Contains(t, r.stderr, "want")
	}
}
