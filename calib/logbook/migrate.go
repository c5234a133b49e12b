package logbook

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"strings"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// The schema grows by steps that are run once each, in order. The database's
// user_version is the number of steps that were run. A step that was released
// is never changed; a new one is appended.

//go:embed schema/*.sql
var schema embed.FS

// steps are the files of the steps, in order.
var steps = []string{"schema/001_record.sql"}

// readSteps reads them.
func readSteps() ([]string, error) {
	var out []string
	for _, name := range steps {
		text, err := schema.ReadFile(name)
		if err != nil {
			return nil, err
		}
		out = append(out, string(text))
	}
	return out, nil
}

// migrate brings a database to the newest schema, in one transaction: all steps
// that are missing, or none; those of a new file begin with the first. writable
// is false for a connection that only reads; it then is an error if a step is
// missing.
func migrate(conn *sql.Conn, path string, steps []string, writable bool) error {
	version, err := schemaOf(conn, path, len(steps))
	if err != nil {
		return err
	}
	switch {
	case version == len(steps):
		return nil
	case !writable && version == 0:
		return fmt.Errorf("%s: %w", path, ErrNoRecord)
	case !writable:
		return &failure{fmt.Sprintf("%s has the older schema %d and cannot be written here; open it once where it can be", path, version), ErrReadOnly, nil}
	}
	ctx := context.Background()
	if _, err := conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		return err
	}
	if err := runSteps(conn, path, steps); err != nil {
		_, _ = conn.ExecContext(ctx, "ROLLBACK")
		return err
	}
	if _, err := conn.ExecContext(ctx, "COMMIT"); err != nil {
		_, _ = conn.ExecContext(ctx, "ROLLBACK")
		return err
	}
	return nil
}

// runSteps runs what is missing, looked up again now that nobody else writes.
func runSteps(conn *sql.Conn, path string, steps []string) error {
	ctx := context.Background()
	version, err := schemaOf(conn, path, len(steps))
	if err != nil {
		return err
	}
	for ; version < len(steps); version++ {
		if _, err := conn.ExecContext(ctx, steps[version]); err != nil {
			return fmt.Errorf("%s: schema step %d: %w", path, version+1, err)
		}
	}
	_, err = conn.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", ApplicationID, version))
	return err
}

// schemaOf reads the number of the schema and refuses a database that carries
// our application id and is no record: a new record has no table yet, and any
// other one those of the first step. It is one statement, and so sees one state
// of a file that another process is just making.
func schemaOf(conn *sql.Conn, path string, known int) (version int, err error) {
	var all, ours int
	names := make([]any, len(kinds))
	for i, k := range kinds {
		names[i] = string(k.kind)
	}
	err = conn.QueryRowContext(context.Background(), "SELECT (SELECT user_version FROM pragma_user_version), count(*), count(CASE WHEN name IN (?"+
		strings.Repeat(", ?", len(kinds)-1)+") THEN 1 END) FROM sqlite_schema WHERE type = 'table'", names...).Scan(&version, &all, &ours)
	switch {
	case err != nil:
		return 0, err
	case version > known:
		return 0, newer(path, version, known)
	case version < 0, version == 0 && all > 0, version > 0 && ours < len(kinds):
		return 0, &NotARecordError{path, fmt.Sprintf("a database with other tables than a record of schema %d", version)}
	}
	return version, nil
}

func newer(path string, version, known int) error {
	return &failure{
		text:  fmt.Sprintf("%s was written by a newer brinemark (schema %d, this one knows %d); use the newer program, nothing was changed", path, version, known),
		cause: ErrNewer,
	}
}

// useWAL switches a record that is not in use to write-ahead logging, after its
// schema is there: until then the header of the file itself, which is looked at
// before anything else, is up to date. A disk without shared memory keeps the
// rollback journal, which is as safe and lets fewer work at once.
//
// SQLite does not wait for others in this switch, whatever its busy timeout, so
// it is tried again until wait is over.
func useWAL(conn *sql.Conn, wait time.Duration) error {
	var mode string
	err := conn.QueryRowContext(context.Background(), "PRAGMA journal_mode").Scan(&mode)
	if err != nil || mode == "wal" {
		return err
	}
	over := time.After(wait)
	for {
		err = conn.QueryRowContext(context.Background(), "PRAGMA journal_mode = WAL").Scan(&mode)
		var fault *sqlite.Error
		if !errors.As(err, &fault) || fault.Code()&0xff != sqlite3.SQLITE_BUSY {
			return err
		}
		select {
		case <-over:
			return err
		case <-time.After(5 * time.Millisecond):
		}
	}
}
