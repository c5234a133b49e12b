package logbook

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"strings"
	"time"
)

// Health is what a check of the record found.
type Health struct {
	Records int // rows of all kinds, superseded ones included
	// Problems are what must not be; none of them in a sound record.
	Problems []string
	// Warnings are what a person should look at.
	Warnings []string
}

// OK tells that there is no problem.
func (h *Health) OK() bool { return len(h.Problems) == 0 }

func (h *Health) problem(format string, args ...any) {
	const most = 100
	if len(h.Problems) < most {
		h.Problems = append(h.Problems, fmt.Sprintf(format, args...))
	} else if len(h.Problems) == most {
		h.Problems = append(h.Problems, "and more")
	}
}

func (h *Health) warn(format string, args ...any) {
	h.Warnings = append(h.Warnings, fmt.Sprintf(format, args...))
}

// Check reads the whole record and looks for what must not be: a damaged file
// (SQLite's integrity_check), rows that name what is not there, rows that are
// not what was saved (by their hash), readings that belong to nothing, values
// that cannot be, versions that do not follow each other. A file too damaged to
// be read is a problem found, not an error.
func (b *Book) Check() (*Health, error) {
	h := &Health{}
	err := b.read(func(tx *sql.Tx) error {
		steps := []struct {
			what string
			run  func(*sql.Tx, *Health) error
		}{
			{"integrity", checkIntegrity},
			{"foreign keys", checkForeignKeys},
			{"readings", checkOrphans},
			{"rows", b.checkRows},
		}
		for _, step := range steps {
			if err := step.run(tx, h); err != nil {
				h.problem("%s: %v", step.what, b.plain("check", err))
			}
		}
		return nil
	})
	if err != nil {
		h.problem("%v", err)
	}
	return h, nil
}

func checkIntegrity(tx *sql.Tx, h *Health) error {
	return eachText(tx, "PRAGMA integrity_check", func(text string) {
		if text != "ok" {
			h.problem("integrity: %s", strings.ReplaceAll(text, "\n", "; "))
		}
	})
}

func checkForeignKeys(tx *sql.Tx, h *Health) error {
	return eachText(tx, `SELECT "table" || ' names a ' || parent || ' that is not on record' FROM pragma_foreign_key_check`,
		func(text string) { h.problem("foreign keys: %s", text) })
}

func checkOrphans(tx *sql.Tx, h *Health) error {
	for _, k := range kinds {
		list := k.make().readings()
		if list.table == "" {
			continue
		}
		err := eachText(tx, fmt.Sprintf("SELECT DISTINCT '%s: readings of row ' || %s || ', which is not there' FROM %s WHERE %s NOT IN (SELECT seq FROM %s)",
			list.table, k.kind, list.table, k.kind, k.kind), func(text string) { h.problem("%s", text) })
		if err != nil {
			return err
		}
	}
	return nil
}

// eachText reads texts, one a row.
func eachText(tx *sql.Tx, query string, visit func(string)) error {
	rows, err := tx.QueryContext(context.Background(), query)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			return err
		}
		visit(text)
	}
	return rows.Err()
}

// checkRows reads every row as an export would.
func (b *Book) checkRows(tx *sql.Tx, h *Health) error {
	future := b.now().Add(24 * time.Hour)
	names := map[reference]bool{} // rows, by kind and identity
	var needs []need
	for _, k := range kinds {
		err := walkKind(tx, k.make, func(s stored) error {
			h.Records++
			head := s.head()
			names[reference{kind: head.Kind, id: strings.ToLower(head.ID)}] = true
			if s.fault != nil {
				h.problem("%v", s.fault)
				return nil
			}
			if err := check(s.Record); err != nil {
				h.problem("%v", err)
			}
			text, err := line(s.Record)
			if err != nil {
				h.problem("%s %s: %v", head.Kind, head.ID, err)
			} else if !bytes.Equal(s.digest, digest(text)) {
				h.problem("%s %s is not what was saved: its hash is another", head.Kind, head.ID)
			}
			if head.RecordedAt.After(future) {
				h.warn("%s %s was saved in the future, %s: was the clock of that machine right?", head.Kind, head.ID, head.RecordedAt.Format(time.DateOnly))
			}
			for _, ref := range allReferences(s.Record) {
				needs = append(needs, need{from: *head, reference: ref})
			}
			return nil
		})
		if err != nil {
			h.problem("%s: %v", k.kind, b.plain("check", err))
		}
	}
	for _, n := range needs {
		if !names[reference{kind: n.kind, id: strings.ToLower(n.id)}] {
			h.problem("%v", &missingError{n})
		}
	}
	return nil
}
