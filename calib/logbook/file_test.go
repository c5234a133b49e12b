package logbook

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestARecordIsForItsOwnerAlone(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("permissions of another kind")
	}
	path := filepath.Join(t.TempDir(), "a folder", "of mine?#%", "logbook.db")
	b, err := Create(path, options)
	require.NoError(t, err)
	defer b.Close()
	fill(t, b)
	for _, suffix := range []string{"", "-wal", "-shm"} {
		info, err := os.Stat(path + suffix)
		require.NoError(t, err, "the record is open")
		assert.Equal(t, fs.FileMode(0o600), info.Mode().Perm(), "%s", suffix)
	}
	info, err := os.Stat(filepath.Dir(path))
	require.NoError(t, err)
	assert.Equal(t, fs.FileMode(0o700), info.Mode().Perm())
	copied := filepath.Join(t.TempDir(), "backup.db")
	require.NoError(t, b.Backup(copied))
	info, err = os.Stat(copied)
	require.NoError(t, err)
	assert.Equal(t, fs.FileMode(0o600), info.Mode().Perm())
}

func TestTheFileIsWhatItPromises(t *testing.T) {
	b := newBook(t)
	for name, want := range map[string]any{
		"application_id": int64(ApplicationID), "user_version": int64(len(steps)), "journal_mode": "wal",
		"foreign_keys": int64(1), "synchronous": int64(2), "busy_timeout": DefaultWait.Milliseconds(),
	} {
		var got any
		require.NoError(t, b.db.QueryRow("PRAGMA "+name).Scan(&got))
		assert.Equal(t, want, got, name)
	}
	rows, err := b.db.Query("SELECT name, strict FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%'")
	require.NoError(t, err)
	defer rows.Close()
	n := 0
	for ; rows.Next(); n++ {
		var name string
		var strict bool
		require.NoError(t, rows.Scan(&name, &strict))
		assert.True(t, strict, name)
	}
	assert.Equal(t, 7, n)
}

func TestARecordThatIsNotThere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	_, err := Open(path, options)
	require.ErrorIs(t, err, ErrNoRecord)
	assert.ErrorContains(t, err, path+": there is no record yet")
	assert.NoFileExists(t, path, "opening makes none")
	_, err = Open(path, Options{})
	assert.ErrorContains(t, err, "clock")
}

// What is no record is refused and left as it is, to the byte.
func TestFilesThatAreNoRecord(t *testing.T) {
	folder := t.TempDir()
	foreign := filepath.Join(folder, "foreign.db")
	db, err := sql.Open("sqlite", foreign)
	require.NoError(t, err)
	_, err = db.Exec("PRAGMA journal_mode = WAL; CREATE TABLE meter (id TEXT); INSERT INTO meter VALUES ('P1')")
	require.NoError(t, err)
	require.NoError(t, db.Close())
	text, err := os.ReadFile(foreign)
	require.NoError(t, err)
	for name, content := range map[string]string{
		"notes.txt": "ref,reading\n300,310\n", "foreign.db": string(text), "short.db": "SQLite format 3\x00", "one byte": "x",
		"image.png": "\x89PNG\r\n\x1a\n" + strings.Repeat("\x00", 200),
	} {
		path := filepath.Join(folder, name)
		require.NoError(t, os.WriteFile(path, []byte(content), 0o644))
		before := sha256.Sum256([]byte(content))
		for _, open := range []func(string, Options) (*Book, error){Open, Create} {
			_, err := open(path, options)
			var not *NotARecordError
			require.ErrorAs(t, err, &not, name)
			assert.ErrorContains(t, err, "no record of brinemark; it was left as it is", name)
		}
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, before, sha256.Sum256(after), name)
		for _, suffix := range []string{"-wal", "-shm", "-journal"} {
			assert.NoFileExists(t, path+suffix)
		}
	}
	_, err = Open(folder, options)
	var not *NotARecordError
	require.ErrorAs(t, err, &not)
	assert.ErrorContains(t, err, "not a plain file")
}

