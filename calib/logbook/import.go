package logbook

import (
	"bufio"
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"io"
)

// ErrConflict is wrapped by the error about a row that is on record under the
// same identity and says something else.
var ErrConflict = errors.New("another row has this identity")

// LineError points at the line of an import.
type LineError struct {
	Name string // of the file
	Line int    // from 1
	Err  error
}

// Error reads "records.jsonl, line 7: …".
func (e *LineError) Error() string { return fmt.Sprintf("%s, line %d: %v", e.Name, e.Line, e.Err) }

// Unwrap returns the cause.
func (e *LineError) Unwrap() error { return e.Err }

// Imported says what an import did.
type Imported struct {
	Added int // rows that were not on record
	Known int // rows that were, word for word
}

// byteOrderMark is what some editors put before UTF-8 text.
var byteOrderMark = []byte("\ufeff")

// maxLine is the longest line an import takes, in bytes.
const maxLine = 64 << 20

// Import reads what [Book.Export] wrote into the record, all or nothing. A row
// that is on record already changes nothing, nor does a line that is blank. name is what errors call the
// reader. An error about a line is a [*LineError]; it wraps [ErrConflict] for a
// row that is on record and says something else, and otherwise what [Book.Save]
// would say of the row.
func (b *Book) Import(r io.Reader, name string) (Imported, error) {
	var done Imported
	err := b.write("import", func(conn *sql.Conn) error {
		w := newWriter(conn)
		defer w.close()
		in := bufio.NewReaderSize(r, 1<<16)
		for w.line = 1; ; w.line++ {
			text, err := readLine(in)
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				return &LineError{name, w.line, err}
			}
			if w.line == 1 {
				text = bytes.TrimPrefix(text, byteOrderMark)
			}
			if len(bytes.TrimSpace(text)) == 0 {
				continue
			}
			added, err := w.take(text)
			if err != nil {
				return &LineError{name, w.line, err}
			}
			if added {
				done.Added++
			} else {
				done.Known++
			}
		}
		if done.Added+done.Known == 0 {
			return &LineError{name, 1, errors.New("found nothing; want the lines of an export")}
		}
		var missing *missingError
		err := w.checkReferences()
		if errors.As(err, &missing) {
			return &LineError{name, missing.need.line, err}
		}
		return err
	})
	if err != nil {
		return Imported{}, err
	}
	return done, nil
}

// take adds the row of one line, unless it is on record.
func (w *writer) take(text []byte) (added bool, err error) {
	r, err := parseRow(text)
	if err != nil {
		return false, err
	}
	canonical, err := line(r)
	if err != nil {
		return false, err
	}
	h := r.head()
	_, sum, found, err := w.taken(h.Kind, "id", h.ID)
	switch {
	case err != nil:
		return false, err
	case found && bytes.Equal(sum, digest(canonical)):
		return false, nil
	case found:
		return false, fmt.Errorf("%s %s is on record and says something else; nothing was imported: %w", h.Kind, h.ID, ErrConflict)
	}
	err = w.add(r)
	if errors.Is(err, ErrSuperseded) {
		err = fmt.Errorf("%w; nothing was imported: %w", err, ErrConflict)
	}
	return err == nil, err
}

// parseRow reads a line and checks what it says. A row of an export is
// complete: nothing is filled in.
func parseRow(text []byte) (Record, error) {
	r, err := parseLine(text)
	if err != nil {
		return nil, err
	}
	tidyHead(r)
	if err := check(r); err != nil {
		return nil, err
	}
	return r, complete(r, text)
}

// readLine reads a line without its end. io.EOF means that there is no more.
func readLine(in *bufio.Reader) ([]byte, error) {
	var text []byte
	for {
		part, err := in.ReadSlice('\n')
		text = append(text, part...)
		switch {
		case err == nil:
			return bytes.TrimRight(text, "\r\n"), nil
		case errors.Is(err, bufio.ErrBufferFull):
			if len(text) > maxLine {
				return nil, fmt.Errorf("found a line longer than %d MiB", maxLine>>20)
			}
		case errors.Is(err, io.EOF) && len(text) > 0:
			return nil, errors.New("found the end of the file in the middle of a line: it was cut off; nothing was imported")
		default:
			return nil, err
		}
	}
}
