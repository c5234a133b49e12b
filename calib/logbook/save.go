package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
)

// Save adds rows in one transaction: all of them or, on an error, none. It
// fills in the kind, the identity and the time of saving where they are empty.
// When it returns nil the rows are on the disk.
//
// Errors wrap [ErrImpossible] for a value that cannot be, [ErrExists] and
// [ErrSuperseded] for an identity that is taken, [ErrNotFound] for a meter or a
// bottle that is named and not there, [ErrFull] and [ErrReadOnly]; a record
// that another process holds gives a [*BusyError].
func (b *Book) Save(rows ...Record) error {
	before := make([]Head, len(rows))
	for i, r := range rows {
		before[i] = *r.head()
	}
	err := b.write("save", func(conn *sql.Conn) error {
		w := newWriter(conn)
		defer w.close()
		for _, r := range rows {
			b.fill(r)
			if err := check(r); err != nil {
				return err
			}
			if err := w.add(r); err != nil {
				return err
			}
		}
		return w.checkReferences()
	})
	if err != nil {
		for i, r := range rows {
			*r.head() = before[i]
		}
	}
	return err
}

// fill completes the head of a row.
func (b *Book) fill(r Record) {
	h := r.head()
	h.Kind = r.kind()
	if h.RecordedAt.IsZero() {
		h.RecordedAt = b.now()
	}
	if h.ID == "" {
		name := ""
		switch r := r.(type) {
		case *Meter:
			name = r.Name
		case *Bottle:
			name = r.Name
		}
		if name == "" {
			h.ID = newID(h.RecordedAt)
		} else {
			h.ID = VersionID(name, h.Supersedes)
		}
	}
	tidyHead(r)
}

// writer adds rows within one transaction.
type writer struct {
	conn  *sql.Conn
	known map[string]*sql.Stmt // by their text
	needs []need
	line  int // of an import
}

// need is a reference of a row, to be checked at the end, since a row may stand
// before the one it names.
type need struct {
	from Head
	line int // of an import
	reference
}

func newWriter(conn *sql.Conn) *writer {
	return &writer{conn: conn, known: map[string]*sql.Stmt{}}
}

func (w *writer) close() {
	for _, s := range w.known {
		s.Close()
	}
}

// statement prepares a statement once.
func (w *writer) statement(text string) (*sql.Stmt, error) {
	if s := w.known[text]; s != nil {
		return s, nil
	}
	s, err := w.conn.PrepareContext(context.Background(), text)
	if err == nil {
		w.known[text] = s
	}
	return s, err
}

// insert adds one row to a table and returns its number.
func (w *writer) insert(table string, columns []column) (int64, error) {
	s, err := w.statement(fmt.Sprintf("INSERT INTO %s (%s) VALUES (?%s)", table,
		strings.Join(columnNames(columns), ", "), strings.Repeat(", ?", len(columns)-1)))
	if err != nil {
		return 0, err
	}
	result, err := s.Exec(arguments(columns)...)
	if err != nil {
		return 0, err
	}
	return result.LastInsertId()
}

// taken looks for a row that has the value in a column. It returns the row's
// identity and digest.
func (w *writer) taken(k Kind, column, value string) (id string, digest []byte, found bool, err error) {
	s, err := w.statement(fmt.Sprintf("SELECT id, digest FROM %s WHERE %s = ?", k, column))
	if err != nil {
		return "", nil, false, err
	}
	err = s.QueryRow(value).Scan(&id, &digest)
	if errors.Is(err, sql.ErrNoRows) {
		return "", nil, false, nil
	}
	return id, digest, err == nil, err
}

// add adds a row that has been checked, with its readings.
func (w *writer) add(r Record) error {
	h := r.head()
	if h.Supersedes != "" {
		if by, _, found, err := w.taken(h.Kind, "supersedes", h.Supersedes); err != nil {
			return err
		} else if found {
			return &failure{text: fmt.Sprintf("%s %s: superseded already, by %s", h.Kind, h.Supersedes, by), cause: ErrSuperseded}
		}
	}
	if id, _, found, err := w.taken(h.Kind, "id", h.ID); err != nil {
		return err
	} else if found {
		return &failure{text: fmt.Sprintf("%s %s: already on record", h.Kind, id), cause: ErrExists}
	}
	text, err := line(r)
	if err != nil {
		return err
	}
	sum := digest(text)
	columns := append(h.headColumns(), column{"digest", sum})
	seq, err := w.insert(string(h.Kind), append(columns, r.columns()...))
	if err != nil {
		return fmt.Errorf("%s %s: %w", h.Kind, h.ID, err)
	}
	list := r.readings()
	for i := range list.n {
		n := i + 1
		columns := append([]column{{string(h.Kind), seq}, {"n", n}}, list.at(i)...)
		if _, err := w.insert(list.table, columns); err != nil {
			return fmt.Errorf("%s %s, reading %d: %w", h.Kind, h.ID, n, err)
		}
	}
	for _, ref := range allReferences(r) {
		w.needs = append(w.needs, need{*h, w.line, ref})
	}
	return nil
}

// allReferences are a row's references, that to the row it supersedes included.
func allReferences(r Record) []reference {
	list := r.references()
	if h := r.head(); h.Supersedes != "" {
		list = append(list, reference{h.Kind, h.Supersedes, "supersedes"})
	}
	return list
}

// checkReferences looks for every row that was named.
func (w *writer) checkReferences() error {
	found := map[reference]bool{}
	for _, n := range w.needs {
		key := reference{kind: n.kind, id: n.id}
		if !found[key] {
			_, _, ok, err := w.taken(n.kind, "id", n.id)
			if err != nil {
				return err
			}
			if !ok {
				return &missingError{n}
			}
			found[key] = true
		}
	}
	return nil
}

// missingError is about a row that is named and not there.
type missingError struct{ need need }

func (e *missingError) Error() string {
	h := e.need.from
	return fmt.Sprintf("%s %s, %s: %s %s is not on record", h.Kind, h.ID, e.need.place, e.need.kind, e.need.id)
}

// Unwrap returns [ErrNotFound].
func (e *missingError) Unwrap() error { return ErrNotFound }
