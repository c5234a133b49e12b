package logbook

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A new record is there when it has been filled, whole, and alone in its folder.
func TestBegin(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "logbook.db")
	require.NoError(t, Begin(path, options, func(b *Book) error {
		assert.NoFileExists(t, path)
		return b.Save(aMeter("P1"), aBottle("A"))
	}))
	assert.Equal(t, []string{"logbook.db"}, names(t, folder))
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())

	// One that is there is filled as it stands.
	require.NoError(t, Begin(path, options, func(b *Book) error { return b.Save(aMeter("P2")) }))
	b, err := Open(path, options)
	require.NoError(t, err)
	defer b.Close()
	for _, name := range []string{"P1", "P2"} {
		_, err := b.Meter(name)
		assert.NoError(t, err, name)
	}
}

// A fill that is refused leaves nothing, and a record that is there as it was.
func TestBeginRefused(t *testing.T) {
	refused := errors.New("refused")
	folder := t.TempDir()
	path := filepath.Join(folder, "logbook.db")
	err := Begin(path, options, func(b *Book) error {
		require.NoError(t, b.Save(aMeter("P1")))
		return refused
	})
	require.ErrorIs(t, err, refused)
	assert.Empty(t, names(t, folder))

	require.NoError(t, Begin(path, options, func(b *Book) error { return b.Save(aMeter("P1")) }))
	err = Begin(path, options, func(*Book) error { return refused })
	require.ErrorIs(t, err, refused)
	assert.Equal(t, []string{"logbook.db"}, names(t, folder))
}

// Where somebody else begins the record meanwhile, theirs stands.
func TestBeginMeanwhile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	err := Begin(path, options, func(b *Book) error {
		other, err := Create(path, options)
		require.NoError(t, err)
		require.NoError(t, other.Save(aMeter("theirs")))
		require.NoError(t, other.Close())
		return b.Save(aMeter("ours"))
	})
	require.ErrorIs(t, err, ErrMeanwhile)
	b, err := Open(path, options)
	require.NoError(t, err)
	defer b.Close()
	_, err = b.Meter("theirs")
	assert.NoError(t, err)
	_, err = b.Meter("ours")
	assert.Error(t, err)
	assert.Equal(t, []string{"logbook.db"}, without(names(t, filepath.Dir(path)), "logbook.db-shm", "logbook.db-wal"))
}

func names(t *testing.T, folder string) []string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

func without(names []string, left ...string) []string {
	var out []string
	for _, name := range names {
		if name != left[0] && name != left[1] {
			out = append(out, name)
		}
	}
	return out
}
