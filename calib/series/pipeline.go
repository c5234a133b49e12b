package series

import (
	"bytes"
	"errors"
	"io"
	"runtime"
	"sync"

	"github.com/brinemark/brinemark/calib/series/blocks"
)

// pipeline carries blocks of a log from the reader through workers, the judge and
// workers again to the writer:
//
//	read -> queue -> judge -> write -> writer
//	  |                ^  |              ^
//	  work (correct) --'  work (write) --'
//
// Blocks go through queue and write in the order of the log, and through the
// workers in any order: the judge waits for each block's token in parsed, the
// writer for the one in ready. There is a fixed number of blocks, which come back
// by free, so that memory is bounded and no stage runs far ahead. No channel can
// be full, since none gets more than there are blocks: the only stages that wait
// are the reader, for a free block, and those that wait for a block's token.
type pipeline struct {
	cutter    *blocks.Cutter
	plan      Plan
	sizes     sizes
	newWorker func() (worker, error)

	free  chan *block // to be filled
	queue chan *block // to be judged
	write chan *block // to be written
	work  chan job

	stop    chan struct{} // closed when it is no use to read on
	halt    sync.Once
	mu      sync.Mutex
	err     error // the first
	readErr error // of the reader; read when queue is closed
}

// job is a block to be corrected or, after the judge, to be written into text.
type job struct {
	block  *block
	judged bool
}

func newPipeline(cutter *blocks.Cutter, plan Plan, sizes sizes) *pipeline {
	n := sizes.blocks
	return &pipeline{
		cutter: cutter, plan: plan, sizes: sizes, stop: make(chan struct{}),
		free: make(chan *block, n), queue: make(chan *block, n), write: make(chan *block, n), work: make(chan job, n),
	}
}

// first reads the first block.
func (p *pipeline) first() (*block, error) {
	b := newBlock(len(p.plan.Probes))
	b.line = 1
	switch err := p.fill(b); {
	case err == io.EOF:
		return nil, errEmpty
	case err != nil:
		return nil, err
	}
	return b, nil
}

// fill reads the next stretch of the log into a block.
func (p *pipeline) fill(b *block) (err error) {
	b.shrink(2 * p.sizes.block)
	b.text, err = p.cutter.Next(b.text)
	if b.cut = errors.Is(err, blocks.ErrLongRow); b.cut {
		return nil // the worker tells what is wrong with it
	}
	return err
}

// head reads the header of a delimited log from the first block, and adds to the
// block where that shows too little: nothing but empty lines, or no row.
func (p *pipeline) head(first *block) (head, error) {
	for {
		h, err := readHead(first.text, p.plan)
		short := err == errEmpty || err == nil && h.mark == 0 && len(bytes.TrimSpace(first.text[h.size:])) == 0
		if first.cut && err == nil && h.size == len(first.text) {
			return h, longRow(0).at(first)
		}
		if !short || first.cut || len(first.text) > mostRow {
			return h, err
		}
		next := newBlock(0)
		switch readErr := p.fill(next); {
		case readErr == io.EOF:
			return h, err
		case readErr != nil:
			return h, readErr
		}
		first.text, first.cut = append(first.text, next.text...), next.cut
	}
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
	var crew []worker
	for range min(max(2, runtime.GOMAXPROCS(0)), p.sizes.blocks) {
		worker, err := p.newWorker()
		if err != nil {
			return nil, err
		}
		crew = append(crew, worker)
	}
	j, err := newJudge(p.plan, p.sizes.blocks/2)
	if err != nil {
		return nil, err
	}
	var stages, workers sync.WaitGroup
	for _, worker := range crew {
		workers.Go(func() { p.process(worker) })
	}
	stages.Go(func() { p.read(first) })
	stages.Go(func() { p.judge(j) })
	p.writeAll(w)
	stages.Wait()
	close(p.work)
	workers.Wait()
	return j.finish(), p.err
}

// read fills blocks and hands them on. What ends it but the end of the log is
// told when all that was read has been judged.
func (p *pipeline) read(first *block) {
	defer close(p.queue)
	made := 1
	for b := first; ; {
		line := b.line + bytes.Count(b.text, lineFeed)
		p.queue <- b
		p.work <- job{block: b}
		if b.cut {
			return
		}
		if b = p.empty(&made); b == nil {
			return
		}
		b.line = line
		if err := p.fill(b); err != nil {
			if err != io.EOF {
				p.readErr = err
			}
			return
		}
	}
}

// empty returns a block to be filled, a new one as long as there are fewer than
// may be, or nil when it is no use to go on.
func (p *pipeline) empty(made *int) *block {
	select {
	case <-p.stop:
		return nil
	case b := <-p.free:
		return b
	default:
	}
	if *made < p.sizes.blocks {
		*made++
		return newBlock(len(p.plan.Probes))
	}
	select {
	case <-p.stop:
		return nil
	case b := <-p.free:
		return b
	}
}

// process corrects and writes out blocks until there are none left.
func (p *pipeline) process(w worker) {
	for j := range p.work {
		if j.judged {
			w.write(j.block)
			j.block.ready <- struct{}{}
		} else {
			w.correct(j.block)
			j.block.parsed <- struct{}{}
		}
	}
}

// judge judges the blocks in order, and hands each on when no later row can
// change its flags. A row that cannot be read ends the log.
func (p *pipeline) judge(j *judge) {
	defer close(p.write)
	var fault, emptied error
	for b := range p.queue {
		<-b.parsed
		if emptied != nil && (b.valued > 0 || b.fault != nil) {
			fault = emptied
			break
		}
		if emptied == nil && b.emptied != nil {
			emptied = b.emptied.at(b)
		}
		j.flag(b)
		j.held = append(j.held, b)
		if b.fault != nil {
			fault = b.fault.at(b)
			break
		}
		p.hand(j, j.final())
	}
	p.hand(j, len(j.held))
	if fault == nil {
		fault = p.readErr // the queue is closed
	}
	if fault != nil {
		p.fail(fault)
	}
}

// hand sums up the first n blocks that are held, and passes them on.
func (p *pipeline) hand(j *judge, n int) {
	for _, b := range j.held[:n] {
		j.sum(b)
		p.work <- job{block: b, judged: true}
		p.write <- b
	}
	j.held = append(j.held[:0], j.held[n:]...)
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
		p.free <- b
	}
}
