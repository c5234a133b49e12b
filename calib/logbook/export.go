package logbook

import (
	"bufio"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"
	"slices"
)

// batch is how many rows are read at a time, so that memory stays bounded.
const batch = 500

// Export writes every row, superseded ones included, as JSON Lines: one object
// a line, meters first, then bottles, calibrations, comparisons and events,
// each by time of saving and identity. Numbers are written so that they read
// back to the very same value. What is on record, and nothing else, decides
// every byte: the export of an import is the same file.
//
// It sees one state of the record, whatever others write meanwhile.
func (b *Book) Export(w io.Writer) error {
	out := bufio.NewWriter(w)
	err := b.read(func(tx *sql.Tx) error {
		return walk(tx, func(s stored) error {
			if s.fault != nil {
				return damaged(s.fault)
			}
			text, err := line(s.Record)
			if err != nil {
				return fmt.Errorf("%s %s: %w", s.head().Kind, s.head().ID, err)
			}
			if _, err := out.Write(append(text, '\n')); err != nil {
				return &writeError{err}
			}
			return nil
		})
	})
	if err != nil {
		return err
	}
	return out.Flush()
}

// writeError marks an error of the writer an export goes to.
type writeError struct{ err error }

func (e *writeError) Error() string { return e.err.Error() }
func (e *writeError) Unwrap() error { return e.err }

// walk visits every row in the order of the export.
func walk(q querier, visit func(stored) error) error {
	for _, k := range kinds {
		if err := walkKind(q, k.make, visit); err != nil {
			return err
		}
	}
	return nil
}

func walkKind(q querier, fresh func() Record, visit func(stored) error) error {
	const order = " ORDER BY recorded_at, id"
	var all []int64
	rows, err := q.Query(fmt.Sprintf("SELECT seq FROM %s"+order, fresh().kind()))
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var seq int64
		if err := rows.Scan(&seq); err != nil {
			return err
		}
		all = append(all, seq)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for some := range slices.Chunk(all, batch) {
		wanted, err := json.Marshal(some)
		if err != nil {
			return err
		}
		list, err := selectRows(q, fresh, whole, "WHERE seq IN (SELECT value FROM json_each(?))"+order, string(wanted))
		if err != nil {
			return err
		}
		for _, s := range list {
			if err := visit(s); err != nil {
				return err
			}
		}
	}
	return nil
}
