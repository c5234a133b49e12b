package main

import (
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What our own packages do before main is little: no table is worked out and no
// expression compiled that a command may never need. Counted in what the
// runtime says each package allocates (GODEBUG=inittrace=1), which does not
// depend on the machine as a time does.
func TestStartUpIsCheap(t *testing.T) {
	c := exec.Command(buildBinary(t), "reference", "--ice")
	c.Env = append(os.Environ(), "GODEBUG=inittrace=1")
	var stderr strings.Builder
	c.Stderr = &stderr
	require.NoError(t, c.Run())
	seen, bytes, allocations := 0, 0, 0
	for line := range strings.Lines(stderr.String()) {
		var pkg, at, clock, of string
		var b, n int
		_, err := fmt.Sscanf(strings.NewReplacer(" ms", "ms", ",", "").Replace(line), "init %s %s %s %s %d bytes %d allocs", &pkg, &at, &clock, &of, &b, &n)
		if err != nil || !strings.Contains(pkg, "/brinemark/") {
			continue
		}
		seen, bytes, allocations = seen+1, bytes+b, allocations+n
	}
	require.Greater(t, seen, 5, "the trace is read: %s", stderr.String())
	assert.Less(t, bytes, 40_000)
	assert.Less(t, allocations, 400)
}

// BenchmarkStart is a whole run of a command that needs no record.
func BenchmarkStart(b *testing.B) {
	path := buildBinary(b)
	for b.Loop() {
		require.NoError(b, exec.Command(path, "reference", "--ice").Run())
	}
}
