package logbook

import (
	"cmp"
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// querier is a transaction.
type querier interface {
	Query(query string, args ...any) (*sql.Rows, error)
}

// stored is a row as it was read, with what is not part of it.
type stored struct {
	Record
	seq    int64
	digest []byte
	fault  error // why it is not what was saved; nil for a sound row
}

// extent is how much of the readings is read.
type extent bool

const (
	whole   extent = false
	noParts extent = true // without the named sources of their references
)

// of are the columns of a reading within the extent.
func (e extent) of(columns []column) []column {
	if e == noParts {
		columns = slices.DeleteFunc(columns, func(c column) bool { return c.name == "ref_parts" })
	}
	return columns
}

// selectRows reads rows of one kind, with their readings. where is the rest of
// the statement after the table's name.
func selectRows(q querier, fresh func() Record, e extent, where string, args ...any) ([]stored, error) {
	sample := fresh()
	table := string(sample.kind())
	columns := append(sample.head().headColumns(), sample.columns()...)
	rows, err := q.Query(fmt.Sprintf("SELECT seq, digest, %s FROM %s %s", strings.Join(columnNames(columns), ", "), table, where), args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []stored
	for rows.Next() {
		s := stored{Record: fresh()}
		s.head().Kind = sample.kind()
		into := append(s.head().headColumns(), s.columns()...)
		if err := rows.Scan(append([]any{&s.seq, &s.digest}, arguments(into)...)...); err != nil {
			s.fault = fmt.Errorf("%s %s: %w", table, s.head().ID, err)
		}
		list = append(list, s)
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	return list, addReadings(q, list, e)
}

// addReadings reads the readings of rows of one kind.
func addReadings(q querier, list []stored, e extent) error {
	if len(list) == 0 || list[0].readings().table == "" {
		return nil
	}
	kind := list[0].kind()
	at := map[int64]*stored{}
	numbers := make([]int64, len(list))
	for i := range list {
		at[list[i].seq], numbers[i] = &list[i], list[i].seq
	}
	wanted, err := json.Marshal(numbers)
	if err != nil {
		return err
	}
	one := scratch(kind)
	table, columns := one.readings().table, e.of(one.readings().at(0))
	rows, err := q.Query(fmt.Sprintf("SELECT %s, n, %s FROM %s WHERE %s IN (SELECT value FROM json_each(?)) ORDER BY %s, n",
		kind, strings.Join(columnNames(columns), ", "), table, kind, kind), string(wanted))
	if err != nil {
		return err
	}
	defer rows.Close()
	var seq int64
	var n int
	into := append([]any{&seq, &n}, arguments(columns)...)
	for rows.Next() {
		err := rows.Scan(into...)
		r := at[seq]
		if r == nil {
			return fmt.Errorf("%s: found readings of row %d, which was not asked for", table, seq)
		}
		if have := r.readings().n; err == nil && n != have+1 {
			err = fmt.Errorf("found reading %d after %d", n, have)
		}
		if err != nil {
			r.fault = cmp.Or(r.fault, fmt.Errorf("%s %s: %w", kind, r.head().ID, err))
		}
		r.readings().take(one)
	}
	return rows.Err()
}
