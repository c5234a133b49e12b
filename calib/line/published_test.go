package line

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// table is a published table: columns by name, cells as text.
type table struct {
	t    *testing.T
	name string
	cols map[string][]string
}

// published reads a table of testdata/published.
func published(t *testing.T, name string) table {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "published", name+".csv"))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 1, name)
	cols := map[string][]string{}
	for _, row := range rows[1:] {
		for i, h := range rows[0] {
			cols[h] = append(cols[h], row[i])
		}
	}
	return table{t: t, name: name, cols: cols}
}

// column returns a column as numbers.
func (b table) column(name string) []float64 {
	b.t.Helper()
	cells, ok := b.cols[name]
	require.True(b.t, ok, "%s has no column %s", b.name, name)
	v := make([]float64, len(cells))
	for i, c := range cells {
		x, err := strconv.ParseFloat(c, 64)
		require.NoError(b.t, err)
		v[i] = x
	}
	return v
}

// exact returns the full-precision figure of a results table.
func (b table) exact(quantity string) float64 { return b.cell(quantity, "exact") }

func (b table) cell(quantity, column string) float64 {
	b.t.Helper()
	for i, q := range b.cols["quantity"] {
		if q == quantity {
			v, err := strconv.ParseFloat(b.cols[column][i], 64)
			require.NoError(b.t, err, "%s %s", quantity, column)
			return v
		}
	}
	b.t.Fatalf("%s has no quantity %s", b.name, quantity)
	return 0
}

// printed checks a value against the printed figure, to half a unit of its last printed digit.
func (b table) printed(quantity string, got float64) {
	b.t.Helper()
	for i, q := range b.cols["quantity"] {
		if q != quantity {
			continue
		}
		text := b.cols["printed"][i]
		require.NotEmpty(b.t, text, "%s is not printed", quantity)
		want, err := strconv.ParseFloat(text, 64)
		require.NoError(b.t, err)
		mantissa, exponent, _ := strings.Cut(strings.ToUpper(text), "E")
		_, decimals, _ := strings.Cut(mantissa, ".")
		shift := 0
		if exponent != "" {
			shift, err = strconv.Atoi(exponent)
			require.NoError(b.t, err)
		}
		half := 0.5 * math.Pow10(shift-len(decimals)) * (1 + 1e-6)
		require.InDelta(b.t, want, got, half, "%s, %s", b.name, quantity)
		return
	}
	b.t.Fatalf("%s has no quantity %s", b.name, quantity)
}

// digits is the number of significant digits to which got agrees with want.
func digits(got, want float64) float64 {
	if got == want {
		return 16
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

// agree requires so many significant digits.
func agree(t *testing.T, what string, want, got, least float64) {
	t.Helper()
	require.GreaterOrEqual(t, digits(got, want), least, "%s: got %.16g, certified %.16g", what, got, want)
}
