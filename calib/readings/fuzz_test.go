package readings

import (
	"encoding/csv"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzRead compares with encoding/csv and strconv: what Read accepts below a
// known header they accept too, cell by cell, with the same words and numbers.
func FuzzRead(f *testing.F) {
	for _, seed := range []string{
		"1,2,x\n", "1,2,\"a,b\"\r\n\r\n3,4,\"q\"\"q\"", "1.5e3,-2,\n", ",,\n1,2,3", "1,2", "1,NaN,x", "\"1\",2,\"two\nlines\"\n", "1,2,\"x", "0x1,1,1",
		"1,5,2,5\n", "\x00", "1,2,\xff", "1,2,a\rb\n",
	} {
		f.Add(seed, false)
		f.Add(strings.ReplaceAll(seed, ",", ";"), true)
	}
	columns := Spec{Columns: []Column{{Name: "a", Type: Number, Required: true}, {Name: "b", Type: Number}, {Name: "c"}}}
	f.Fuzz(func(t *testing.T, body string, semicolon bool) {
		header, separator := "a,b,c\n", ','
		if semicolon {
			header, separator = "a;b;c\n", ';'
		}
		table, err := Read(strings.NewReader(header+body), "f", columns)
		if err != nil {
			require.Nil(t, table)
			var place *Error
			require.ErrorAs(t, err, &place)
			for _, r := range err.Error() {
				require.GreaterOrEqual(t, r, ' ', "control character in %q", err.Error())
			}
			return
		}
		require.Equal(t, separator, table.Separator)
		reference := csv.NewReader(strings.NewReader(body))
		reference.Comma, reference.FieldsPerRecord = separator, -1
		rows, err := reference.ReadAll()
		require.NoError(t, err)
		n := 0
		for _, fields := range rows {
			if strings.TrimSpace(strings.Join(fields, "")) == "" {
				continue
			}
			require.Len(t, fields, 3)
			for i, name := range []string{"a", "b"} {
				cell := strings.TrimSpace(fields[i])
				v, ok, err := table.Float(n, name)
				require.NoError(t, err)
				require.Equal(t, cell != "", ok)
				if ok {
					cell = strings.TrimPrefix(strings.ReplaceAll(cell, "\u2212", "-"), "+")
					if table.DecimalComma {
						cell = strings.Replace(cell, ",", ".", 1)
					}
					want, err := strconv.ParseFloat(cell, 64)
					require.NoError(t, err)
					require.Equal(t, want+0, v)
				}
			}
			text, _, err := table.Text(n, "c")
			require.NoError(t, err)
			require.Equal(t, strings.TrimSpace(fields[2]), text)
			n++
		}
		require.Equal(t, n, table.Len())
	})
}

func FuzzParseTime(f *testing.F) {
	for _, seed := range []string{"2026-03-01", "2026-03-01 08:30", "2026-03-01T08:30:00Z", "1772353800", "20260301", "-0.5", "x", "2026-10-25 02:30"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		moment, err := ParseTime(text, nil)
		if err != nil {
			require.True(t, moment.IsZero())
			return
		}
		again, err := ParseTime(moment.Format("2006-01-02T15:04:05.999999999Z07:00"), nil)
		if moment.Year() >= 0 && moment.Year() <= 9999 {
			require.NoError(t, err)
			require.True(t, moment.Equal(again))
		}
	})
}
