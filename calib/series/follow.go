package series

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"math"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/series/delimited"
)

// Follow corrects a log while it is being written: each row is written to w, in
// one piece, as soon as its line end is read. Flags look back only. A row that
// cannot be read is passed on with empty values and the flag not-a-number, so
// that one comes out for each that goes in, and told to trouble. The end of r
// ends it.
func Follow(r io.Reader, w io.Writer, name string, plan Plan, trouble func(error)) (*Summary, error) {
	f := &follower{lines: bufio.NewReaderSize(r, 64<<10), block: newBlock(len(plan.Probes)), line: 1}
	summary, err := f.run(w, plan, func(err error) { trouble(inFile(err, name)) })
	return summary, inFile(err, name)
}

type follower struct {
	lines *bufio.Reader
	block *block
	line  int // of the row in the block
	text  []byte
	last  int64 // the time of the last row that had one
}

// next reads the next row with its line end, quoted line ends included.
func (f *follower) next() error {
	f.text = f.text[:0]
	for quotes := 0; ; {
		part, err := f.lines.ReadSlice('\n')
		f.text = append(f.text, part...)
		quotes += bytes.Count(part, []byte{'"'})
		switch {
		case len(f.text) > delimited.MostRow:
			return &readings.Error{Row: f.line, Found: "a row of more than a million bytes",
				Want: "a line end before that; was a quote opened and not closed?", Err: delimited.ErrLongRow}
		case errors.Is(err, bufio.ErrBufferFull):
		case err == io.EOF && len(f.text) > 0:
			return nil
		case err != nil:
			return err
		case quotes%2 == 0:
			return nil
		}
	}
}

// header reads up to the header row.
func (f *follower) header(plan Plan) (head, error) {
	var text []byte
	for {
		if err := f.next(); err == io.EOF {
			return head{}, errEmpty
		} else if err != nil {
			return head{}, err
		}
		text = append(text, f.text...)
		if h, err := readHead(text, plan); err != errEmpty {
			f.line += h.lines
			return h, err
		}
	}
}

func (f *follower) run(w io.Writer, plan Plan, trouble func(error)) (*Summary, error) {
	h, err := f.header(plan)
	if err != nil {
		return nil, err
	}
	r, err := newRowReader(plan, h.form, h.at, h.comma)
	if err != nil {
		return nil, err
	}
	j, err := newJudge(plan)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(h.text); err != nil {
		return nil, err
	}
	// A log with a decimal comma shows it in its first number.
	settled := h.form.Separator == ','
	b := f.block
	for {
		if err := f.next(); err == io.EOF {
			break
		} else if err != nil {
			return nil, err
		}
		b.text, b.line = f.text, f.line
		f.line += bytes.Count(b.text, lineFeed)
		if !settled {
			r.comma, settled = decimalMark(b.text, r.form, r.at)
		}
		if r.correct(b); b.fault != nil {
			trouble(b.fault.at(b))
			b.pass(f.last)
		}
		if t := b.times[len(b.times)-1]; t != noTime {
			f.last = t
		}
		j.flag(b, nil)
		j.sum(b)
		r.write(b)
		if _, err := w.Write(b.out); err != nil {
			return nil, err
		}
	}
	summary := j.finish()
	return &summary, nil
}

// pass makes a block of its whole text as one row without values, at a time.
func (b *block) pass(t int64) {
	b.clear()
	end := len(bytes.TrimRight(b.text, "\r\n"))
	b.rows = append(b.rows, row{int32(end), int32(len(b.text))})
	b.times = append(b.times, t)
	b.temps = append(b.temps, math.NaN())
	for i := range b.columns {
		b.columns[i] = append(b.columns[i], corrected{reading: math.NaN(), correction: math.NaN(), value: math.NaN(), u: math.NaN(), flag: NotANumber})
	}
}
