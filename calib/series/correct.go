package series

import (
	"bytes"
	"errors"
	"io"
	"runtime"
	"sync"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/series/delimited"
)

// blockSize is about how much of a log is read at a time, and blocks how many
// such stretches are on their way at most: together they bound the memory,
// whatever the size of the log.
const (
	blockSize = 128 << 10
	blocks    = 10
)

// Correct reads a delimited log from r and writes it to w, corrected as the
// plan says. Rows keep their order, and every byte of them stays; the new
// columns stand behind them. name is what errors call the log. An error is a
// *[readings.Error] where the log is to blame; rows above the faulty one are
// written before it is returned. Errors of r and w are passed on.
func Correct(r io.Reader, w io.Writer, name string, plan Plan) (*Summary, error) {
	summary, err := correct(r, w, plan)
	return summary, inFile(err, name)
}

// inFile tells an error about a log the log's name.
func inFile(err error, name string) error {
	var place *readings.Error
	if errors.As(err, &place) {
		named := *place
		named.File = name
		return &named
	}
	return err
}

func correct(r io.Reader, w io.Writer, plan Plan) (*Summary, error) {
	cutter := delimited.NewCutter(r, blockSize)
	first := newBlock(len(plan.Probes))
	text, err := cutter.Next(first.text)
	if err == io.EOF {
		return nil, errEmpty
	}
	if err != nil {
		return nil, err
	}
	h, err := readHead(text, plan)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(h.text); err != nil {
		return nil, err
	}
	first.text, first.line = text[h.size:], 1+h.lines
	p := &pipeline{
		cutter: cutter, plan: plan, head: h, stop: make(chan struct{}),
		free: make(chan *block, blocks), queue: make(chan *block, blocks), write: make(chan *block, blocks), work: make(chan job, 2*blocks),
	}
	return p.run(first, w)
}

// pipeline carries blocks from the reader through workers, the judge and
// workers again to the writer.
type pipeline struct {
	cutter *delimited.Cutter
	plan   Plan
	head   head

	free  chan *block // to be filled
	queue chan *block // in the order of the log, to be judged
	write chan *block // in the order of the log, to be written
	work  chan job

	stop    chan struct{} // closed when it is no use to go on
	halt    sync.Once
	mu      sync.Mutex
	err     error // the first
	summary Summary
}

// job is a block to be corrected or, after the judge, to be written into text.
type job struct {
	block  *block
	judged bool
}

// fail ends the run with an error; the first one stays.
func (p *pipeline) fail(err error) {
	p.mu.Lock()
	if p.err == nil {
		p.err = err
	}
	p.mu.Unlock()
	p.halt.Do(func() { close(p.stop) })
}

func (p *pipeline) run(first *block, w io.Writer) (*Summary, error) {
	var readers []*rowReader
	for range max(2, runtime.GOMAXPROCS(0)) {
		r, err := newRowReader(p.plan, p.head.form, p.head.at, p.head.comma)
		if err != nil {
			return nil, err
		}
		readers = append(readers, r)
	}
	j, err := newJudge(p.plan)
	if err != nil {
		return nil, err
	}
	var stages, workers sync.WaitGroup
	for _, r := range readers {
		workers.Go(func() { p.process(r) })
	}
	stages.Go(func() { p.read(first) })
	stages.Go(func() { p.judge(j) })
	p.writeAll(w)
	stages.Wait()
	close(p.work)
	workers.Wait()
	return &p.summary, p.err
}

// read fills blocks and hands them on.
func (p *pipeline) read(first *block) {
	defer close(p.queue)
	made, line := 1, first.line
	for b := first; ; {
		b.line, b.lines = line, bytes.Count(b.text, lineFeed)
		line += b.lines
		select {
		case p.queue <- b:
			p.work <- job{block: b}
		case <-p.stop:
			return
		}
		b = nil
		if made < blocks {
			select {
			case b = <-p.free:
			default:
				b, made = newBlock(len(p.plan.Probes)), made+1
			}
		}
		if b == nil {
			select {
			case b = <-p.free:
			case <-p.stop:
				return
			}
		}
		var err error
		b.text, err = p.cutter.Next(b.text)
		if err == io.EOF {
			return
		}
		if err != nil {
			if errors.Is(err, delimited.ErrLongRow) {
				err = &readings.Error{Row: line, Found: "a row of more than a million bytes", Want: "a line end before that; was a quote opened and not closed?", Err: err}
			}
			p.fail(err)
			return
		}
	}
}

// process corrects and writes out blocks until there are none left.
func (p *pipeline) process(r *rowReader) {
	for j := range p.work {
		if j.judged {
			r.write(j.block)
			j.block.ready <- struct{}{}
		} else {
			r.correct(j.block)
			j.block.parsed <- struct{}{}
		}
	}
}

// judge judges the blocks in order. One is handed on when the next is judged,
// since rows can show what the ones before them were.
func (p *pipeline) judge(j *judge) {
	defer close(p.write)
	defer func() { p.summary = j.finish() }()
	var before *block
	for b := range p.queue {
		<-b.parsed
		j.flag(b, before)
		if before != nil && !p.hand(j, before) {
			return
		}
		before = b
		if b.fault != nil {
			break
		}
	}
	if before != nil && p.hand(j, before) && before.fault != nil {
		p.fail(before.fault.at(before))
	}
}

// hand sums a judged block up and passes it on to be written. It returns false
// when there is no use in going on.
func (p *pipeline) hand(j *judge, b *block) bool {
	j.sum(b)
	p.work <- job{block: b, judged: true}
	select {
	case p.write <- b:
		return true
	case <-p.stop:
		return false
	}
}

// at gives a fault its place in the log.
func (f *rowFault) at(b *block) error {
	return &readings.Error{Row: b.line + bytes.Count(b.text[:f.offset], lineFeed), Column: f.column, Found: f.found, Want: f.want, Err: f.err}
}

// writeAll writes the blocks in order.
func (p *pipeline) writeAll(w io.Writer) {
	failed := false
	for b := range p.write {
		<-b.ready
		if !failed {
			if _, err := w.Write(b.out); err != nil {
				p.fail(err)
				failed = true
			}
		}
		select {
		case p.free <- b:
		default:
		}
	}
}
