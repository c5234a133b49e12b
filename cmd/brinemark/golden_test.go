package main

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the golden files; read the change before you commit it")

// outcome is what a run of the program leaves behind.
type outcome struct {
	stdout, stderr string
	status         int
}

// invoke runs the real entry point in this process, with buffers.
func invoke(args ...string) outcome { return invokeWith("", args...) }

// invokeWith is invoke with a text on standard input.
func invokeWith(stdin string, args ...string) outcome {
	var out, err bytes.Buffer
	status := run(append([]string{"brinemark"}, args...), strings.NewReader(stdin), &out, &err)
	return outcome{out.String(), err.String(), status}
}

// screen is a run as a person sees it: what was typed, what came back.
func screen(args []string, r outcome) string {
	text := "$ brinemark " + strings.Join(args, " ") + "\n" + r.stdout
	if r.stderr != "" {
		text += "--- stderr\n" + r.stderr
	}
	if r.status != statusDone {
		text += fmt.Sprintf("--- status %d\n", r.status)
	}
	return text
}

// goldenFolder is found before a test changes its folder.
var goldenFolder, errGoldenFolder = filepath.Abs(filepath.Join("..", "..", "testdata", "golden"))

// golden compares output with testdata/golden/NAME. A file that is missing is
// a failure: only -update writes one.
func golden(t *testing.T, name, got string) {
	t.Helper()
	require.NoError(t, errGoldenFolder)
	path := filepath.Join(goldenFolder, filepath.FromSlash(name))
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "go test -update writes it")
	assert.Equal(t, string(want), got, "the output changed; if that is meant, go test -update, and read the change")
}
