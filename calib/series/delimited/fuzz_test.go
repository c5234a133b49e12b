package delimited_test

import (
	"bytes"
	"encoding/csv"
	"io"
	"testing"

	"github.com/brinemark/brinemark/calib/series/blocks"
	"github.com/brinemark/brinemark/calib/series/delimited"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// FuzzRows holds the reader against encoding/csv: the same fields for every
// text that both accept, however the text is cut into blocks, and nothing
// refused that encoding/csv takes.
func FuzzRows(f *testing.F) {
	for _, seed := range []string{
		"a,b\n1,2\n", "a,b\r\n1,2\r\n", "\"a\"\"x\",\"b\r\nc\"\n\n1,2", "a;b\n1;2", "a\tb\n", "\"", "a\"b", "\"a\"b", "\r", "a\r", "\"a\"\r",
		",\n,,\n", "\"\"\n\"\",\"\"", "a\r\r\nb", "\"a\nb\nc\",d\n\"e\n", "\r\n\r\n", "a,b\n1,\"2\n",
	} {
		f.Add([]byte(seed), byte(0), byte(3))
	}
	f.Fuzz(func(t *testing.T, text []byte, which, size byte) {
		separator := []byte{',', ';', '\t'}[int(which)%3]
		theirs := csv.NewReader(bytes.NewReader(text))
		theirs.Comma, theirs.FieldsPerRecord = rune(separator), -1
		want, wantErr := theirs.ReadAll()
		got, err := readAll(text, separator, int(size)+1)
		if wantErr == nil {
			require.NoError(t, err, "encoding/csv takes it")
		}
		if err == nil && wantErr == nil {
			assert.Equal(t, want, got)
		}
	})
}

// readAll reads a text through small blocks.
func readAll(text []byte, separator byte, size int) (rows [][]string, err error) {
	form, cutter := delimited.Form{Separator: separator}, blocks.NewCutter(bytes.NewReader(text), blocks.Limits{Size: size, Most: 1 << 20}, delimited.LastRowEnd)
	var block []byte
	var fields []delimited.Field
	whole := []byte(nil)
	for {
		block, err = cutter.Next(block)
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, err
		}
		whole = append(whole, block...)
		for at := 0; at < len(block); {
			var next int
			if fields, _, next, err = form.Row(block, at, fields); err != nil {
				return nil, err
			}
			if len(fields) > 0 {
				var row []string
				for _, field := range fields {
					row = append(row, string(field.Value(block, nil)))
				}
				rows = append(rows, row)
			}
			at = next
		}
	}
	if !bytes.Equal(whole, text) {
		panic("the blocks are not the text")
	}
	return rows, nil
}
