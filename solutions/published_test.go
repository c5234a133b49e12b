package solutions

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// publishedRow is one line of a table under testdata/published, by column.
type publishedRow struct {
	t      *testing.T
	file   string
	fields map[string]string
}

func (r publishedRow) text(column string) string {
	r.t.Helper()
	s, ok := r.fields[column]
	require.True(r.t, ok, "%s has no column %s", r.file, column)
	return s
}

func (r publishedRow) float(column string) float64 {
	r.t.Helper()
	x, err := strconv.ParseFloat(r.text(column), 64)
	require.NoError(r.t, err, "%s, column %s", r.file, column)
	return x
}

// digits is the number of decimals printed in the column.
func (r publishedRow) digits(column string) int {
	r.t.Helper()
	_, frac, _ := strings.Cut(r.text(column), ".")
	return len(frac)
}

// publishedRows reads a table of published values; lines that start with # say
// where it comes from.
func publishedRows(t *testing.T, name string) []publishedRow {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "published", name))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	require.NoError(t, err)
	require.NotEmpty(t, records, name)
	var rows []publishedRow
	for _, record := range records[1:] {
		fields := make(map[string]string)
		for i, column := range records[0] {
			fields[column] = record[i]
		}
		rows = append(rows, publishedRow{t, name, fields})
	}
	return rows
}
