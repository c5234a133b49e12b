package logbook

import (
	"database/sql"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// database makes an SQLite database with statements of its own.
func database(t *testing.T, statements string) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "logbook.db")
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	_, err = db.Exec(statements)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	return path
}

// A database that carries the application id, by chance or after an accident,
// and does not hold what a record of its schema holds, is no record.
func TestTheApplicationIDAloneMakesNoRecord(t *testing.T) {
	id := fmt.Sprintf("PRAGMA application_id = %d;", ApplicationID)
	for _, c := range []struct{ name, statements, text string }{
		{"tables of its own", "CREATE TABLE t (x);", "other tables than a record of schema 0"},
		{"a schema below zero", "PRAGMA user_version = -3;", "other tables than a record of schema -3"},
		{"a schema without its tables", "PRAGMA user_version = 1; CREATE TABLE meter (id TEXT);", "other tables than a record of schema 1"},
	} {
		path := database(t, id+c.statements)
		before, err := os.ReadFile(path)
		require.NoError(t, err)
		for _, open := range []func(string, Options) (*Book, error){Open, Create} {
			for _, o := range []Options{options, {Now: clock, ReadOnly: true}} {
				_, err := open(path, o)
				var not *NotARecordError
				require.ErrorAs(t, err, &not, c.name)
				assert.ErrorContains(t, err, c.text)
			}
		}
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, string(before), string(after), c.name)
		left, err := os.ReadDir(filepath.Dir(path))
		require.NoError(t, err)
		assert.Equal(t, 1, len(left), "nothing beside it")
	}
}

// Tables of the right name and other columns: a damaged record, in words.
func TestARecordWithOtherColumns(t *testing.T) {
	statements := fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = 1;", ApplicationID)
	for _, k := range kinds {
		statements += fmt.Sprintf("CREATE TABLE %s (x);", k.kind)
	}
	b, err := Open(database(t, statements), Options{Now: clock, ReadOnly: true})
	require.NoError(t, err)
	defer b.Close()
	_, err = b.Meters(All)
	require.ErrorIs(t, err, ErrDamaged)
	assert.ErrorContains(t, err, "it is not as this program makes it (SQL logic error: no such column")
	health, err := b.Check()
	require.NoError(t, err)
	assert.False(t, health.OK())
}

// An empty file that others may read is closed to them when it becomes a
// record; one with content keeps what its owner gave it.
func TestAnEmptyFileIsClosedToOthers(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("permissions of another kind")
	}
	path := filepath.Join(t.TempDir(), "logbook.db")
	require.NoError(t, os.WriteFile(path, nil, 0o644))
	require.NoError(t, os.Chmod(path, 0o644))
	mode := func() fs.FileMode {
		info, err := os.Stat(path)
		require.NoError(t, err)
		return info.Mode().Perm()
	}
	b, err := Create(path, options)
	require.NoError(t, err)
	require.NoError(t, b.Save(aMeter("P1")))
	require.NoError(t, b.Close())
	assert.Equal(t, fs.FileMode(0o600), mode())
	require.NoError(t, os.Chmod(path, 0o640))
	b, err = Create(path, options)
	require.NoError(t, err)
	require.NoError(t, b.Close())
	assert.Equal(t, fs.FileMode(0o640), mode())
}

// A link to what is not there is told from a record that is not there.
func TestALinkToNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	if err := os.Symlink("nowhere", path); err != nil {
		t.Skip("no links here: ", err)
	}
	_, err := Create(path, options)
	require.ErrorIs(t, err, fs.ErrExist)
	assert.ErrorContains(t, err, "is a link to what is not there")
	assert.NoFileExists(t, filepath.Join(filepath.Dir(path), "nowhere"))
}

// Names that cannot be are shown shortened and on one line, also in rows of an
// import.
func TestHostileNamesInMessages(t *testing.T) {
	long := strings.Repeat("x", 10000)
	b := newBook(t)
	for _, name := range []string{long, "a\nb", "\x1b[2J", "a\u202eb", "../x", "", " ", "-x", "a,b", "\xff", "x/2"} {
		err := b.Save(aMeter(name))
		require.ErrorIs(t, err, ErrImpossible, "%.20q", name)
		assert.Less(t, len(err.Error()), 1000)
		assert.NotContains(t, err.Error(), "\x1b")
		_, err = b.Meter(name)
		require.ErrorIs(t, err, ErrNotFound, "%.20q", name)
		assert.Less(t, len(err.Error()), 200)
		require.Error(t, CheckName(name))
		assert.Less(t, len(CheckName(name).Error()), 200)
	}
	sound(t, b)
}
