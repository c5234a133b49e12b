package solutions

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files instead of comparing with them")

// golden compares text with a file in testdata/golden.
func golden(t *testing.T, name, text string) {
	t.Helper()
	path := filepath.Join("..", "testdata", "golden", name)
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), text, "%s; after a wanted change: go test ./solutions -update", path)
}
