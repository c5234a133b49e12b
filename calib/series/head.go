package series

import (
	"bytes"
	"io"
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

// errNoHeader is a log without anything in it.
var errNoHeader = &readings.Error{Found: "an empty log", Want: "a header row and rows of readings", Err: readings.ErrEmpty}

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
		return h, errNoHeader
	}
	if h.at, err = plan.place(names); err != nil {
		return h, err
	}
	h.read(text, plan)
	h.comma = h.form.Separator != ',' && decimalComma(text[h.size:], h.form, h.at)
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

// decimalComma tells whether the first numbers of a log are written with one.
func decimalComma(text []byte, form delimited.Form, at places) bool {
	var fields []delimited.Field
	for i := 0; i < len(text); {
		var err error
		if fields, _, i, err = form.Row(text, i, fields); err != nil || len(fields) != at.width && len(fields) > 0 {
			return false
		}
		for k, f := range fields {
			if k == at.temp || contains(at.probes, k) {
				switch cell := f.Value(text, nil); {
				case bytes.IndexByte(cell, '.') >= 0:
					return false
				case bytes.IndexByte(cell, ',') >= 0:
					return true
				}
			}
		}
	}
	return false
}

func contains(list []int, x int) bool {
	for _, v := range list {
		if v == x {
			return true
		}
	}
	return false
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

// firstBlock reads the first block of a log; a log without one is empty.
func firstBlock(c *delimited.Cutter, buf []byte) ([]byte, error) {
	text, err := c.Next(buf)
	if err == io.EOF {
		return nil, errNoHeader
	}
	return text, err
}
