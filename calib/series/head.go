package series

import (
	"bytes"
	"slices"
	"unicode/utf8"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/series/delimited"
)

// head is what the beginning of a delimited log tells of the rest.
type head struct {
	form delimited.Form
	at   places
	mark byte // the decimal mark; 0 where no number has shown one
	// text is everything up to the first row, with the names of the added
	// columns in the header.
	text []byte
	// size is how much of the block the head took, lines the line ends in it.
	size, lines int
}

// errEmpty is a log without anything in it.
var errEmpty = &readings.Error{Found: "an empty log", Want: "a header row and rows of readings", Err: readings.ErrEmpty}

// readHead reads the header of a log from its first block.
func readHead(text []byte, plan Plan) (head, error) {
	if err := checkText(text); err != nil {
		return head{}, err
	}
	h := head{form: delimited.Detect(text, plan.wants)}
	at := delimited.SkipByteOrderMark(text)
	for {
		if at == len(text) {
			return h, errEmpty
		}
		row := 1 + bytes.Count(text[:at], lineFeed)
		fields, end, next, err := h.form.Row(text, at, nil)
		if err != nil {
			return h, &readings.Error{Row: row, Found: err.Error(), Want: wantQuoting, Err: readings.ErrQuoting}
		}
		if len(fields) > 0 {
			if !utf8.Valid(text[:next]) {
				return h, &readings.Error{Row: row, Found: "bytes that are not UTF-8", Want: "a log as UTF-8 text", Err: readings.ErrEncoding}
			}
			names := make([]string, len(fields))
			for i, f := range fields {
				names[i] = string(f.Value(text, nil))
			}
			if h.at, err = plan.place(names, row); err != nil {
				return h, err
			}
			h.take(text, end, next, plan)
			break
		}
		at = next
	}
	h.mark = '.'
	if h.form.Separator != ',' {
		h.mark = decimalMark(text[h.size:], h.form, h.at)
	}
	return h, nil
}

const wantQuoting = "fields quoted as RFC 4180 says"

// take splits the header row off, which ends at end, and adds the new names.
func (h *head) take(text []byte, end, next int, plan Plan) {
	h.text = append(h.text, text[:end]...)
	for _, name := range plan.added() {
		h.text = append(h.text, h.form.Separator)
		h.text = h.form.AppendField(h.text, name)
	}
	h.text = append(h.text, text[end:next]...)
	h.size, h.lines = next, bytes.Count(text[:next], lineFeed)
}

// decimalMark returns the decimal mark of the first number that has one, or 0.
// Rows that cannot be read are left for later.
func decimalMark(text []byte, form delimited.Form, at places) byte {
	var fields []delimited.Field
	for i := 0; i < len(text); {
		var err error
		if fields, _, i, err = form.Row(text, i, fields); err != nil || len(fields) != at.width && len(fields) > 0 {
			return 0
		}
		for k, f := range fields {
			if k != at.temp && !slices.Contains(at.probes, k) {
				continue
			}
			cell := f.Value(text, nil)
			for _, mark := range []byte{'.', ','} {
				if _, flag := number(cell, mark); flag == Believed && bytes.IndexByte(cell, mark) >= 0 {
					return mark
				}
			}
		}
	}
	return 0
}

var lineFeed = []byte{'\n'}

// checkText refuses what is no text.
func checkText(text []byte) error {
	if k := bytes.IndexByte(text, 0); k >= 0 {
		return &readings.Error{Row: 1 + bytes.Count(text[:k], lineFeed), Found: "a byte of value zero", Want: "a log as UTF-8 text, not a binary file", Err: readings.ErrEncoding}
	}
	return nil
}