// A process that was stopped between making the file and its first row leaves
// an empty file: a record nobody has written to.
func TestAnEmptyFileIsANewRecord(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	b, err := Open(path, options)
	require.NoError(t, err)
	fill(t, b)
	sound(t, b)
	require.NoError(t, b.Close())

	require.NoError(t, os.WriteFile(path+".empty", nil, 0o600))
	_, err = Open(path+".empty", Options{Now: clock, ReadOnly: true})
	require.ErrorIs(t, err, ErrNoRecord)
}

func TestANewerRecordIsRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	known, err := readSteps()
	require.NoError(t, err)
	newer := append(known, "ALTER TABLE event ADD COLUMN weather TEXT")
	b, err := open(createdFile(t, path), options, newer)
	require.NoError(t, err)
	require.NoError(t, b.Save(aMeter("P1")))
	require.NoError(t, b.Close())
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, readOnly := range []bool{false, true} {
		_, err = Open(path, Options{Now: clock, ReadOnly: readOnly})
		require.ErrorIs(t, err, ErrNewer)
		assert.ErrorContains(t, err, "was written by a newer brinemark (schema 2, this one knows 1); use the newer program, nothing was changed")
	}
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, before, after)
}

func createdFile(t *testing.T, path string) string {
	t.Helper()
	require.NoError(t, createFile(path))
	return path
}

// Older records are brought forward step by step, with all they hold; a step
// that fails leaves the record as it was.
func TestMigrationsRunForward(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	b, err := Create(path, options)
	require.NoError(t, err)
	fill(t, b)
	text := exported(t, b)
	require.NoError(t, b.Close())
	known, err := readSteps()
	require.NoError(t, err)

	broken := append(known, "CREATE TABLE extra (a TEXT) STRICT", "this is no SQL")
	_, err = open(path, options, broken)
	require.ErrorContains(t, err, "schema step 3")
	b, err = Open(path, options)
	require.NoError(t, err, "the failed migration left schema 1")
	assert.Equal(t, text, exported(t, b))
	require.NoError(t, b.Close())

	newer := append(known, "ALTER TABLE event ADD COLUMN weather TEXT", "CREATE TABLE extra (a TEXT) STRICT; CREATE INDEX extra_a ON extra(a)")
	_, err = open(path, Options{Now: clock, ReadOnly: true}, newer)
	require.ErrorIs(t, err, ErrReadOnly, "reading alone does not migrate")
	b, err = open(path, options, newer)
	require.NoError(t, err)
	defer b.Close()
	conn, err := b.db.Conn(context.Background())
	require.NoError(t, err)
	defer conn.Close()
	version, err := schemaOf(conn, path, len(newer))
	require.NoError(t, err)
	assert.Equal(t, len(newer), version)
	assert.Equal(t, text, exported(t, b))
	sound(t, b)
}

func TestBackupIsARecordAndNeverOverwrites(t *testing.T) {
	b := newBook(t)
	fill(t, b)
	path := filepath.Join(t.TempDir(), "backup.db")
	require.NoError(t, b.Backup(path))
	other, err := Open(path, options)
	require.NoError(t, err)
	assert.Equal(t, exported(t, b), exported(t, other))
	sound(t, other)
	require.NoError(t, other.Save(&Event{Meter: "P1", Time: noon, Event: "battery"}))
	require.NoError(t, other.Close())

	before, err := os.ReadFile(path)
	require.NoError(t, err)
	err = b.Backup(path)
	require.ErrorIs(t, err, fs.ErrExist)
	assert.ErrorContains(t, err, "is there already and was left as it is")
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, before, after)

	require.Error(t, b.Backup(filepath.Join(t.TempDir(), "no", "such", "folder", "backup.db")))
	rest, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, rest, 1, "nothing unfinished is left behind")
}

