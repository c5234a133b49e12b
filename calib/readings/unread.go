package readings

import (
	"fmt"
	"slices"
	"strings"
)

// Unread says which rows of a table were prepared and not filled in: Column is
// empty, Needs is not, and no declared column is filled but those Beside.
type Unread struct {
	Column string
	Needs  string
	Beside []string
}

// mostRows is how many rows a note names.
const mostRows = 8

// leaveOutUnread drops the rows that were not filled in, with a note that counts
// them. A table in which nothing was is an error.
func (t *Table) leaveOutUnread() error {
	u := t.spec.Unread
	if u == nil || t.columns[u.Column] == nil || t.columns[u.Needs] == nil {
		return nil
	}
	var kept []int
	var rows []string
	for i := range t.lines {
		if t.isUnread(i) {
			rows = append(rows, fmt.Sprint(t.lines[i]))
		} else {
			kept = append(kept, i)
		}
	}
	switch {
	case len(rows) == 0:
		return nil
	case len(kept) == 0:
		return &Error{File: t.Name, Column: u.Column, Found: "nothing in any row", Want: "a number in the rows that were read; the others may stay as they are", Err: ErrBlank}
	}
	t.lines = picked(t.lines, kept)
	for _, c := range t.columns {
		c.raw = picked(c.raw, kept)
	}
	n, rest := len(rows), ""
	if n > mostRows {
		rows, rest = rows[:mostRows], ", …"
	}
	text, is := "rows", "are"
	if n == 1 {
		text, is = "row", "is"
	}
	t.Notes = append(t.Notes, fmt.Sprintf("%s: %d %s without a %s %s left out (%s %s%s)", t.Name, n, text, u.Column, is, text, strings.Join(rows, ", "), rest))
	return nil
}

func (t *Table) isUnread(row int) bool {
	u := t.spec.Unread
	if t.columns[u.Column].raw[row] != "" || t.columns[u.Needs].raw[row] == "" {
		return false
	}
	for name, c := range t.columns {
		if c.raw[row] != "" && !slices.Contains(u.Beside, name) {
			return false
		}
	}
	return true
}

func picked[T any](list []T, at []int) []T {
	out := make([]T, 0, len(at))
	for _, i := range at {
		out = append(out, list[i])
	}
	return out
}
