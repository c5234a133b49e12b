package logbook

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// Causes of errors, for programs; people read the text.
var (
	ErrNoRecord   = errors.New("there is no record yet")
	ErrNotFound   = errors.New("not on record")
	ErrExists     = errors.New("already on record")
	ErrSuperseded = errors.New("already superseded")
	ErrNewer      = errors.New("written by a newer brinemark")
	ErrReadOnly   = errors.New("the record cannot be written")
	ErrFull       = errors.New("no room on the disk")
	ErrDamaged    = errors.New("the record is damaged")
)

// NotARecordError is about a file that is something else. It was not touched.
type NotARecordError struct{ Path, Found string }

// Error says what it is.
func (e *NotARecordError) Error() string {
	return fmt.Sprintf("%s is %s, and no record of brinemark; it was left as it is", e.Path, e.Found)
}

// BusyError is about a record that another process kept from us.
type BusyError struct {
	Path   string
	Waited time.Duration
	// Holder says who holds it, such as "process 4242 (brinemark logbook
	// import)"; "another program" where that cannot be told.
	Holder string
}

// Error says who, and what to do.
func (e *BusyError) Error() string {
	return fmt.Sprintf("%s is held by %s; waited %v, nothing was saved; try again when it is done", e.Path, e.Holder, e.Waited)
}

// plain puts an error of SQLite into words. what is what was being done, such
// as "save".
func (b *Book) plain(what string, err error) error {
	var sql *sqlite.Error
	var done *failure
	var at *LineError
	switch {
	case !errors.As(err, &sql), errors.As(err, &done):
		return err
	case errors.As(err, &at):
		return &LineError{at.Name, at.Line, b.plain(what, at.Err)}
	}
	fault := func(cause error, advice string) error {
		return &failure{text: fmt.Sprintf("%s: %s: %s: %s", b.path, what, cause, advice), cause: cause, from: err}
	}
	switch code := sql.Code(); code & 0xff {
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return &BusyError{Path: b.path, Waited: b.wait, Holder: holder(b.path)}
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM:
		return fault(ErrReadOnly, "the file or its folder is read-only; nothing was changed")
	case sqlite3.SQLITE_CANTOPEN:
		return fault(ErrReadOnly, "the file or its folder may not be written; nothing was changed")
	case sqlite3.SQLITE_FULL:
		return fault(ErrFull, "nothing of it was kept; make room and do it again")
	case sqlite3.SQLITE_IOERR:
		if code == sqlite3.SQLITE_IOERR_WRITE || code == sqlite3.SQLITE_IOERR_FSYNC || code == sqlite3.SQLITE_IOERR_TRUNCATE ||
			code == sqlite3.SQLITE_IOERR_SHMSIZE {
			return fault(ErrFull, "or a limit on the size of files, or a fault of the disk ("+short(sql)+"); nothing of it was kept")
		}
		return fault(ErrDamaged, "the disk reports an error ("+short(sql)+"); copy the file elsewhere and run \"logbook check\" on the copy")
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return fault(ErrDamaged, "go back to a backup or an export, and keep this file as it is ("+short(sql)+")")
	case sqlite3.SQLITE_ERROR: // a table or a column is not there
		return fault(ErrDamaged, "it is not as this program makes it ("+err.Error()+"); go back to a backup or an export")
	case sqlite3.SQLITE_CONSTRAINT:
		return fmt.Errorf("%s: %s: %w", b.path, what, err)
	}
	return fmt.Errorf("%s: %s: %w", b.path, what, err)
}

// short is the message of SQLite without its number.
func short(err *sqlite.Error) string {
	text, _, _ := strings.Cut(err.Error(), " (")
	return strings.TrimPrefix(text, "constraint failed: ")
}

// failure is an error in words of its own around a cause.
type failure struct {
	text  string
	cause error
	from  error
}

func (e *failure) Error() string { return e.text }

// Unwrap returns the cause of this package and the error of SQLite.
func (e *failure) Unwrap() []error {
	if e.from == nil {
		return []error{e.cause}
	}
	return []error{e.cause, e.from}
}
