package series

import (
	"bufio"
	"errors"
	"io"
)

// Follow corrects a log while it is being written: each line is written to w, in
// one piece, as soon as its line end is read. Flags look back only. A line that
// cannot be read is told to trouble and comes out all the same, with the flag
// not-a-number and without values, so that one comes out for each that goes in;
// a line of JSON Lines that holds no object comes out as it is. A row is a line
// here: one field in quotes that goes over several lines cannot be told from a
// damaged line, which must not hold up all that follow it. The decimal mark of a
// log is that of its first number with one.
//
// The end of r ends it. The summary is nil where no header could be read.
func Follow(r io.Reader, w io.Writer, name string, plan Plan, trouble func(error)) (*Summary, error) {
	f := &follower{lines: bufio.NewReaderSize(r, 64<<10), w: w, plan: plan, block: newBlock(len(plan.Probes)), next: 1}
	f.trouble = func(err error) { trouble(inFile(err, name)) }
	summary, err := f.run(name)
	return summary, inFile(err, name)
}

type follower struct {
	lines   *bufio.Reader
	w       io.Writer
	plan    Plan
	trouble func(error)
	block   *block // of one line
	next    int    // the next line, as an editor counts
	settle  func(b *block)
}

// line reads the next line, with its line end, into the block.
func (f *follower) line() error {
	b := f.block
	b.text, b.line = b.text[:0], f.next
	for {
		part, err := f.lines.ReadSlice('\n')
		b.text = append(b.text, part...)
		switch {
		case len(b.text) > mostRow:
			return longRow(0).at(b)
		case errors.Is(err, bufio.ErrBufferFull):
		case err == nil, err == io.EOF && len(b.text) > 0:
			f.next++
			return nil
		default:
			return err
		}
	}
}

func (f *follower) run(name string) (*Summary, error) {
	if err := f.plan.check(); err != nil {
		return nil, err
	}
	j, err := newJudge(f.plan, 0)
	if err != nil {
		return nil, err
	}
	worker, err := f.worker(name)
	if err != nil {
		return nil, err
	}
	for {
		if err := f.line(); err == io.EOF {
			return j.finish(), nil
		} else if err != nil {
			return j.finish(), err
		}
		if err := f.one(worker, j); err != nil {
			return j.finish(), err
		}
	}
}

// one corrects and writes the line in the block.
func (f *follower) one(w worker, j *judge) error {
	b := f.block
	if f.settle != nil {
		f.settle(b)
	}
	w.correct(b)
	if b.emptied != nil {
		b.fault = b.emptied // nobody knows yet whether it is the last
	}
	if b.fault != nil {
		f.trouble(b.fault.at(b))
		w.pass(b)
	}
	j.flag(b)
	j.sum(b)
	w.write(b)
	_, err := f.w.Write(b.out)
	return err
}

// worker reads and writes the header, where there is one.
func (f *follower) worker(name string) (worker, error) {
	if isJSON(name, f.lines) {
		return newJSONWorker(f.plan)
	}
	h, err := f.header()
	if err != nil {
		return nil, err
	}
	w, err := newDelimitedWorker(f.plan, h)
	if err != nil {
		return nil, err
	}
	if h.mark == 0 {
		f.settle = func(b *block) {
			if mark := decimalMark(b.text, w.form, w.at); mark != 0 {
				w.mark, f.settle = mark, nil
			}
		}
	}
	_, err = f.w.Write(h.text)
	return w, err
}

// header reads up to the header row.
func (f *follower) header() (head, error) {
	var text []byte
	for {
		if err := f.line(); err == io.EOF {
			return head{}, errEmpty
		} else if err != nil {
			return head{}, err
		}
		text = append(text, f.block.text...)
		h, err := readHead(text, f.plan)
		if err == errEmpty && len(text) < mostRow {
			continue
		}
		return h, err
	}
}