// A truncated or garbled file is found out, or harmless: whatever can still be
// read is what was saved.
func TestDamagedFiles(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "logbook.db")
	b, err := Create(path, options)
	require.NoError(t, err)
	fill(t, b)
	text := exported(t, b)
	require.NoError(t, b.Close())
	good, err := os.ReadFile(path)
	require.NoError(t, err)
	damaged := filepath.Join(folder, "damaged.db")
	r := rand.New(rand.NewPCG(6, 6))
	found := 0
	trials := 300
	if testing.Short() {
		trials = 60
	}
	for i := range trials {
		bytes := append([]byte(nil), good...)
		switch i % 3 {
		case 0:
			bytes = bytes[:1+r.IntN(len(bytes)-1)]
		case 1: // one byte
			bytes[r.IntN(len(bytes))] ^= byte(1 + r.IntN(255))
		case 2: // a sector of something else
			at := r.IntN(len(bytes)/512) * 512
			for j := range 512 {
				bytes[at+j] = byte(r.Uint32())
			}
		}
		require.NoError(t, os.WriteFile(damaged, bytes, 0o600))
		os.Remove(damaged + "-wal")
		os.Remove(damaged + "-shm")
		seen := discovers(t, damaged)
		require.True(t, seen || i%3 != 0, "damage %d: a file that was cut off is always found", i)
		if seen {
			found++
		} else {
			b, err := Open(damaged, options)
			require.NoError(t, err)
			require.Equal(t, text, exported(t, b), "damage %d was not found, so nothing may be lost", i)
			require.NoError(t, b.Close())
		}
	}
	assert.Greater(t, found, trials*2/5, "much of the file of a young record is unused space")
}

// discovers tells whether opening or checking a file finds that it is damaged.
func discovers(t *testing.T, path string) bool {
	b, err := Open(path, options)
	if err != nil {
		return true
	}
	defer b.Close()
	h, err := b.Check()
	require.NoError(t, err)
	return !h.OK()
}

// What a check finds is named.
func TestCheckNamesTheProblem(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	b, err := Create(path, options)
	require.NoError(t, err)
	defer b.Close()
	fill(t, b)
	// Somebody takes the database into their own hands.
	for _, statement := range []string{
		"DROP TRIGGER reading_keeps", "DROP TRIGGER reading_stays", "DROP TRIGGER meter_stays",
		"PRAGMA foreign_keys = OFF",
		"UPDATE reading SET ref = ref + 1 WHERE calibration = 1 AND n = 1",
		"DELETE FROM reading WHERE calibration = 2 AND n = 2",
		"INSERT INTO reading (calibration, n, ref, reading) VALUES (99, 1, 1, 1)",
		"DELETE FROM meter WHERE id = 'P2'",
	} {
		_, err := b.db.Exec(statement)
		require.NoError(t, err, statement)
	}
	h, err := b.Check()
	require.NoError(t, err)
	assert.False(t, h.OK())
	all := strings.Join(h.Problems, "\n")
	for _, part := range []string{
		"is not what was saved: its hash is another", "found reading 3 after 1", "reading: readings of row 99, which is not there",
		"supersedes: meter P2 is not on record", "foreign keys: ",
	} {
		assert.Contains(t, all, part)
	}
	assert.NotContains(t, all, "\n\n")

	later, err := Open(path, Options{Now: func() time.Time { return noon.AddDate(-1, 0, 0) }})
	require.NoError(t, err)
	defer later.Close()
	h, err = later.Check()
	require.NoError(t, err)
	assert.Contains(t, strings.Join(h.Warnings, "\n"), "was saved in the future, 2026-03-01")
}

func TestNoRoomOnTheDisk(t *testing.T) {
	b := newBook(t)
	fill(t, b)
	before := exported(t, b)
	b.db.SetMaxOpenConns(1)                          // the limit belongs to the connection
	_, err := b.db.Exec("PRAGMA max_page_count = 1") // SQLite takes the pages there are
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(2, 2))
	err = b.Save(aCalibration("P1", noon, r, 500))
	require.ErrorIs(t, err, ErrFull)
	assert.ErrorContains(t, err, "no room on the disk: nothing of it was kept; make room and do it again")
	assert.Equal(t, before, exported(t, b))
	_, err = b.db.Exec("PRAGMA max_page_count = 100000")
	require.NoError(t, err)
	require.NoError(t, b.Save(aCalibration("P1", noon, r, 500)))
	sound(t, b)
}
