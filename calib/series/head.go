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
	form  delimited.Form
	at    places
	comma bool // numbers have a decimal comma
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
	names, err := h.form.Header(text)
	if err != nil {
		return h, &readings.Error{Row: 1, Found: err.Error(), Want: "fields quoted as RFC 4180 says", Err: readings.ErrQuoting}
	}
	if len(names) == 0 {
		return h, errEmpty
	}
	if h.at, err = plan.place(names); err != nil {
		return h, err
	}
	h.read(text, plan)
	if h.form.Separator != ',' {
		h.comma, _ = decimalMark(text[h.size:], h.form, h.at)
	}
	return h, nil
}

// read splits the header row off and adds the new names to it.
func (h *head) read(text []byte, plan Plan) {
	at := delimited.SkipByteOrderMark(text)
	for {
		fields, end, next, _ := h.form.Row(text, at, nil)
		if len(fields) > 0 {
			h.text = append(h.text, text[:end]...)
			for _, name := range plan.added() {
				h.text = append(h.text, h.form.Separator)
				h.text = h.form.AppendField(h.text, name)
			}
			h.text = append(h.text, text[end:next]...)
			if end == next {
				h.text = append(h.text, '\n')
			}
			h.size, h.lines = next, bytes.Count(text[:next], lineFeed)
			return
		}
		at = next
	}
}

// decimalMark tells whether the first number with a decimal mark has a comma for
// it, and whether there is one at all.
func decimalMark(text []byte, form delimited.Form, at places) (comma, seen bool) {
	var fields []delimited.Field
	for i := 0; i < len(text); {
		var err error
		if fields, _, i, err = form.Row(text, i, fields); err != nil || len(fields) != at.width && len(fields) > 0 {
			return false, false
		}
		for k, f := range fields {
			if k != at.temp && !slices.Contains(at.probes, k) {
				continue
			}
			cell := f.Value(text, nil)
			comma = bytes.IndexByte(cell, ',') >= 0
			if comma || bytes.IndexByte(cell, '.') >= 0 {
				return comma, true
			}
		}
	}
	return false, false
}

var lineFeed = []byte{'\n'}

// checkText refuses what is no text.
func checkText(text []byte) error {
	if k := bytes.IndexByte(text, 0); k >= 0 {
		return &readings.Error{Row: 1 + bytes.Count(text[:k], lineFeed), Found: "a byte of value zero", Want: "a log as UTF-8 text, not a binary file", Err: readings.ErrEncoding}
	}
	if first, _, _ := bytes.Cut(text, lineFeed); !utf8.Valid(first) {
		return &readings.Error{Row: 1, Found: "bytes that are not UTF-8", Want: "a log as UTF-8 text", Err: readings.ErrEncoding}
	}
	return nil
}
