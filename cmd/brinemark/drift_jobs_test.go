package main

import (
	"fmt"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two things at a time on two processors, never more, each once.
func TestSideBySide(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(2))
	const n = 41
	var did [n]atomic.Int32
	var under, most atomic.Int32
	meet := make(chan struct{})
	sideBySide(n, func(i int) {
		now := under.Add(1)
		for m := most.Load(); now > m && !most.CompareAndSwap(m, now); m = most.Load() {
		}
		if i < 2 { // the first two wait for each other
			select {
			case meet <- struct{}{}:
			case <-meet:
			case <-time.After(10 * time.Second):
				t.Error("one after the other")
			}
		}
		did[i].Add(1)
		under.Add(-1)
	})
	for i := range did {
		assert.EqualValues(t, 1, did[i].Load(), i)
	}
	assert.EqualValues(t, 2, most.Load())
	sideBySide(0, func(int) { t.Error("there is nothing to do") })
}

// However many processors there are, a list of meters comes out the same, and
// so does the row that is to blame.
func TestDriftOfManyMetersIsAlwaysTheSame(t *testing.T) {
	rows := []string{"time,meter,ref,reading,u_ref,u_reading"}
	for day := 1; day <= 6; day++ {
		for m := range 24 {
			rows = append(rows, fmt.Sprintf("2026-01-%02d,P%02d,1413,%d,4,3", 4*day, m, 1413+(m-12)*day))
		}
	}
	file := table(t, rows...)
	wrong := table(t, append(rows, "2026-02-01,P07,1413,1.4,4,3", "2026-02-01,P20,0,1400,4,3")...)
	var outs, errs []string
	for _, processors := range []int{1, 2, 7} {
		before := runtime.GOMAXPROCS(processors)
		r := invoke("drift", file, "--all", "--tolerance", "5%", "--now", "2026-02-02", "--json")
		bad := invoke("drift", wrong, "--all", "--tolerance", "5%", "--now", "2026-02-02")
		runtime.GOMAXPROCS(before)
		require.Equal(t, statusDone, r.status, r.stderr)
		require.Equal(t, statusBadInput, bad.status)
		outs, errs = append(outs, r.stdout), append(errs, bad.stderr)
	}
	for i := range outs {
		assert.Equal(t, outs[0], outs[i])
		assert.Contains(t, errs[i], "row 146, column reading: found 1.4")
	}
}
