package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"
	"time"
)

// DefaultWait is how long a process waits for another that holds the record.
const DefaultWait = 5 * time.Second

// Options are how a record is opened.
type Options struct {
	// Now is the clock. It must be set.
	Now func() time.Time
	// Wait is how long to wait for another process; 0 stands for DefaultWait.
	Wait time.Duration
	// ReadOnly promises not to write, so that a record on a disk or in a
	// folder that cannot be written may be read.
	ReadOnly bool
}

// Book is an open record. It may be used by several goroutines at once.
type Book struct {
	db       *sql.DB
	path     string
	wait     time.Duration
	now      func() time.Time
	readOnly bool
	leave    func()
}

// Open opens a record that is there. Errors wrap [ErrNoRecord] where it is not,
// [ErrNewer] where a newer program wrote it, and are a [*NotARecordError] for
// another kind of file.
func Open(path string, o Options) (*Book, error) {
	steps, err := readSteps()
	if err != nil {
		return nil, err
	}
	return open(path, o, steps)
}

// Create opens a record and makes it, and its folder, where it is not there.
// Errors as for [Open].
func Create(path string, o Options) (*Book, error) {
	if err := createFile(path); err != nil {
		return nil, err
	}
	return Open(path, o)
}

func open(path string, o Options, steps []string) (*Book, error) {
	if o.Now == nil {
		return nil, errors.New("a record needs a clock: Options.Now")
	}
	if o.Wait == 0 {
		o.Wait = DefaultWait
	}
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	leave, err := enter(full)
	if err != nil {
		return nil, err
	}
	b := &Book{path: full, wait: o.Wait, now: o.Now, readOnly: o.ReadOnly, leave: leave}
	for _, way := range b.ways() {
		if err = b.connect(way, steps); err == nil {
			return b, nil
		}
		if !errors.Is(err, ErrReadOnly) && !(b.readOnly && errors.Is(err, ErrFull)) {
			break
		}
	}
	leave()
	return nil, err
}

// ways are the ways to open the file, in the order to try them. One that is
// only read is opened like any other at first, which leaves nothing behind on
// closing; in a folder that cannot be written, and on a full disk, the log beside
// the file cannot be made, and while there is none, or an empty one, the file
// alone is the whole record.
func (b *Book) ways() []url.Values {
	ways := []url.Values{{"mode": {"rw"}}}
	if b.readOnly {
		ways = append(ways, url.Values{"mode": {"ro"}})
		if isEmpty(b.path + "-wal") {
			ways = append(ways, url.Values{"mode": {"ro"}, "immutable": {"1"}})
		}
	}
	return ways
}

// connect opens the database one way and brings its schema up to date.
func (b *Book) connect(way url.Values, steps []string) error {
	pragmas := []string{
		fmt.Sprintf("busy_timeout(%d)", b.wait.Milliseconds()),
		"foreign_keys(1)", "synchronous(FULL)", "trusted_schema(0)", "cell_size_check(1)",
	}
	query := url.Values{"_pragma": pragmas}
	for name, value := range way {
		query[name] = value
	}
	path := filepath.ToSlash(b.path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // C:/… on Windows
	}
	name := url.URL{Scheme: "file", Path: path, RawQuery: query.Encode()}
	db, err := sql.Open("sqlite", name.String())
	if err != nil {
		return err
	}
	b.db = db
	if err := b.prepare(steps, way.Get("mode") == "rw" && !b.readOnly); err != nil {
		db.Close()
		return err
	}
	return nil
}

// prepare brings the schema up to date, and reads the file once, so that one
// that cannot be read is noticed here.
func (b *Book) prepare(steps []string, writable bool) error {
	conn, err := b.db.Conn(context.Background())
	if err != nil {
		return b.plain("open", err)
	}
	defer conn.Close()
	if err := migrate(conn, b.path, steps, writable); err != nil {
		return b.plain("open", err)
	}
	if !writable {
		return nil
	}
	return b.plain("open", useWAL(conn, b.wait))
}

// Path is the file's full name.
func (b *Book) Path() string { return b.path }

// Close ends the use of the record.
func (b *Book) Close() error {
	err := b.db.Close()
	b.leave()
	return err
}

// read runs f on one state of the record, whatever others write meanwhile.
func (b *Book) read(f func(tx *sql.Tx) error) error {
	tx, err := b.db.BeginTx(context.Background(), &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return b.plain("read", err)
	}
	defer tx.Rollback()
	return b.plain("read", f(tx))
}

// write runs f in one transaction, alone, and keeps all of it or, where f or
// the disk fails, nothing.
func (b *Book) write(what string, f func(conn *sql.Conn) error) error {
	if b.readOnly {
		return &failure{text: b.path + " was opened for reading only", cause: ErrReadOnly}
	}
	ctx := context.Background()
	conn, err := b.db.Conn(ctx)
	if err != nil {
		return b.plain(what, err)
	}
	defer conn.Close()
	if _, err := conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		return b.plain(what, err)
	}
	err = f(conn)
	if err == nil {
		_, err = conn.ExecContext(ctx, "COMMIT")
	}
	if err != nil {
		_, _ = conn.ExecContext(ctx, "ROLLBACK") // fails where SQLite did it already
	}
	return b.plain(what, err)
}
