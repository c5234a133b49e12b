package series

import (
	"bytes"
	"math"

	"github.com/brinemark/brinemark/calib/series/delimited"
)

// A spreadsheet may leave rows of nothing but separators behind the last of a
// log. They are no rows, and come out with the separators of the columns that
// were added. One with a row behind it is a row whose time is missing; since
// blocks are corrected in any order, only the judge can tell.

// emptyFields tells a row that holds nothing but separators.
func emptyFields(text []byte, fields []delimited.Field) bool {
	for _, f := range fields {
		if len(bytes.TrimSpace(f.Value(text, nil))) > 0 {
			return false
		}
	}
	return true
}

// restEmpty tells whether all rows of a text hold nothing.
func (w *delimitedWorker) restEmpty(text []byte) bool {
	var fields []delimited.Field
	for at := 0; at < len(text); {
		var err error
		if fields, _, at, err = w.form.Row(text, at, fields); err != nil || !emptyFields(text, fields) {
			return false
		}
	}
	return true
}

// takeEmpty adds the rows from at to the end of a block, which hold nothing.
func (w *delimitedWorker) takeEmpty(b *block, at int) {
	wasBlank := false
	for at < len(b.text) {
		fields, end, next, _ := w.form.Row(b.text, at, b.fields) // as restEmpty saw
		b.fields, at = fields, next
		if blank := len(fields) == 0; blank && wasBlank {
			b.rows[len(b.rows)-1] = row{int32(end), int32(next)}
			continue
		} else {
			wasBlank = blank
		}
		b.rows = append(b.rows, row{int32(end), int32(next)})
		b.times = append(b.times, noTime)
		b.temps = append(b.temps, math.NaN())
		for i := range b.columns {
			b.columns[i] = append(b.columns[i], noOutcome(Believed))
		}
	}
}
